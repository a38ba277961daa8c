#pragma once
// What the engine tells of its work: one small record each, in the order in which things happened.

#include "core/engine/bytes.hpp"

namespace fettle {
namespace engine {

/// The payload's bytes are listed with each kind; its size is fixed by event_size(). Two-byte numbers are low
/// byte first.
enum class EventKind : uint8_t {
    none = 0,
    edge = 1,      ///< line, level (1 = mark or closed)
    ir_frame = 2,  ///< protocol (| 0x80 repeat), toggle, code u32
    ir_noise = 3,  ///< edges dropped
    ir_lost = 4,   ///< input, repeats that must have been lost before this one
    level = 5,     ///< input, 1 down / 0 up: what the source says, before the press rules
    press = 6,     ///< input, PressOutcome
    gesture = 7,   ///< input, Gesture, mode, action number (0: nothing assigned)
    action = 8,    ///< input, action number, ActionPhase
    mode = 9,      ///< mode, Cause
    held = 10,  ///< latched modifiers, locked modifiers, dragged buttons, modifiers held by presses, buttons
                ///< held by presses
    report = 11,       ///< Endpoint, size, up to 8 bytes
    taken = 12,        ///< Endpoint: the host read the report handed over last
    drag_broken = 13,  ///< buttons, Cause
    released = 14,     ///< Cause: everything was let go
    scale = 15,        ///< permille u16
    variant = 16,      ///< variant
    trial = 17,        ///< TrialPhase (wire), trial id u16, seconds left u16
    text = 18,         ///< text, 1 begins / 0 typed / 2 cut short
    leds = 19,         ///< host's LEDs
    lost = 20,         ///< events that did not fit, u16: a full snapshot follows
    fault = 21,        ///< a bug of ours that was seen and survived: Fault
    grid = 22,         ///< row, column of the mark
    unread = 23,       ///< Endpoint: the host did not read for 100 ms, motion was dropped
    snapshot = 24,     ///< mode, variant, scale u16, LEDs, flags (bit 0 trial, 1 suspended), inputs down u24
                       ///< (bit per input)
};

enum class PressOutcome : uint8_t {
    accepted = 0,
    too_short = 1,   ///< let go before the acceptance delay
    bounced = 2,     ///< inside the debounce delay
    refractory = 3,  ///< inside the refractory time
    guarded = 4,     ///< a neighbour was pressed just before
    bridged = 5,     ///< a gap was closed; the hold goes on
    ended = 6,       ///< the press is over
    hold_limit = 7,  ///< longest hold: let go, ignored until really up
    really_up = 8,   ///< up after a hold limit: heard again
};

enum class ActionPhase : uint8_t { begin = 0, end = 1, refused = 2, repeat = 3 };

/// Why something changed that no press of an assigned input asked for.
enum class Cause : uint8_t {
    press = 0,
    host = 1,
    profile = 2,
    hold_limit = 3,
    start = 4,
    cable = 5,
    suspend = 6,
    fault = 7
};

enum class Fault : uint8_t { impossible_state = 1, output_full = 2, queue_full = 3, setup = 4 };

enum class Endpoint : uint8_t { keyboard = 0, pointer = 1 };

constexpr uint8_t k_event_data_bytes = 10;

/// at_us: device time in µs; wraps every 71.6 minutes.
struct Event {
    uint32_t at_us;
    EventKind kind;
    uint8_t data[k_event_data_bytes];
};

/// Payload bytes of a kind, 0 for an unknown one.
uint8_t event_size(EventKind kind);

/// Where events go. `put` must not call back into the engine.
struct EventSink {
    void* owner;
    void (*put)(void* owner, const Event& event);
};

/// Builds and hands over one event; payload bytes past `count` are 0. Does nothing where nobody listens.
void emit_bytes(const EventSink& sink, uint32_t at_us, EventKind kind, const uint8_t* data, uint8_t count);
void emit(const EventSink& sink, uint32_t at_us, EventKind kind, uint8_t d0 = 0, uint8_t d1 = 0);
inline void emit(const EventSink& sink, uint32_t at_us, EventKind kind, uint8_t d0, uint8_t d1, uint8_t d2,
                 uint8_t d3 = 0, uint8_t d4 = 0) {
    const uint8_t data[] = {d0, d1, d2, d3, d4};
    emit_bytes(sink, at_us, kind, data, sizeof data);
}

}  // namespace engine
}  // namespace fettle
