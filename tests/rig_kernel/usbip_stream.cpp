#include "tests/rig_kernel/usbip_stream.hpp"

#include <arpa/inet.h>
#include <sys/socket.h>
#include <unistd.h>
#include <cerrno>

namespace fettle::rig {

namespace {

constexpr std::size_t k_head_bytes = 48;
constexpr std::size_t k_head_words = k_head_bytes / 4;
constexpr std::uint32_t k_submit = 1, k_unlink = 2, k_submit_return = 3, k_unlink_return = 4;
// Words of a head.
constexpr std::size_t k_command = 0, k_number = 1, k_direction = 3, k_endpoint = 4;
constexpr std::size_t k_victim = 5, k_length = 6, k_setup = 10;
constexpr std::size_t k_status = 5, k_actual = 6;

SetupPacket setup_of(const std::uint8_t* b) {
    const auto word = [&](int at) { return static_cast<std::uint16_t>(b[at] | b[at + 1] << 8); };
    return {b[0], b[1], word(2), word(4), word(6)};
}

}  // namespace

UsbIpStream::UsbIpStream(int socket, UsbDevice& device) : socket_(socket), device_(device) {
    device_.connect(this);
}

UsbIpStream::~UsbIpStream() {
    device_.connect(nullptr);
    close(socket_);
}

bool UsbIpStream::read_all(void* to, std::size_t count) const {
    auto* at = static_cast<std::uint8_t*>(to);
    while (count > 0) {
        const ssize_t got = read(socket_, at, count);
        if (got < 0 && errno == EINTR) continue;
        if (got <= 0) return false;
        at += got;
        count -= static_cast<std::size_t>(got);
    }
    return true;
}

void UsbIpStream::answer(std::uint32_t command, std::uint32_t number, int status, std::size_t actual,
                         std::span<const std::uint8_t> data) const {
    std::uint32_t head[k_head_words] = {};
    head[k_command] = htonl(command);
    head[k_number] = htonl(number);
    head[k_status] = htonl(static_cast<std::uint32_t>(status));
    head[k_actual] = htonl(static_cast<std::uint32_t>(actual));
    const auto* first = reinterpret_cast<const std::uint8_t*>(head);
    Bytes bytes(first, first + k_head_bytes);
    bytes.insert(bytes.end(), data.begin(), data.end());
    for (std::size_t at = 0; at < bytes.size();) {
        const ssize_t sent = send(socket_, bytes.data() + at, bytes.size() - at, MSG_NOSIGNAL);
        if (sent < 0 && errno == EINTR) continue;
        if (sent <= 0) return;  // closed: the next step() sees it
        at += static_cast<std::size_t>(sent);
    }
}

bool UsbIpStream::step(const Decider& decide) {
    std::uint32_t head[k_head_words];
    if (!read_all(head, sizeof head)) return false;
    const std::uint32_t command = ntohl(head[k_command]);
    if (command == k_unlink) {
        unlink(ntohl(head[k_number]), ntohl(head[k_victim]));
        return true;
    }
    if (command != k_submit) return false;
    Submit urb;
    urb.number = ntohl(head[k_number]);
    urb.is_to_host = ntohl(head[k_direction]) != 0;
    urb.endpoint = static_cast<std::uint8_t>(ntohl(head[k_endpoint]) & 0x0F);
    urb.length = ntohl(head[k_length]);
    urb.setup = setup_of(reinterpret_cast<const std::uint8_t*>(&head[k_setup]));
    if (!urb.is_to_host) {
        urb.data.resize(urb.length);
        if (!read_all(urb.data.data(), urb.data.size())) return false;
    }
    submit(urb, decide);
    return true;
}

void UsbIpStream::submit(const Submit& urb, const Decider& decide) {
    if (is_failing_)
        answer(k_submit_return, urb.number, -EPROTO, 0);
    else if (urb.endpoint == 0)
        control(urb, decide);
    else if (urb.is_to_host)
        waiting_[urb.endpoint].push_back({urb.number, urb.length});
    else if (device_.put(urb.endpoint, urb.data))
        answer(k_submit_return, urb.number, 0, urb.length);
    else
        answer(k_submit_return, urb.number, -EPIPE, 0);
}

void UsbIpStream::control(const Submit& urb, const Decider& decide) {
    const Fate fate = decide ? decide(urb.setup, urb.data) : Fate::serve;
    switch (fate) {
        case Fate::serve: serve_control(urb); break;
        case Fate::stall: answer(k_submit_return, urb.number, -EPIPE, 0); break;
        case Fate::never: waiting_[0].push_back({urb.number, urb.length}); break;
        case Fate::lost: answer(k_submit_return, urb.number, 0, urb.is_to_host ? 0 : urb.length); break;
        case Fate::served_pulled: {
            Bytes reply;
            device_.control(urb.setup, urb.data, reply);
            [[fallthrough]];
        }
        case Fate::pulled:
            fail_all();
            answer(k_submit_return, urb.number, -EPROTO, 0);
            break;
    }
}

void UsbIpStream::serve_control(const Submit& urb) {
    Bytes reply;
    if (!device_.control(urb.setup, urb.data, reply)) {
        answer(k_submit_return, urb.number, -EPIPE, 0);
    } else if (urb.is_to_host) {
        if (reply.size() > urb.length) reply.resize(urb.length);
        answer(k_submit_return, urb.number, 0, reply.size(), reply);
    } else {
        answer(k_submit_return, urb.number, 0, urb.length);
    }
}

void UsbIpStream::unlink(std::uint32_t number, std::uint32_t victim) {
    for (auto& queue : waiting_) {
        for (auto urb = queue.begin(); urb != queue.end(); ++urb) {
            if (urb->number != victim) continue;
            queue.erase(urb);
            answer(k_unlink_return, number, -ECONNRESET, 0);
            return;
        }
    }
    answer(k_unlink_return, number, 0, 0);  // it was answered before
}

void UsbIpStream::fail_all() {
    is_failing_ = true;
    for (auto& queue : waiting_) {
        for (const Waiting& urb : queue) answer(k_submit_return, urb.number, -EPROTO, 0);
        queue.clear();
    }
}

std::size_t UsbIpStream::wanted(std::uint8_t endpoint) const {
    const auto& queue = waiting_[endpoint & 0x0F];
    return queue.empty() ? 0 : queue.front().room;
}

void UsbIpStream::give(std::uint8_t endpoint, std::span<const std::uint8_t> packet) {
    auto& queue = waiting_[endpoint & 0x0F];
    if (queue.empty()) return;
    const Waiting urb = queue.front();
    queue.pop_front();
    if (packet.size() > urb.room)
        answer(k_submit_return, urb.number, -EOVERFLOW, 0);
    else
        answer(k_submit_return, urb.number, 0, packet.size(), packet);
}

}  // namespace fettle::rig
