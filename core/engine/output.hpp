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

#include "core/engine/holds.hpp"
#include "core/engine/report.hpp"
#include "core/engine/sticky.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_max_holds = 12;    ///< more at once are refused and counted, never forgotten half-way
constexpr uint16_t k_unread_ms = 100;  ///< not read for this long: motion is dropped
/// Not read for this long: the host is taken not to use this endpoint, and the other one no longer waits for
/// it. (A text console reads no pointer: its keyboard must not stand still behind a click.)
constexpr uint16_t k_absent_ms = 1000;

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
    /// False when the list is full: nothing was held. One consumer usage at a time: a newer one ends the one
    /// before. A modifier alone uses no latch up.
    bool hold_keys(uint8_t source, uint8_t modifiers, uint8_t usage);
    bool hold_buttons(uint8_t source, uint8_t buttons);
    bool hold_consumer(uint8_t source, uint16_t usage);
    /// Ends all that `source` holds; each release is shown to the host once its press was.
    void let_go(uint8_t source);

    /// Pressed and let go, each seen by the host, in the order of the calls (keys, consumer
    /// usages and clicks alike). False when the list is full, or while the same key or button is held
    /// already: a second press of it could not be seen.
    bool tap_keys(uint8_t modifiers, uint8_t usage);
    bool tap_consumer(uint16_t usage);
    /// count 1 or 2; the edges are at least `gap_ms` apart and no motion is sent between them.
    bool click(uint8_t buttons, uint8_t count, uint16_t gap_ms);

    /// StickyKeys: latch, lock at the second press, unlock at the third (style says which of these).
    void latch(LatchStyle style, uint8_t modifiers);
    /// A drag is begun or, when any of these buttons is dragged, ended.
    /// False when the list is full.
    bool drag(uint8_t buttons);

    /// Counts and detents to be sent. Saturates at 16 bits an axis (unread motion is no promise). Motion
    /// called before a button's press or release is sent before it, motion called after it after it. Detents
    /// go with the modifiers that are held or locked now; they use no latch up.
    void move(int16_t dx, int16_t dy);
    void scroll(int8_t wheel, int8_t pan);

    /// Empties everything: the next report of each kind is all-released. Emits `released`, and `drag_broken`
    /// if one was on. has_clicked() is forgotten.
    void release_all(uint32_t now_us, Cause cause, const EventSink& sink);

    /// Takes note of what the host read and of the commands in `in`, then fills out.reports.
    void tick(const TickInputs& in, TickOutputs& out, const EventSink& sink);

    HeldState held() const;
    /// Emits `held`.
    void tell_held(uint32_t now_us, const EventSink& sink) const;
    /// True while anything is down in the state or was down in the last report that each endpoint got.
    bool holds_anything() const;
    /// True while taps or clicks are still on their way to the host (text waits for this).
    bool is_busy() const;
    /// True once a click (press and release of a button) was taken by the host; part of the proof that `keep`
    /// asks for. Since reset() or release_all().
    bool has_clicked() const;

private:
    enum : uint8_t { k_force_keyboard = 1, k_force_pointer = 2, k_force_consumer = 4, k_force_all = 7 };
    enum : uint8_t { k_nothing = 255 };

    /// Which holds a report is to let go and which one it is to press.
    struct Plan {
        uint16_t releases;  ///< bit per place in holds_
        uint8_t press;      ///< place in holds_, k_nothing
    };

    // output.cpp: the calls
    bool is_held_elsewhere(HoldKind kind, uint16_t value) const;
    bool add(uint8_t source, HoldKind kind, uint8_t modifiers, uint16_t value, uint8_t clicks);
    void let_go_at(uint8_t place, uint8_t ambient);
    void merge_motion();
    void drop_motion();
    void forget_all();
    // output_order.cpp: who goes first, and with which modifiers
    uint8_t ambient_now() const;
    bool blocks(const Hold& earlier, const Hold& later) const;
    bool is_blocked(uint8_t place) const;
    bool is_drained() const;
    uint8_t kept_modifiers(const Plan& plan) const;
    uint8_t wanted_modifiers(const Plan& plan) const;
    bool is_settled(uint8_t modifiers) const;
    bool is_let_go_before(uint8_t first, uint8_t second) const;
    bool waits_for_others(uint8_t place) const;
    bool is_clicking() const;
    bool is_absent(Endpoint endpoint) const;
    bool has_open_edge() const;
    bool waits_for_click_gap(const Hold& hold) const;
    bool are_modifiers_frozen() const;
    // output_keyboard.cpp
    Plan plan_key_releases() const;
    Plan plan_keys() const;
    uint8_t fill_usages(const Plan& plan, uint8_t* usages) const;
    void build_keyboard(TickOutputs& out);
    // output_pointer.cpp
    void arm_next();
    Plan plan_pointer(HoldKind kind) const;
    void build_pointer(TickOutputs& out);
    void build_mouse(const Plan& plan, bool with_wheel, TickOutputs& out);
    void build_consumer(const Plan& plan, TickOutputs& out);
    void put_mouse(uint8_t buttons, bool with_motion, bool with_wheel, TickOutputs& out);
    void put_consumer(uint16_t usage, TickOutputs& out);
    void drop_consumer();
    // output_tick.cpp: what the host read, commands, time
    void work(const TickInputs& in, TickOutputs& out, const EventSink& sink);
    bool obey(const TickInputs& in, const EventSink& sink);
    void note_taken(const TickInputs& in, const EventSink& sink);
    void count_waiting(uint32_t now_us, const EventSink& sink);
    void complete(HoldKind kind);
    void apply(const Plan& plan);
    void advance(Hold& hold, HoldStep what);
    Report& hand_over(Endpoint endpoint, uint8_t size, TickOutputs& out);
    void tell(uint32_t now_us, const TickOutputs& out, const EventSink& sink);
    void remove_gone();
    void forget_host();
    uint8_t due_forced() const;
    bool has_work() const;

    Hold holds_[k_max_holds];  // in the order of the calls
    uint8_t count_;
    Sticky sticky_;
    uint8_t lock_in_report_;  // locked bits join the report once everything called before them was shown
    uint8_t shown_modifiers_, shown_usages_[6];  // the keyboard report handed over last
    uint8_t taken_modifiers_;                    // those of the report that the host read last
    uint8_t shown_buttons_;
    uint16_t shown_consumer_;
    uint16_t waited_ms_[2];  // since the report in flight was handed over, by Endpoint
    uint8_t in_flight_;      // k_taken_*
    uint8_t forced_;         // k_force_*: all-released reports that are due
    uint8_t boot_;
    int16_t now_x_, now_y_;      // motion called before the next button edge
    int16_t later_x_, later_y_;  // motion called after it
    int16_t wheel_, pan_;
    uint8_t scroll_modifiers_;  // that the detents in wheel_ and pan_ belong to
    uint16_t edge_age_ms_;      // since the host took the last button edge; stays at 65,535
    uint16_t click_gap_ms_;
    HeldState told_;          // the last `held` event
    bool is_frame_due_;       // the modifiers of the host changed in this tick: one frame until a click
    bool is_edge_open_;       // a button edge was called and is not yet shown
    bool is_edge_of_click_;   // the last button edge was a click's
    bool is_order_at_stake_;  // the pointer report in flight holds an edge or detents
    bool is_consumer_in_flight_;
    bool was_consumer_last_;  // for taking turns on the pointer endpoint
    bool is_suspended_;
    bool has_clicked_;
    bool is_awake_;   // there may be something to do in the next tick
    bool is_broken_;  // an impossible pair was seen
};

}  // namespace engine
}  // namespace fettle
