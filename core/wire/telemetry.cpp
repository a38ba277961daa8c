#include "core/wire/telemetry.hpp"

#include "core/engine/bytes.hpp"
#include "core/engine/report.hpp"

namespace fettle {
namespace wire {

using engine::Event;
using engine::EventKind;

namespace {

constexpr uint8_t k_record_head = 3;  // delta, kind
constexpr uint8_t k_long_bytes = 4;
constexpr uint8_t k_batch_room = k_body_max - k_telemetry_head;
constexpr uint8_t k_covered = 0xFF;

}  // namespace

void Telemetry::reset(uint16_t boot_id) {
    memset(this, 0, sizeof *this);
    boot_id_ = boot_id;
}

void Telemetry::subscribe(Channel channel, uint8_t flags, uint32_t now_us) {
    snapshot_due_ = true;
    if (is_on(channel) && flags == flags_) return;
    is_on_ = true;
    channel_ = channel;
    flags_ = flags;
    used_ = 0;
    gap_ = has_begun_ = false;
    lost_ = 0;
    front_us_ = back_us_ = quiet_since_us_ = now_us;
}

void Telemetry::unsubscribe(Channel channel) {
    if (channel == channel_) unsubscribe_all();
}

void Telemetry::unsubscribe_all() {
    is_on_ = false;
    used_ = 0;
}

void Telemetry::cover(EventKind kind, uint8_t* data, bool boot_pointer) const {
    if ((flags_ & k_subscribe_usages) != 0) return;
    if (kind == EventKind::text || kind == EventKind::grid) data[0] = k_covered;
    if (kind == EventKind::grid) data[1] = k_covered;
    if (kind != EventKind::report) return;  // no other kind says what is typed
    uint8_t first = 4, end = 10;            // past endpoint, size, modifiers and the empty byte
    if (data[0] != static_cast<uint8_t>(engine::Endpoint::keyboard)) {
        if (boot_pointer || data[1] != engine::k_consumer_report_bytes ||
            data[2] != engine::k_consumer_report_id || (data[3] | data[4]) == 0)
            return;
        data[3] = data[4] = k_covered;
        return;
    }
    for (; first < end; ++first)
        if (data[first] != 0) data[first] = k_covered;
}

/// Gives the payload's place, nullptr where there is no room.
uint8_t* Telemetry::store(const Event& event) {
    constexpr uint32_t k_least_long_us = uint32_t{k_delta_long} << 2;
    const uint8_t size = engine::event_size(event.kind);
    uint32_t delta_us = event.at_us - back_us_;
    const bool is_long = delta_us >= k_least_long_us;
    const uint8_t bytes = static_cast<uint8_t>(k_record_head + size + (is_long ? k_long_bytes : 0));
    if (bytes > free()) return nullptr;
    uint8_t* to = waiting_ + used_;
    used_ = static_cast<uint8_t>(used_ + bytes);
    if (is_long) {
        engine::put16(to, k_delta_long);
        engine::put32(to + 2, delta_us);
        to += k_long_bytes;
    } else {
        engine::put16(to, static_cast<uint16_t>(delta_us >> 2));
        delta_us &= ~uint32_t{3};  // what is cut off comes back with the next one
    }
    back_us_ += delta_us;
    to[2] = static_cast<uint8_t>(event.kind);
    memcpy(to + k_record_head, event.data, size);
    return to + k_record_head;
}

void Telemetry::put(const Event& event, bool boot_pointer) {
    if (!is_on_ || !has_begun_) return;
    if (event.kind == EventKind::edge && (flags_ & k_subscribe_edges) == 0) return;
    uint8_t* data = gap_ ? nullptr : store(event);
    if (data != nullptr) return cover(event.kind, data, boot_pointer);
    // Once something was lost nothing more is stored until there is room to say so and to tell the whole
    // state.
    gap_ = true;
    if (lost_ < 0xFFFF) ++lost_;
    if (lost_total_ < 0xFFFF) ++lost_total_;
}

bool Telemetry::wants_snapshot(uint32_t now_us) {
    if (!is_on_) return false;
    if (used_ != 0) quiet_since_us_ = now_us;
    if (!gap_ && !snapshot_due_ && now_us - quiet_since_us_ < k_heartbeat_us) return false;
    if (free() < k_resync_bytes) return false;
    if (gap_) {
        Event event;
        event.at_us = now_us;
        event.kind = EventKind::lost;
        engine::put16(event.data, lost_);
        store(event);
        gap_ = false;
        lost_ = 0;
    }
    snapshot_due_ = false;
    has_begun_ = true;
    quiet_since_us_ = now_us;
    return true;
}

uint32_t Telemetry::delta_us(uint8_t at) const {
    const uint8_t* from = waiting_ + at;
    return is_long(at) ? engine::get32(from + 2) : static_cast<uint32_t>(engine::get16(from)) << 2;
}

uint8_t Telemetry::take(Channel channel, uint8_t* to, uint32_t now_us) {
    if (!is_on(channel) || used_ == 0) return 0;
    const uint32_t begin_us = front_us_ + delta_us(0);
    if (used_ < k_batch_room && now_us - begin_us < k_batch_span_us) return 0;
    to[0] = static_cast<uint8_t>(MessageType::telemetry);
    to[1] = 0;
    engine::put16(to + 2, boot_id_);
    engine::put16(to + 4, sequence_);
    engine::put32(to + 6, begin_us);
    // The first record's delta is the batch's own stamp. Later ones are stored as they are sent.
    to[10] = to[11] = 0;
    uint8_t size = k_message_head + k_telemetry_head + 2;
    uint8_t at = 0;
    while (at != used_) {
        const uint32_t stamp_us = front_us_ + delta_us(at);
        const uint8_t kind_at = static_cast<uint8_t>(at + 2 + (is_long(at) ? k_long_bytes : 0));
        const EventKind kind = static_cast<EventKind>(waiting_[kind_at]);
        const uint8_t end = static_cast<uint8_t>(kind_at + 1 + engine::event_size(kind));
        if (at != 0 && (kind == EventKind::lost || stamp_us - begin_us > k_batch_span_us)) break;
        const uint8_t from = at == 0 ? kind_at : at;
        const uint8_t bytes = static_cast<uint8_t>(end - from);
        if (bytes > k_message_max - size) break;
        memcpy(to + size, waiting_ + from, bytes);
        size = static_cast<uint8_t>(size + bytes);
        front_us_ = stamp_us;
        at = end;
    }
    used_ = static_cast<uint8_t>(used_ - at);
    memmove(waiting_, waiting_ + at, used_);
    ++sequence_;
    quiet_since_us_ = now_us;
    return size;
}

TelemetryReader::TelemetryReader(const uint8_t* body, uint8_t size)
    : at_(body), end_(body + size), stamp_us_(0), boot_id_(0), sequence_(0), valid_(false), garbled_(false) {
    valid_ = size >= k_telemetry_head;
    if (!valid_) {
        at_ = end_;
        return;
    }
    boot_id_ = engine::get16(body);
    sequence_ = engine::get16(body + 2);
    stamp_us_ = engine::get32(body + 4);
    at_ += k_telemetry_head;
}

bool TelemetryReader::next(Event& out) {
    if (at_ == end_) return false;
    memset(&out, 0, sizeof out);
    const uint8_t left = static_cast<uint8_t>(end_ - at_);
    const uint8_t* from = at_;
    at_ = end_;
    garbled_ = true;  // unless it turns out to be whole
    if (left < k_record_head) return false;
    uint32_t delta_us = static_cast<uint32_t>(engine::get16(from)) << 2;
    uint8_t kind_at = k_record_head - 1;
    if (engine::get16(from) == k_delta_long) {
        if (left < k_record_head + k_long_bytes) return false;
        delta_us = engine::get32(from + 2);
        kind_at = static_cast<uint8_t>(kind_at + k_long_bytes);
    }
    const EventKind kind = static_cast<EventKind>(from[kind_at]);
    const uint8_t size = engine::event_size(kind);
    // A kind that this reader does not know has a size that it does not know: the rest cannot be read.
    if (size == 0 || left - kind_at - 1 < size) return false;
    garbled_ = false;
    memcpy(out.data, from + kind_at + 1, size);
    at_ = from + kind_at + 1 + size;
    stamp_us_ += delta_us;
    out.at_us = stamp_us_;
    out.kind = kind;
    return true;
}

}  // namespace wire
}  // namespace fettle
