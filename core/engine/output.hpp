#pragma once
// The only place that can hold a key or a button down, and so the only one that must be proven to let go.
//
// It keeps a short list of holds; whole reports are rebuilt from that list, so a report that was lost or
// replaced is made good by the next one. Each press and each release stays until the host took a report that
// shows it, so a click between two polls is never lost. A button, wheel or consumer report that needs a
// modifier waits until the keyboard report was taken plus one frame; the modifier goes after the release was
// taken. A usage that is still being let go is pressed again only after its release was taken. Motion
// saturates; what is unread for 100 ms or over a suspend is dropped. No motion is sent between the edges of a
// click.

#include "core/engine/report.hpp"
#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

/// Who holds: an input's number, or one of these.
constexpr uint8_t k_source_tap = 254;  ///< taps and clicks: nobody has to let them go

constexpr uint8_t k_max_holds = 12;  ///< more at once are refused and counted, never forgotten half-way

/// What is held beyond presses, for display, telemetry and proofs.
struct HeldState {
    uint8_t latched;          ///< modifiers waiting for the next key or click
    uint8_t locked;           ///< modifiers held until they are unlocked
    uint8_t dragged;          ///< buttons held by a drag
    uint8_t press_modifiers;  ///< modifiers that presses hold
    uint8_t press_buttons;    ///< buttons that presses hold
};

class Output {
public:
    /// Everything let go and forgotten, nothing in flight.
    void reset();

    /// Holds a chord for `source` until let_go(source). Latched modifiers are used up and held with it.
    /// False when the list is full: nothing was held.
    bool hold_keys(uint8_t source, uint8_t modifiers, uint8_t usage);
    bool hold_buttons(uint8_t source, uint8_t buttons);
    bool hold_consumer(uint8_t source, uint16_t usage);
    /// Ends all that `source` holds; each release is shown to the host once its press was.
    void let_go(uint8_t source);

    /// Pressed and let go, each seen by the host, in the order of the calls. False when the list is full.
    bool tap_keys(uint8_t modifiers, uint8_t usage);
    bool tap_consumer(uint16_t usage);
    /// count 1 or 2; the edges are at least `gap_ms` apart and no motion is sent between them.
    bool click(uint8_t buttons, uint8_t count, uint16_t gap_ms);

    /// StickyKeys: latch, lock at the second press, unlock at the third (style says which of these).
    void latch(LatchStyle style, uint8_t modifiers);
    /// A drag is begun or, when any of these buttons is dragged, ended.
    void drag(uint8_t buttons);

    /// Counts and detents to be sent. Saturates at 16 bits an axis (unread motion is no promise).
    void move(int16_t dx, int16_t dy);
    void scroll(int8_t wheel, int8_t pan);

    /// Empties everything: the next report of each kind is all-released. Emits `released`, and `drag_broken`
    /// if one was on.
    void release_all(uint32_t now_us, Cause cause, const EventSink& sink);

    /// Takes note of what the host read and of the commands in `in`, then fills out.reports.
    void tick(const TickInputs& in, TickOutputs& out, const EventSink& sink);

    HeldState held() const;
    /// True while anything is down in the state or was down in the last report that each endpoint got.
    bool holds_anything() const;
    /// True while taps or clicks are still on their way to the host (text waits for this).
    bool is_busy() const;
    /// True once a click (press and release of a button) was taken by the host; part of the proof that `keep`
    /// asks for.
    bool has_clicked() const;

private:
    // To be laid out by the implementation: bounded, at most 200 bytes.
};

}  // namespace engine
}  // namespace fettle
