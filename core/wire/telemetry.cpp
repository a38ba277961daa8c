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
    first_ = used_ = 0;
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

uint8_t Telemetry::peek(uint8_t at) const {
    const uint16_t place = static_cast<uint16_t>(first_ + at);
    return ring_[place < k_telemetry_ring_bytes ? place : place - k_telemetry_ring_bytes];
}

void Telemetry::push(uint8_t byte) {
    const uint16_t place = static_cast<uint16_t>(first_ + used_);
    ring_[place < k_telemetry_ring_bytes ? place : place - k_telemetry_ring_bytes] = byte;
    ++used_;
}

void Telemetry::cover(Event& event, bool boot_pointer) const {
    if ((flags_ & k_subscribe_usages) != 0) return;
    switch (event.kind) {
        case EventKind::text: event.data[0] = k_covered; break;
        case EventKind::grid: event.data[0] = event.data[1] = k_covered; break;
        case EventKind::report:
            if (event.data[0] == static_cast<uint8_t>(engine::Endpoint::keyboard)) {
                for (uint8_t i = 4; i < 10; ++i)  // past endpoint, size, modifiers and the empty byte
                    if (event.data[i] != 0) event.data[i] = k_covered;
            } else if (!boot_pointer && event.data[1] == engine::k_consumer_report_bytes &&
                       event.data[2] == engine::k_consumer_report_id &&
                       (event.data[3] | event.data[4]) != 0) {
                event.data[3] = event.data[4] = k_covered;
            }
            break;
        default: break;  // no other kind says what is typed
    }
}

bool Telemetry::store(const Event& event) {
    const uint8_t size = engine::event_size(event.kind);
    const uint32_t delta_us = event.at_us - back_us_;
    const uint32_t units = delta_us >> 2;
    const bool is_long = units >= k_delta_long;
    const uint8_t bytes = static_cast<uint8_t>(k_record_head + size + (is_long ? k_long_bytes : 0));
    if (bytes > free()) return false;
    const uint16_t head = is_long ? k_delta_long : static_cast<uint16_t>(units);
    push(static_cast<uint8_t>(head & 0xFFu));
    push(static_cast<uint8_t>(head >> 8));
    for (uint8_t i = 0; is_long && i < k_long_bytes; ++i) push(static_cast<uint8_t>(delta_us >> (8 * i)));
    push(static_cast<uint8_t>(event.kind));
    for (uint8_t i = 0; i < size; ++i) push(event.data[i]);
    back_us_ += is_long ? delta_us : units << 2;  // what was cut off comes back with the next one
    return true;
}

void Telemetry::put(const Event& event, bool boot_pointer) {
    if (!is_on_ || !has_begun_) return;
    if (event.kind == EventKind::edge && (flags_ & k_subscribe_edges) == 0) return;
    Event covered = event;
    cover(covered, boot_pointer);
    if (!gap_ && store(covered)) return;
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
        Event event = {now_us, EventKind::lost, {}};
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

uint32_t Telemetry::record_delta(uint8_t at) const {
    const uint16_t head = static_cast<uint16_t>(peek(at) | peek(static_cast<uint8_t>(at + 1)) << 8);
    if (head != k_delta_long) return static_cast<uint32_t>(head) << 2;
    uint32_t delta_us = 0;
    for (uint8_t i = 0; i < k_long_bytes; ++i)
        delta_us |= static_cast<uint32_t>(peek(static_cast<uint8_t>(at + 2 + i))) << (8 * i);
    return delta_us;
}

uint8_t Telemetry::record_kind_at(uint8_t at) const {
    const bool is_long = (peek(at) & peek(static_cast<uint8_t>(at + 1))) == 0xFF;
    return static_cast<uint8_t>(at + 2 + (is_long ? k_long_bytes : 0));
}

bool Telemetry::is_ripe(uint32_t now_us) const {
    if (used_ == 0) return false;
    if (used_ >= k_batch_room) return true;
    return now_us - (front_us_ + record_delta(0)) >= k_batch_span_us;
}

uint8_t Telemetry::take(Channel channel, uint8_t* to, uint32_t now_us) {
    if (!is_on(channel) || !is_ripe(now_us)) return 0;
    const uint32_t begin_us = front_us_ + record_delta(0);
    to[0] = static_cast<uint8_t>(MessageType::telemetry);
    to[1] = 0;
    engine::put16(to + 2, boot_id_);
    engine::put16(to + 4, sequence_);
    engine::put32(to + 6, begin_us);
    uint8_t size = k_message_head + k_telemetry_head;
    uint8_t at = 0;
    while (at < used_) {
        const uint32_t delta_us = record_delta(at);
        const uint8_t kind_at = record_kind_at(at);
        const EventKind kind = static_cast<EventKind>(peek(kind_at));
        const uint8_t end = static_cast<uint8_t>(kind_at + 1 + engine::event_size(kind));
        const uint32_t stamp_us = front_us_ + delta_us;
        // The first record's delta is the batch's own stamp. Later ones are stored as they are sent.
        const uint8_t bytes = static_cast<uint8_t>(at == 0 ? 2 + end - kind_at : end - at);
        if (size + bytes > k_message_max) break;
        if (at != 0 && (kind == EventKind::lost || stamp_us - begin_us > k_batch_span_us)) break;
        if (at == 0) to[size] = to[size + 1] = 0;
        if (at == 0) size = static_cast<uint8_t>(size + 2u);
        for (uint8_t i = at == 0 ? kind_at : at; i < end; ++i) to[size++] = peek(i);
        front_us_ = stamp_us;
        at = end;
    }
    first_ = static_cast<uint8_t>((first_ + at) % k_telemetry_ring_bytes);
    used_ = static_cast<uint8_t>(used_ - at);
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
