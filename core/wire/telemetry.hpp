#pragma once
// What the engine tells, on its way to one subscriber. Events wait already packed as on the wire, with
// stamps relative to the one before; a batch is cut from the front, and what is left moves up. What does not
// fit is counted, and after the gap the stream goes on with `lost` and a full snapshot.
//
// Without consent (k_subscribe_usages) everything that says what is typed is covered before it is stored:
// each usage of a keyboard report becomes 0xFF (their number and the modifiers stay), a consumer usage
// 0xFFFF, a text's number and the grid's place 0xFF.

#include "core/engine/event.hpp"
#include "core/wire/outbox.hpp"

namespace fettle {
namespace wire {

constexpr uint8_t k_telemetry_ring_bytes = 140;
constexpr uint16_t k_batch_span_us = 8000;
constexpr uint32_t k_heartbeat_us = 1000000;
/// Room that a `lost` and a full snapshot (snapshot, held, grid, trial) take at most.
constexpr uint8_t k_resync_bytes = 7 + 16 + 12 + 9 + 12;

class Telemetry {
public:
    void reset(uint16_t boot_id);
    /// One subscriber: a new one replaces the one before. The stream begins with a snapshot; sequence numbers
    /// go on. The same subscriber again with the same flags loses nothing.
    void subscribe(Channel channel, uint8_t flags, uint32_t now_us);
    void unsubscribe(Channel channel);
    void unsubscribe_all();
    bool is_on(Channel channel) const { return is_on_ && channel == channel_; }
    uint16_t sequence() const { return sequence_; }

    /// boot_pointer: the pointer endpoint is in boot protocol (its reports then are never consumer reports).
    void put(const engine::Event& event, bool boot_pointer);
    /// True when the owner shall put a full snapshot now, by put(): asked for, after a gap, or the heartbeat.
    /// A `lost` event was put first where one is due.
    bool wants_snapshot(uint32_t now_us);
    void ask_snapshot() { snapshot_due_ = true; }

    /// A batch, when one is ripe: 8 ms of events, or as many as fit. 0: nothing.
    uint8_t take(Channel channel, uint8_t* to, uint32_t now_us);

    /// Events that did not fit since start. Saturates.
    uint16_t lost() const { return lost_total_; }

private:
    uint8_t* store(const engine::Event& event);
    void cover(engine::EventKind kind, uint8_t* data, bool boot_pointer) const;
    uint8_t free() const { return static_cast<uint8_t>(k_telemetry_ring_bytes - used_); }
    bool is_long(uint8_t at) const { return (waiting_[at] & waiting_[at + 1]) == 0xFF; }
    uint32_t delta_us(uint8_t at) const;

    uint8_t used_;
    uint8_t flags_;
    Channel channel_;
    bool is_on_, snapshot_due_, gap_;
    bool has_begun_;  ///< the snapshot that a stream begins with was put
    uint16_t boot_id_, sequence_;
    uint16_t lost_, lost_total_;
    uint32_t front_us_;  ///< stamp before the first record that waits
    uint32_t back_us_;   ///< stamp of the last record that waits, as the reader will compute it
    uint32_t quiet_since_us_;
    uint8_t waiting_[k_telemetry_ring_bytes];
};

}  // namespace wire
}  // namespace fettle
