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

}  // namespace

Session::Session(std::unique_ptr<Link> link, Limits limits) : link_(std::move(link)), limits_(limits) {}

Result<std::unique_ptr<Session>> Session::open(std::unique_ptr<Link> link, Limits limits) {
    std::unique_ptr<Session> session(new Session(std::move(link), limits));
    auto hello = session->greet();
    if (!hello) return hello.failure();
    return session;
}

std::string Session::serial() const {
    const auto* text = reinterpret_cast<const char*>(hello_.serial);
    return {text, std::find(text, text + sizeof hello_.serial, '\0')};
}

Result<wire::HelloReply> Session::greet() {
    auto reply =
        request([](auto* to, auto id) { return wire::put_hello_request(to, id, engine::k_contract_version); },
                limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::HelloReply hello{};
    if (!wire::get_hello(reply->data(), size_of(*reply), hello)) return fail(Errc::garbled, "hello");
    if (hello.contract_version == 0) return fail(Errc::version, "contract", "0");
    hello_ = hello;
    return hello;
}

Result<wire::InfoReply> Session::info() {
    auto reply = request([](auto* to, auto id) { return wire::put_request(to, MessageType::info, id); },
                         limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::InfoReply info{};
    if (!wire::get_info(reply->data(), size_of(*reply), info)) return fail(Errc::garbled, "info");
    return info;
}

Status Session::plain_request(const Writer& write) {
    auto reply = request(write, limits_.answer_ms);
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

Result<PingFigures> Session::ping() {
    const std::uint32_t stamp = next_stamp_++;
    const std::uint64_t began_us = link_->now_us();
    auto reply =
        request([&](auto* to, auto id) { return wire::put_ping_request(to, id, stamp); }, limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::PingReply got{};
    if (!wire::get_ping(reply->data(), size_of(*reply), got) || got.stamp != stamp)
        return fail(Errc::garbled, "ping");
    return PingFigures{link_->now_us() - began_us, got.sent_us - got.received_us, got.received_us};
}

Result<std::string> Session::display(std::uint8_t row) {
    auto got = display_row(row);
    if (!got) return got.failure();
    return std::move(got->text);
}

Result<DisplayRow> Session::display_row(std::uint8_t row) {
    auto reply =
        request([&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::display, id, row); },
                limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::DisplayReply got{};
    if (!wire::get_display(reply->data(), size_of(*reply), got)) return fail(Errc::garbled, "display");
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
    const std::uint64_t until = link_->now_ms() + ms;
    for (std::uint64_t now = link_->now_ms(); now < until; now = link_->now_ms()) {
        auto message = receive(static_cast<std::uint32_t>(until - now));
        if (!message) return message.failure();
    }
    return Done{};
}

/// The next message that is no telemetry (that is handed on) and has the size of one, or nothing.
Result<std::optional<Message>> Session::receive(std::uint32_t wait_ms) {
    auto received = link_->receive(wait_ms);
    if (!received || !*received) return received;
    const Message& m = **received;
    if (m.size() < wire::k_message_head || m.size() > wire::k_message_max) return std::optional<Message>{};
    if (m[0] != static_cast<std::uint8_t>(MessageType::telemetry)) return received;
    take_telemetry(std::span(m).subspan(wire::k_message_head));
    return std::optional<Message>{};
}

Result<Session::Body> Session::request(const Writer& write, std::uint32_t answer_ms) {
    const std::uint64_t give_up = link_->now_ms() + limits_.busy_ms;
    // All tries have one id: a device that is still at work on the first one answers once.
    const std::uint8_t id = new_id();
    for (int tries = 1;;) {
        auto reply = request_once(write, id, answer_ms);
        if (reply) return reply;
        const Errc code = reply.error().code;
        const bool again = (code == Errc::timed_out && tries++ < limits_.tries) ||
                           (code == Errc::busy && link_->now_ms() < give_up);
        if (!again) return reply;
        if (code == Errc::busy)
            if (auto waited = listen(k_busy_pause_ms); !waited) return waited.failure();
    }
}

std::uint8_t Session::new_id() {
    const std::uint8_t id = next_id_;
    next_id_ = next_id_ == 255 ? 1 : static_cast<std::uint8_t>(next_id_ + 1);
    return id;
}

Result<Session::Body> Session::request_once(const Writer& write, std::uint8_t id, std::uint32_t answer_ms) {
    std::uint8_t message[wire::k_message_max];
    const std::uint8_t size = write(message, id);
    if (size < wire::k_message_head) return fail(Errc::out_of_range, "message");
    if (auto sent = link_->send(std::span(message, size)); !sent) return sent.failure();
    return await(message[0], id, answer_ms);
}

Result<Session::Body> Session::await(std::uint8_t type, std::uint8_t id, std::uint32_t answer_ms) {
    const std::uint64_t until = link_->now_ms() + answer_ms;
    do {
        const std::uint64_t now = link_->now_ms();
        auto received = receive(now < until ? static_cast<std::uint32_t>(until - now) : 0);
        if (!received) return received.failure();
        if (!*received) continue;
        const Message& m = **received;
        const Body body(m.begin() + wire::k_message_head, m.end());
        if (m[1] == id && m[0] == (type | wire::k_reply)) return body;
        if (m[1] != id || m[0] != static_cast<std::uint8_t>(MessageType::error)) continue;  // an older try's
        wire::ErrorReply error{};
        if (wire::get_error(body.data(), size_of(body), error)) return of_device(error);
        return fail(Errc::garbled, "error reply");
    } while (link_->now_ms() < until);
    return fail(Errc::timed_out, fmt::format("request {:#04x}", type));
}

}  // namespace fettle::link
