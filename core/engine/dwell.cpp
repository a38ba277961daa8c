// All cases. "Out": farther from the anchor than the radius (armed) or than arm_counts (away), as the square
// of the distance: the circle is round, and on its line is inside.
//
//   state  | other held       | out                         | inside
//   -------+------------------+-----------------------------+------------------------------------------------
//   away   | anchor here      | armed, anchor here, rest 0  | -
//   armed  | away, anchor     | anchor here, rest 0 (moving | rest + 1 ms; at rest_ms: ACT, away, anchor here
//          | here             | on cancels)                 |
//   paused | -                | -                           | -
//   In `paused` a drag that was begun ends with the first tick: DRAG_END.
//   reset(), let_go(): away (paused stays), anchor here. pause(): paused. resume(): away from paused only.
//
//   ACT is DRAG_END while a drag of its own is held, whatever was chosen (that stays for the one after it);
//   else what was chosen, which is used up by it unless choices are kept; else what is usual.
//
// All pairs are possible. Time: out in ms t, ACT in ms t + rest_ms. A pointer that creeps through the circle
// at more than radius / rest_ms is out again in time, so it never clicks; one that spirals in clicks rest_ms
// after it was out last. Nothing carries over: 9 bytes are all there is.

#include "core/engine/dwell.hpp"

namespace fettle {
namespace engine {

namespace {

constexpr uint8_t k_dwell_usual = 0xFF;
constexpr int16_t k_far_counts = 16000;  // squares of two stay within 32 bits

FETTLE_SHARED int16_t moved(int16_t at, int16_t by) {
    const int32_t sum = static_cast<int32_t>(at) + by;
    return static_cast<int16_t>(sum > k_far_counts    ? k_far_counts
                                : sum < -k_far_counts ? -k_far_counts
                                                      : sum);
}

bool is_out(int16_t x, int16_t y, uint8_t limit) {
    const uint32_t squares = static_cast<uint32_t>(static_cast<int32_t>(x) * x) +
                             static_cast<uint32_t>(static_cast<int32_t>(y) * y);
    return squares > static_cast<uint32_t>(limit) * limit;
}

uint16_t rest_of(const DwellDef& def) {
    return def.rest_ms < k_dwell_shortest_rest_ms ? k_dwell_shortest_rest_ms : def.rest_ms;
}

}  // namespace

void put_dwell(uint8_t* to, const DwellDef& def) {
    to[0] = static_cast<uint8_t>(static_cast<uint8_t>(def.usual) | (def.flags << 4));
    put16(to + 1, def.rest_ms);
    to[3] = def.radius_counts;
    to[4] = def.arm_counts;
}

DwellDef get_dwell(const uint8_t* from) {
    return DwellDef{static_cast<DwellKind>(from[0] & 0x03u), static_cast<uint8_t>(from[0] >> 4),
                    get16(from + 1), from[3], from[4]};
}

void Dwell::reset() {
    is_dragging_ = false;
    chosen_ = k_dwell_usual;
    stay_away();
}

FETTLE_SHARED void Dwell::stay_away() {
    state_ = State::away;
    x_ = y_ = 0;
    rested_ms_ = 0;
}

void Dwell::resume() {
    if (state_ == State::paused) stay_away();
}

void Dwell::let_go() {
    const bool was_paused = is_paused();
    reset();
    if (was_paused) pause();
}

DwellKind Dwell::next(const DwellDef& def) const {
    if (is_dragging_) return DwellKind::drag;
    return chosen_ == k_dwell_usual ? def.usual : static_cast<DwellKind>(chosen_);
}

DwellAct Dwell::act(const DwellDef& def) {
    const DwellKind kind = next(def);
    if (is_dragging_) {
        is_dragging_ = false;
        return DwellAct::drag_end;
    }
    if ((def.flags & k_dwell_keeps_choice) == 0) chosen_ = k_dwell_usual;
    switch (kind) {
        case DwellKind::click: return DwellAct::click;
        case DwellKind::double_click: return DwellAct::double_click;
        case DwellKind::secondary_click: return DwellAct::secondary_click;
        case DwellKind::drag: is_dragging_ = true; return DwellAct::drag_begin;
    }
    return DwellAct::nothing;
}

DwellAct Dwell::tick(int16_t dx, int16_t dy, bool is_other_held, const DwellDef& def) {
    if (state_ == State::paused) {
        const bool ends = is_dragging_;
        is_dragging_ = false;
        return ends ? DwellAct::drag_end : DwellAct::nothing;
    }
    if (is_other_held) {
        stay_away();
        return DwellAct::nothing;
    }
    const bool was_armed = state_ == State::armed;
    x_ = moved(x_, dx);
    y_ = moved(y_, dy);
    if (is_out(x_, y_, was_armed ? def.radius_counts : def.arm_counts)) {
        stay_away();
        state_ = State::armed;
        return DwellAct::nothing;
    }
    if (!was_armed || ++rested_ms_ < rest_of(def)) return DwellAct::nothing;
    stay_away();
    return act(def);
}

uint8_t Dwell::progress(const DwellDef& def) const {
    if (state_ != State::armed) return 0;
    return static_cast<uint8_t>(static_cast<uint32_t>(rested_ms_) * 255u / rest_of(def));
}

}  // namespace engine
}  // namespace fettle
