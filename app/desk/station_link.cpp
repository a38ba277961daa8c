#include "app/desk/station_link.hpp"

#include <algorithm>

#include "core/wire/request.hpp"

namespace fettle::app {

namespace {

constexpr std::uint32_t k_slice_ms = 8;
// More than any bus brings in a millisecond and any buffer holds: 4,096 serial bytes are some 250 messages.
constexpr std::uint32_t k_most_at_once = 5000;
constexpr std::uint8_t k_own_id = 0;

constexpr std::uint32_t k_strange_ms = 1000;
constexpr std::uint64_t k_blocked_ms = 500;  // a write that takes longer was waited for
constexpr std::uint32_t k_most_strange =
    100;  // a newer device may tell things that this program does not know

/// What a device of this contract sends.
bool is_known(const link::Message& m) {
    if (m.size() < wire::k_message_head || m.size() > wire::k_message_max) return false;
    const auto is = [&](wire::MessageType type) { return m[0] == static_cast<std::uint8_t>(type); };
    if (is(wire::MessageType::telemetry) || is(wire::MessageType::error)) return true;
    return m[0] >= wire::reply_type(wire::MessageType::hello) &&
           m[0] <= wire::reply_type(wire::MessageType::display);
}

bool is_release_reply(const link::Message& m) {
    return m.size() >= wire::k_message_head && m[0] == wire::reply_type(wire::MessageType::release) &&
           m[1] == k_own_id;
}

}  // namespace

StationLink::StationLink(std::unique_ptr<link::Link> inner, Hooks hooks)
    : inner_(std::move(inner)), hooks_(std::move(hooks)) {}

Status StationLink::send(std::span<const std::uint8_t> message) {
    if (auto go_on = hooks_.pulse(); !go_on) return go_on;
    return send_on(message);
}

Status StationLink::send_on(std::span<const std::uint8_t> message) {
    const std::uint64_t begin = inner_->now_ms();
    Status sent = inner_->send(message);
    is_blocked_ = inner_->now_ms() - begin > k_blocked_ms;
    if (sent && is_blocked_) hooks_.fresh();
    note_changeover();
    return sent;
}

bool StationLink::change_over() {
    if (!hooks_.may_change_over() || !inner_->change_over()) return false;
    note_changeover();
    return true;
}

/// Nothing that was heard of the channel before is held against this one.
void StationLink::note_changeover() {
    if (inner_->changeovers() == changeovers_) return;
    changeovers_ = inner_->changeovers();
    at_once_ = strange_ = 0;
    is_blocked_ = false;
    hooks_.fresh();
    if (is_releasing_) static_cast<void>(send_release());  // what is wrong with the link is met by the next
}

Status StationLink::give_up(const char* why) {
    if (change_over()) return Done{};
    return fail(Errc::closed, "link", why);
}

Status StationLink::note_pace() {
    const std::uint64_t now = inner_->now_ms();
    at_once_ = now == last_ms_ ? at_once_ + 1 : 0;
    last_ms_ = now;
    if (at_once_ > k_most_at_once) return give_up("it floods");
    return Done{};
}

/// A device that was taken for another one, a broken one: its babble is not waited through.
Status StationLink::note_kind(const link::Message& message) {
    if (is_known(message)) return Done{};
    const std::uint64_t now = inner_->now_ms();
    if (now - strange_since_ms_ > k_strange_ms) {
        strange_since_ms_ = now;
        strange_ = 0;
    }
    if (++strange_ > k_most_strange) return give_up("it babbles");
    return Done{};
}

Result<std::optional<link::Message>> StationLink::receive(std::uint32_t wait_ms) {
    const std::uint64_t until = inner_->now_ms() + wait_ms;
    for (;;) {
        if (auto go_on = hooks_.pulse(); !go_on) return go_on.failure();
        if (auto paced = note_pace(); !paced) return paced.failure();
        const std::uint64_t now = inner_->now_ms();
        const auto left = static_cast<std::uint32_t>(now < until ? until - now : 0);
        auto got = inner_->receive(std::min(left, k_slice_ms));
        const std::uint32_t before = changeovers_;
        note_changeover();
        if (!got || changeovers_ != before) return got;
        if (*got)
            if (auto known = note_kind(**got); !known) return known.failure();
        const bool is_own = *got && is_release_reply(**got);
        if (is_own) {
            is_releasing_ = false;
            hooks_.released();
        }
        if (*got && !is_own) return got;
        if (inner_->now_ms() >= until) return std::optional<link::Message>{};
    }
}

Status StationLink::send_release() {
    std::uint8_t message[wire::k_message_max];
    const std::uint8_t size = wire::put_request(message, wire::MessageType::release, k_own_id);
    is_releasing_ = true;
    return send_on(std::span(message, size));
}

}  // namespace fettle::app
