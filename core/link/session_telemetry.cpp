// Telemetry: subscription, sequence, whole time, losses.

#include <algorithm>
#include <utility>

#include "core/link/session.hpp"
#include "core/link/session_detail.hpp"

namespace fettle::link {

using engine::get16;
using wire::MessageType;

namespace {

constexpr std::uint16_t k_late_batches = 64;  // more than a host's buffers hold (Linux 6.1, hidraw: 63)
constexpr std::int64_t k_wrap_us = std::int64_t{1} << 32;

}  // namespace

Status Session::subscribe(bool usages, bool edges, Listener listener) {
    std::swap(listener_, listener);
    const std::uint32_t batches_before = counts_.batches;
    const auto flags = static_cast<std::uint8_t>((usages ? wire::k_subscribe_usages : 0) |
                                                 (edges ? wire::k_subscribe_edges : 0));
    auto reply = request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::subscribe, id, flags); },
        limits_.answer_ms);
    wire::SubscribeReply got{};
    if (!reply || !wire::get_subscribe(reply->data(), size_of(*reply), got)) {
        listener_ = std::move(listener);  // the one before goes on
        return reply ? fail(Errc::garbled, "subscribe") : reply.failure();
    }
    note_boot(got.boot_id);
    // What came before this subscription is nobody's loss; what comes from here on is counted.
    if (counts_.batches == batches_before) sequence_ = static_cast<std::uint16_t>(got.next_sequence - 1);
    return Done{};
}

Status Session::unsubscribe() {
    auto done =
        plain_request([](auto* to, auto id) { return wire::put_request(to, MessageType::unsubscribe, id); });
    if (done) listener_ = {};
    return done;
}

/// The device started anew: its sequence and its clock have nothing to do with what they were.
void Session::note_boot(std::uint16_t boot_id) {
    if (heard_any_ && boot_id == boot_id_) return;
    if (heard_any_) ++counts_.boots;
    heard_any_ = true;
    has_stamp_ = false;
    boot_id_ = boot_id;
    sequence_ = 0xFFFF;  // a start numbers its batches from 0
}

/// False: a batch that was there before, or is older than the last one.
bool Session::note_sequence(std::uint16_t boot_id, std::uint16_t sequence) {
    const bool is_first = !heard_any_;
    note_boot(boot_id);
    if (is_first) sequence_ = static_cast<std::uint16_t>(sequence - 1);
    const auto ahead = static_cast<std::uint16_t>(sequence - sequence_);
    if (ahead == 0 || ahead > 0xFFFF - k_late_batches) {
        ++counts_.repeated;
        return false;
    }
    counts_.batches_lost += ahead - 1u;
    sequence_ = sequence;
    ++counts_.batches;
    return true;
}

/// The device's clock wraps every 71.6 minutes; the link's clock says how often it did since the last stamp.
/// May be a little below 0: an edge may lie before a stamp that was already seen.
std::int64_t Session::since_last_us(std::uint32_t stamp_us) const {
    const std::int64_t nearest = static_cast<std::int32_t>(stamp_us - last_us_);
    const auto passed_us = static_cast<std::int64_t>((link_->now_ms() - last_heard_ms_) * 1000);
    const std::int64_t wraps = (passed_us - nearest + k_wrap_us / 2) / k_wrap_us;
    return nearest + std::max<std::int64_t>(wraps, 0) * k_wrap_us;
}

void Session::take_telemetry(std::span<const std::uint8_t> body) {
    wire::TelemetryReader reader(body.data(), static_cast<std::uint8_t>(body.size()));
    if (!reader.is_valid()) {
        ++counts_.garbled;
        return;
    }
    if (!note_sequence(reader.boot_id(), reader.sequence())) return;
    engine::Event event{};
    while (reader.next(event)) {
        if (has_stamp_) whole_us_ += since_last_us(event.at_us);
        has_stamp_ = true;
        last_us_ = event.at_us;
        last_heard_ms_ = link_->now_ms();
        ++counts_.events;
        if (event.kind == engine::EventKind::lost) counts_.events_lost += get16(event.data);
        if (listener_) listener_(TimedEvent{whole_us_, event});
    }
    if (reader.garbled()) ++counts_.garbled;
}

}  // namespace fettle::link
