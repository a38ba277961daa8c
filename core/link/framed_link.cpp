#include "core/link/framed_link.hpp"

#include <algorithm>
#include <array>

namespace fettle::link {

namespace {

/// When the time is over, this much that waits already is still looked through: as many reports as Linux's
/// hidraw keeps, 63, and one. More than that in a row without a message is a device that sends garbage.
constexpr int k_last_looks = 64;
/// And who does not want to wait gives it this long.
constexpr std::uint64_t k_last_look_us = 1000;
/// A report that is too long must be seen to be.
constexpr std::size_t k_report_room = wire::k_hid_report_bytes + 1;
constexpr std::size_t k_stream_room = 512;

/// How long the reads of one receive() may wait, all together.
class Patience {
public:
    Patience(const Port& port, std::uint32_t wait_ms)
        : port_(port), until_us_(port.now_us() + std::uint64_t{wait_ms} * 1000), wait_ms_(wait_ms) {
        end_us_ = until_us_ + (wait_ms == 0 ? k_last_look_us : 0);
    }

    /// For the next read, ms. A rest below 1 ms is not waited for.
    std::uint32_t wait_ms() const { return wait_ms_; }
    /// A read brought nothing, or nothing of use. False: it is enough.
    bool goes_on(bool was_empty) {
        const std::uint64_t now_us = port_.now_us();
        if (now_us > end_us_) return false;
        if (wait_ms_ == 0 && (was_empty || ++last_looks_ >= k_last_looks)) return false;
        wait_ms_ = now_us < until_us_ ? static_cast<std::uint32_t>((until_us_ - now_us) / 1000) : 0;
        return wait_ms_ != 0 || !was_empty;
    }

private:
    const Port& port_;
    std::uint64_t until_us_;
    std::uint64_t end_us_;
    std::uint32_t wait_ms_;
    int last_looks_ = 0;
};

bool is_message_size(std::size_t size) {
    return size >= wire::k_message_head && size <= wire::k_message_max;
}

}  // namespace

HidLink::HidLink(std::unique_ptr<Port> port, ChannelKind as) : FramedLink(std::move(port), as) {}

Status HidLink::send(std::span<const std::uint8_t> message) {
    std::uint8_t report[wire::k_hid_report_bytes];
    if (!is_message_size(message.size()) ||
        !wire::pack_report(message.data(), static_cast<std::uint8_t>(message.size()), report))
        return fail(Errc::too_large, "message");
    return port_->write(report);
}

Result<std::optional<Message>> HidLink::receive(std::uint32_t wait_ms) {
    Patience patience(*port_, wait_ms);
    std::array<std::uint8_t, k_report_room> report{};
    for (;;) {
        const auto got = port_->read(report, patience.wait_ms());
        if (!got) return got.failure();
        const std::uint8_t* message = nullptr;
        std::uint8_t size = 0;
        if (*got == wire::k_hid_report_bytes &&
            wire::unpack_report(report.data(), wire::k_hid_report_bytes, message, size))
            return std::optional(Message(message, message + size));
        if (*got != 0) ++bad_frames_;
        if (!patience.goes_on(*got == 0)) return std::optional<Message>{};
    }
}

SerialLink::SerialLink(std::unique_ptr<Port> port, ChannelKind as) : FramedLink(std::move(port), as) {
    unframer_.reset();
}

Status SerialLink::send(std::span<const std::uint8_t> message) {
    if (!is_message_size(message.size())) return fail(Errc::too_large, "message");
    std::uint8_t frame[wire::k_serial_frame_max];
    const std::uint8_t count =
        wire::pack_serial(message.data(), static_cast<std::uint8_t>(message.size()), frame);
    return port_->write(std::span(frame, count));
}

std::optional<Message> SerialLink::take() {
    while (at_ < bytes_.size()) {
        if (unframer_.take(bytes_[at_++]))
            return Message(unframer_.message(), unframer_.message() + unframer_.size());
        bad_frames_ += unframer_.take_bad();
    }
    return std::nullopt;
}

Result<std::optional<Message>> SerialLink::receive(std::uint32_t wait_ms) {
    if (auto message = take()) return message;
    Patience patience(*port_, wait_ms);
    for (;;) {
        at_ = 0;
        bytes_.resize(k_stream_room);
        const auto got = port_->read(bytes_, patience.wait_ms());
        bytes_.resize(got ? std::min(*got, k_stream_room) : 0);
        if (!got) return got.failure();
        if (auto message = take()) return message;
        if (!patience.goes_on(*got == 0)) return std::optional<Message>{};
    }
}

}  // namespace fettle::link
