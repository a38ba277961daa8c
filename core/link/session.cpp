// Requests and their answers.

#include "core/link/session.hpp"

#include <fmt/format.h>
#include <algorithm>

#include "core/link/session_detail.hpp"

namespace fettle::link {

using engine::get16;
using wire::MessageType;

namespace {

constexpr std::uint32_t k_busy_pause_ms = 5;
constexpr int k_changes_most = 4;  // of the channel, in one request
const std::function<bool(const std::vector<std::uint8_t>&)> k_any_answer;

Unexpected of_device(const wire::ErrorReply& reply) {
    const std::string where = fmt::format("request {:#04x}", reply.request);
    switch (reply.code) {
        case wire::WireError::unknown_type:
        case wire::WireError::unsupported: return fail(Errc::unsupported, where);
        case wire::WireError::malformed:
            return fail(Errc::garbled, where, "the device could not read the request");
        case wire::WireError::busy: return fail(Errc::busy, where);
        case wire::WireError::no_trial: return fail(Errc::not_found, where, "trial");
        case wire::WireError::unproven:
            return fail(Errc::unproven, where, fmt::format("{} {}", reply.detail[0], reply.detail[1]));
        case wire::WireError::bad_image:
            return fail(Errc::refused, where,
                        fmt::format("image fault {} in section {:#04x}", reply.detail[0], reply.detail[1]));
        case wire::WireError::out_of_order:
            return fail(Errc::mismatch, where, "blocks are missing on the device");
        case wire::WireError::too_large:
            return fail(Errc::too_large, where, fmt::format("{} bytes", get16(reply.detail)));
        case wire::WireError::verify: return fail(Errc::mismatch, where, "storage gave back other bytes");
    }
    return fail(Errc::garbled, where, fmt::format("error code {}", static_cast<int>(reply.code)));
}

bool is_known(wire::WireError code) {
    return code >= wire::WireError::unknown_type && code <= wire::WireError::verify;
}

/// What a device says, of this contract and of newer ones: replies, errors, telemetry.
bool is_of_a_device(std::uint8_t type) {
    return type == static_cast<std::uint8_t>(MessageType::telemetry) ||
           type == static_cast<std::uint8_t>(MessageType::error) ||
           (type >= wire::reply_type(MessageType::hello) && type < wire::reply_type(MessageType::telemetry));
}

/// A hello that a device of ours can have said, of this contract or a newer one.
bool is_ours(const wire::HelloReply& hello) {
    const auto* const end = hello.serial + sizeof hello.serial;
    const auto* const padding =
        std::find_if(hello.serial, end, [](std::uint8_t c) { return c < ' ' || c > '~'; });
    const bool is_text = std::all_of(padding, end, [](std::uint8_t c) { return c == 0; });
    return hello.contract_version != 0 && is_text && hello.slots != 0 &&
           hello.slot_bytes >= wire::k_image_header_bytes;
}

}  // namespace

Session::Session(std::unique_ptr<Link> link, Limits limits) : link_(std::move(link)), limits_(limits) {}

Result<std::unique_ptr<Session>> Session::open(std::unique_ptr<Link> link, Limits limits) {
    std::unique_ptr<Session> session(new Session(std::move(link), limits));
    auto hello = session->greet();
    if (!hello) return session->of_greeting(hello.error());
    return session;
}

/// Whoever says something and never what a device of ours says is another device.
Unexpected Session::of_greeting(const Error& error) const {
    switch (error.code) {
        case Errc::garbled:
        case Errc::unsupported:
        case Errc::not_found:
        case Errc::unproven:
        case Errc::refused:
        case Errc::mismatch:
        case Errc::too_large: return fail(Errc::foreign, "hello", error.detail);
        case Errc::timed_out:
            if (strange_ == 0) break;
            return fail(Errc::foreign, "hello", fmt::format("{} strange messages", strange_));
        default: break;  // nothing is known of it: the link's own errors, busy
    }
    return Unexpected{error};
}

std::string Session::serial() const {
    const auto* text = reinterpret_cast<const char*>(hello_.serial);
    return {text, std::find(text, text + sizeof hello_.serial, '\0')};
}

Result<wire::HelloReply> Session::greet() {
    wire::HelloReply hello{};
    const auto read = [&](const Body& body) {
        return wire::get_hello(body.data(), size_of(body), hello) && is_ours(hello);
    };
    auto reply =
        request([](auto* to, auto id) { return wire::put_hello_request(to, id, engine::k_contract_version); },
                limits_.answer_ms, read);
    if (!reply) return reply.failure();
    if (!read(*reply)) return fail(Errc::garbled, "hello", "no device of ours says that");
    hello_ = hello;
    note_clock_of(hello.boot_id);
    return hello;
}

Result<wire::InfoReply> Session::info() {
    wire::InfoReply info{};
    const auto read = [&](const Body& body) { return wire::get_info(body.data(), size_of(body), info); };
    auto reply = request([](auto* to, auto id) { return wire::put_request(to, MessageType::info, id); },
                         limits_.answer_ms, read);
    if (!reply) return reply.failure();
    if (!read(*reply)) return fail(Errc::garbled, "info");
    return info;
}

Status Session::plain_request(const Writer& write) {
    auto reply = request(write, limits_.answer_ms, k_any_answer);
    if (!reply) return reply.failure();
    return Done{};
}

Status Session::release() {
    return plain_request([](auto* to, auto id) { return wire::put_request(to, MessageType::release, id); });
}

Status Session::set_mode(std::uint8_t mode) {
    return plain_request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::set_mode, id, mode); });
}

Status Session::set_variant(std::uint8_t variant) {
    return plain_request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::set_variant, id, variant); });
}

Result<std::string> Session::display(std::uint8_t row) {
    auto got = display_row(row);
    if (!got) return got.failure();
    return std::move(got->text);
}

Result<DisplayRow> Session::display_row(std::uint8_t row) {
    wire::DisplayReply got{};
    const auto read = [&](const Body& body) { return wire::get_display(body.data(), size_of(body), got); };
    auto reply =
        request([&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::display, id, row); },
                limits_.answer_ms, read);
    if (!reply) return reply.failure();
    if (!read(*reply)) return fail(Errc::garbled, "display");
    std::string text(got.text, got.text + got.columns);
    for (char& c : text)
        if (c < ' ' || c > '~') c = '?';  // a device is a stranger: its text is shown, never obeyed
    return DisplayRow{got.rows, std::move(text)};
}

Status Session::inject(std::uint8_t line, std::span<const wire::InjectStep> edges) {
    for (std::size_t at = 0; at < edges.size(); at += wire::k_inject_max) {
        wire::InjectRequest wanted{};
        wanted.line = line;
        wanted.count =
            static_cast<std::uint8_t>(std::min<std::size_t>(wire::k_inject_max, edges.size() - at));
        std::copy_n(edges.begin() + static_cast<std::ptrdiff_t>(at), wanted.count, wanted.steps);
        auto taken =
            plain_request([&](auto* to, auto id) { return wire::put_inject_request(to, id, wanted); });
        if (!taken) return taken;
    }
    return Done{};
}

Status Session::listen(std::uint32_t ms) {
    std::uint64_t now = link_->now_ms();
    for (const std::uint64_t until = now + ms; now < until; now = link_->now_ms()) {
        auto message = receive(static_cast<std::uint32_t>(until - now));
        if (!message) return message.failure();
    }
    return Done{};
}

/// The next message that is no telemetry (that is handed on), nobody else's and has the size of one, or
/// nothing.
Result<std::optional<Message>> Session::receive(std::uint32_t wait_ms) {
    auto received = link_->receive(tend_subscription(wait_ms));
    if (link_->changeovers() != changeovers_) note_changeover();
    if (!received || !*received) return received;
    const Message& m = **received;
    const bool is_message = m.size() >= wire::k_message_head && m.size() <= wire::k_message_max;
    if (!is_message || !is_of_a_device(m[0])) {
        ++strange_;
        return std::optional<Message>{};
    }
    if (take_subscription(m)) return std::optional<Message>{};
    if (m[0] != static_cast<std::uint8_t>(MessageType::telemetry)) return received;
    take_telemetry(std::span(m).subspan(wire::k_message_head));
    return std::optional<Message>{};
}

Result<Session::Body> Session::request(const Writer& write, std::uint32_t answer_ms,
                                       const Reader& is_answer) {
    std::optional<std::uint64_t> give_up;  // being told `busy`
    // All tries have one id: a device that is still at work on the first one answers once.
    const std::uint8_t id = new_id();
    int changes = 0;
    for (int tries = 1;;) {
        Try one = request_once(write, id, answer_ms, is_answer);
        if (one.reply && one.is_readable) return std::move(one.reply);
        const Errc code = one.reply ? Errc::garbled : one.reply.error().code;
        const bool is_no_answer = code == Errc::timed_out || !one.is_readable;
        const bool has_changed = link_->changeovers() != sent_changeovers_;
        if (is_no_answer && !has_changed && one.is_readable && tries++ < limits_.tries) continue;
        if (is_no_answer && changes < k_changes_most && (has_changed || link_->change_over())) {
            ++changes;
            tries = 1;
            continue;
        }
        if (code != Errc::busy) return std::move(one.reply);
        if (!give_up) give_up = link_->now_ms() + limits_.busy_ms;
        if (link_->now_ms() >= *give_up) return std::move(one.reply);
        if (auto waited = listen(k_busy_pause_ms); !waited) return waited.failure();
    }
}

std::uint8_t Session::new_id() {
    const std::uint8_t id = next_id_;
    next_id_ = next_id_ == 255 ? 1 : static_cast<std::uint8_t>(next_id_ + 1);
    return id;
}

Session::Try Session::request_once(const Writer& write, std::uint8_t id, std::uint32_t answer_ms,
                                   const Reader& is_answer) {
    std::uint8_t message[wire::k_message_max];
    const std::uint8_t size = write(message, id);
    if (size < wire::k_message_head) return {fail(Errc::out_of_range, "message")};
    const Status sent = link_->send(std::span(message, size));
    sent_changeovers_ = link_->changeovers();
    if (!sent) return {sent.failure()};
    return await(message[0], id, answer_ms, is_answer);
}

Session::Try Session::await(std::uint8_t type, std::uint8_t id, std::uint32_t answer_ms,
                            const Reader& is_answer) {
    // A clock costs a system call where the kernel has no better one: asked once a message.
    std::uint64_t now = link_->now_ms();
    const std::uint64_t until = now + answer_ms;
    do {
        auto received = receive(static_cast<std::uint32_t>(until - now));
        if (!received) return {received.failure()};
        // It went over the channel before: it is asked again.
        if (link_->changeovers() != sent_changeovers_) break;
        if (!*received) continue;
        const Message& m = **received;
        Body body(m.begin() + wire::k_message_head, m.end());
        if (m[1] == id && m[0] == (type | wire::k_reply)) {
            const bool is_readable = !is_answer || is_answer(body);
            return {std::move(body), is_readable};
        }
        if (m[1] != id || m[0] != static_cast<std::uint8_t>(MessageType::error)) continue;  // an older try's
        wire::ErrorReply error{};
        const bool is_whole = wire::get_error(body.data(), size_of(body), error);
        if (!is_whole) return {fail(Errc::garbled, "error reply"), false};
        return {of_device(error), error.request == type && is_known(error.code)};
    } while ((now = link_->now_ms()) < until);
    return {fail(Errc::timed_out, fmt::format("request {:#04x}", type))};
}

}  // namespace fettle::link
