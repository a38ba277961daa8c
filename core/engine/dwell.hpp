#pragma once
// A click by resting: for pointers that move continuously (a stick, a tube), and for people to whom a press
// is the hard part. The pointer rests inside a round circle for rest_ms and something is done, once; nothing
// more until it moved on. Cases: dwell.cpp. Pure, one call a ms. Freestanding C++14.

#include "core/engine/bytes.hpp"

namespace fettle {
namespace engine {

/// What a dwell does.
enum class DwellKind : uint8_t {
    click = 0,
    double_click = 1,
    secondary_click = 2,
    drag = 3,  ///< one dwell holds the primary button, the next one lets go
};

/// What is to be done now. A drag_end only after a drag_begin.
enum class DwellAct : uint8_t {
    nothing = 0,
    click = 1,
    double_click = 2,
    secondary_click = 3,
    drag_begin = 4,
    drag_end = 5,
};

/// 5 bytes: usual | flags << 4, rest_ms, radius_counts, arm_counts.
struct DwellDef {
    DwellKind usual;  ///< what a dwell does when nothing else was chosen
    uint8_t flags;    ///< k_dwell_keeps_choice
    uint16_t
        rest_ms;  ///< 200 to 10000. A hand's tremor at 4 Hz turns back every 125 ms: shorter clicks there
    uint8_t
        radius_counts;   ///< 1 to 255. Tremor of up to half the radius to each side never leaves the circle
    uint8_t arm_counts;  ///< radius_counts to 255: it must have moved farther than this from the last dwell,
                         ///< and from where it was at the start, before the next one counts
};
constexpr uint8_t k_dwell_bytes = 5;
constexpr uint8_t k_dwell_keeps_choice = 1;         ///< what was chosen stays chosen; else for one dwell only
constexpr uint16_t k_dwell_shortest_rest_ms = 200;  ///< never shorter, whatever a broken record says

void put_dwell(uint8_t* to, const DwellDef& def);
DwellDef get_dwell(const uint8_t* from);

class Dwell {
public:
    /// Nothing chosen, not paused, no drag, not armed. Call before first use and when another profile was
    /// loaded; the caller has let go of what is held.
    void reset();

    /// What the next dwell does. A drag that was begun ends first.
    void choose(DwellKind kind) { chosen_ = static_cast<uint8_t>(kind); }
    /// Nothing is done until resume(); a drag that was begun ends with the next tick. Kept through let_go().
    void pause() { state_ = State::paused; }
    /// Goes on; it must move before it counts. Not paused: nothing.
    void resume();
    /// The caller let everything go: a drag that was begun is forgotten, so is what was chosen.
    void let_go();

    /// One ms. dx, dy: counts that the pointer was given in it. is_other_held: a button is held by something
    /// else than this machine (a drag, a press): nothing is done then, and after it the pointer must move
    /// before a dwell counts.
    DwellAct tick(int16_t dx, int16_t dy, bool is_other_held, const DwellDef& def);

    bool is_paused() const { return state_ == State::paused; }
    /// It moved far enough: resting now would do something.
    bool is_armed() const { return state_ == State::armed; }
    bool is_dragging() const { return is_dragging_; }
    /// What the next dwell does: a drag's end is `drag`.
    DwellKind next(const DwellDef& def) const;
    /// How much of the rest is over. 0 to 255 (255 is never reached: it acts); 0 while nothing runs.
    uint8_t progress(const DwellDef& def) const;

private:
    enum class State : uint8_t { away = 0, armed = 1, paused = 2 };

    void stay_away();
    DwellAct act(const DwellDef& def);

    int16_t x_, y_;  ///< counts from the anchor: the last dwell (away), where the rest began (armed)
    uint16_t rested_ms_;
    State state_;
    uint8_t chosen_;  ///< DwellKind, or k_dwell_usual
    bool is_dragging_;
};

}  // namespace engine
}  // namespace fettle
