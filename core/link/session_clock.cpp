// Pings, and the device's clock on the link's by them.

#include "core/link/session.hpp"
#include "core/link/session_detail.hpp"

namespace fettle::link {

Result<PingFigures> Session::ping() {
    const std::uint32_t stamp = next_stamp_++;
    // Of all tries the first was sent first: whichever is answered, it was not sent before.
    const std::uint64_t began_us = link_->now_us();
    wire::PingReply got{};
    const auto read = [&](const Body& body) {
        return wire::get_ping(body.data(), size_of(body), got) && got.stamp == stamp;
    };
    auto reply = request([&](auto* to, auto id) { return wire::put_ping_request(to, id, stamp); },
                         limits_.answer_ms, read);
    if (!reply) return reply.failure();
    const std::uint64_t ended_us = link_->now_us();
    if (!read(*reply)) return fail(Errc::garbled, "ping");
    note_ping(began_us, ended_us, got);
    return PingFigures{ended_us - began_us, got.sent_us - got.received_us, got.received_us};
}

void Session::note_ping(std::uint64_t sent_us, std::uint64_t received_us, const wire::PingReply& reply) {
    const std::uint64_t now_ms = received_us / 1000;
    PingClock& clock = ping_clock_;
    if (clock.is_set)
        clock.whole_us += device_step_us(reply.received_us - clock.last_us,
                                         static_cast<std::int64_t>(now_ms - clock.heard_ms) * 1000);
    else
        clock.whole_us = reply.received_us;
    clock.is_set = true;
    clock.last_us = reply.received_us;
    clock.heard_ms = now_ms;
    const std::uint32_t inside_us = reply.sent_us - reply.received_us;
    clock_.add({static_cast<std::int64_t>(sent_us), static_cast<std::int64_t>(received_us), clock.whole_us,
                clock.whole_us + inside_us});
}

/// Another start has another clock.
void Session::note_clock_of(std::uint16_t boot_id) {
    if (clock_boot_ && *clock_boot_ != boot_id) {
        clock_.reset();
        ping_clock_ = {};
    }
    clock_boot_ = boot_id;
}

/// The last stamp of telemetry is brought to the pings' count of wraps; from there the event's own time goes.
std::optional<std::int64_t> Session::host_us(const TimedEvent& event) const {
    if (!has_stamp_ || !ping_clock_.is_set) return std::nullopt;
    const PingClock& ping = ping_clock_;
    const auto ms_between = [](std::uint64_t from, std::uint64_t to) {
        return static_cast<std::int64_t>(to - from);
    };
    const std::int64_t last_whole_us =
        last_heard_ms_ >= ping.heard_ms
            ? ping.whole_us +
                  device_step_us(last_us_ - ping.last_us, ms_between(ping.heard_ms, last_heard_ms_) * 1000)
            : ping.whole_us -
                  device_step_us(ping.last_us - last_us_, ms_between(last_heard_ms_, ping.heard_ms) * 1000);
    const std::int64_t device_us = last_whole_us + (event.at_us - whole_us_);
    if (static_cast<std::uint32_t>(device_us) != event.event.at_us) return std::nullopt;  // an earlier start
    return clock_.host_us(device_us);
}

}  // namespace fettle::link
