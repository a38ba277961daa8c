// All cases. "Offer" puts an item on show and gives it its time: period_ms, the first one first_extra_ms
// more. One of leave, pick and press is heard a ms, in this order.
//
//   state   | press                        | pick          | leave           | time of the item over
//   --------+------------------------------+---------------+-----------------+------------------------------
//   resting | offer the first item of top  | as press      | -               | (no time runs)
//   top     | automatic: TAKE              | TAKE          | resting, REST   | offer the next; after the last
//           | two_switch: as time over     |               |                 |   the first, after `rounds`
//           | hold: held, time from now on |               |                 |   passes resting, REST
//           |   (held already: nothing)    |               |                 |
//   cells   | as top                       | TAKE          | offer the first | the same, after `row_rounds`
//           |                              |               |   row, BACK     |   offer the first row, BACK
//   moving  | END_MOTION, then *           | as press      | resting,        | (no time runs)
//           |                              |               |   END_MOTION    |
//   release: hold, and its press was heard here: TAKE in top and cells, else nothing. Other styles: nothing.
//   TAKE: in top of rows: offer the first cell, ROW. Of a list: ITEM, then *. Of directions: moving,
//         BEGIN_MOTION. In cells: the item past the last one is the way back: offer the first row, BACK; else
//         ITEM, then *.
//   *     k_scan_again: offer the first item of top; else resting.
//   The count changed: none left: as `leave`. Fewer than the item on show: offer the first one. What else
//   happens in that ms is not heard: nobody could have seen what it would take.
//
// Time runs in automatic, and in hold while the press is held; in a ms in which something was heard it does
// not. In two_switch an item waits for ever. A press that stops a motion, and what is still held when
// something was taken otherwise, moves on nothing: it must go up and down again. All pairs are possible.
//
// From the press that starts (or the last selection, where it begins anew) to a selection, with the reaction
// e from an item's coming on show to its press, period p and extra x: row r is taken after
// (r - 1) * p + [r > 1] * x + e, its cell c after (c - 1) * p + [c > 1] * x + e more. With x = 0 and e = p/2:
// (r + c - 1) * p; a press in the last ms of each item, e = p: (r + c) * p.

#include "core/engine/scan.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_heard = k_scan_press | k_scan_pick | k_scan_leave;
}

void put_scan(uint8_t* to, const ScanDef& def) {
    to[0] = static_cast<uint8_t>(static_cast<uint8_t>(def.style) | (def.flags << 4));
    put16(to + 1, def.period_ms);
    put16(to + 3, def.first_extra_ms);
    to[5] = def.rounds;
    to[6] = def.row_rounds;
}

ScanDef get_scan(const uint8_t* from) {
    return ScanDef{static_cast<ScanStyle>(from[0] & 0x0Fu),
                   static_cast<uint8_t>(from[0] >> 4),
                   get16(from + 1),
                   get16(from + 3),
                   from[5],
                   from[6]};
}

void Scan::reset() {
    memset(this, 0, sizeof *this);
}

bool Scan::start(uint8_t count, const ScanDef& def) {
    if (state_ == ScanState::resting && count != 0) offer(ScanState::top, 0, def);
    return state_ != ScanState::resting;
}

bool Scan::is_timed(const ScanDef& def) const {
    if (state_ != ScanState::top && state_ != ScanState::cells) return false;
    switch (def.style) {
        case ScanStyle::automatic: return true;
        case ScanStyle::two_switch: return false;
        case ScanStyle::hold: return is_held_;
    }
    return false;
}

uint16_t Scan::shown(uint8_t count, const ScanDef& def) const {
    const bool has_back = state_ == ScanState::cells && (def.flags & k_scan_back_item) != 0;
    return static_cast<uint16_t>(count + (has_back ? 1u : 0u));
}

/// Another state begins its rounds; `top` has no row.
FETTLE_SHARED void Scan::offer(ScanState state, uint8_t item, const ScanDef& def) {
    if (state != state_) rounds_ = 0;
    if (state == ScanState::top) row_ = 0;
    state_ = state;
    item_ = item;
    left_ms_ = static_cast<uint16_t>(def.period_ms + (item == 0 ? def.first_extra_ms : 0u));
    step_.is_changed = true;
}

FETTLE_SHARED void Scan::done(ScanAct act, uint8_t row, uint8_t item) {
    step_.act = act;
    step_.row = row;
    step_.item = item;
    step_.is_changed = true;
}

FETTLE_SHARED void Scan::go_to_rest() {
    state_ = ScanState::resting;
    row_ = item_ = rounds_ = 0;
    is_held_ = false;
}

void Scan::settle(const ScanDef& def) {
    go_to_rest();
    if ((def.flags & k_scan_again) != 0) offer(ScanState::top, 0, def);
}

FETTLE_SHARED void Scan::leave(const ScanDef& def) {
    switch (state_) {
        case ScanState::resting: return;
        case ScanState::top:
            done(ScanAct::rest, 0, 0);
            go_to_rest();
            return;
        case ScanState::cells:
            done(ScanAct::back, row_, 0);
            offer(ScanState::top, 0, def);
            return;
        case ScanState::moving:
            done(ScanAct::end_motion, 0, item_);
            go_to_rest();
            return;
    }
}

FETTLE_SHARED void Scan::advance(uint8_t count, const ScanDef& def) {
    if (item_ + 1u < shown(count, def)) {
        offer(state_, static_cast<uint8_t>(item_ + 1u), def);
        return;
    }
    const uint8_t limit = state_ == ScanState::cells ? def.row_rounds : def.rounds;
    if (limit != 0 && ++rounds_ >= limit) {
        leave(def);
    } else {
        offer(state_, 0, def);
    }
}

FETTLE_SHARED void Scan::take(ScanKind kind, uint8_t count, const ScanDef& def) {
    is_held_ = false;
    if (state_ == ScanState::cells) {
        if (item_ >= count) {
            leave(def);
            return;
        }
        done(ScanAct::item, row_, item_);
        settle(def);
        return;
    }
    switch (kind) {
        case ScanKind::list:
            done(ScanAct::item, 0, item_);
            settle(def);
            return;
        case ScanKind::rows:
            done(ScanAct::row, item_, 0);
            row_ = item_;
            offer(ScanState::cells, 0, def);
            return;
        case ScanKind::directions:
            done(ScanAct::begin_motion, 0, item_);
            state_ = ScanState::moving;
            return;
    }
}

/// The switch, in top and cells.
void Scan::press(ScanKind kind, uint8_t count, const ScanDef& def) {
    switch (def.style) {
        case ScanStyle::automatic: take(kind, count, def); return;
        case ScanStyle::two_switch: advance(count, def); return;
        case ScanStyle::hold:
            if (!is_held_) offer(state_, item_, def);
            is_held_ = true;
            return;
    }
}

void Scan::hear(uint8_t events, ScanKind kind, uint8_t count, const ScanDef& def) {
    if ((events & k_scan_leave) != 0) {
        is_held_ = false;
        leave(def);
        return;
    }
    const bool is_pick = (events & k_scan_pick) != 0;
    switch (state_) {
        case ScanState::resting:
            if (start(count, def)) is_held_ = !is_pick && def.style == ScanStyle::hold;
            return;
        case ScanState::top:
        case ScanState::cells:
            if (is_pick) {
                take(kind, count, def);
            } else {
                press(kind, count, def);
            }
            return;
        case ScanState::moving:
            done(ScanAct::end_motion, 0, item_);
            settle(def);
            return;
    }
}

/// True when what was on show is there no more.
bool Scan::is_gone(uint8_t count, const ScanDef& def) {
    if (state_ != ScanState::top && state_ != ScanState::cells) return false;
    const uint16_t items = shown(count, def);
    if (item_ < items) return false;
    is_held_ = false;
    if (items == 0) {
        leave(def);
    } else {
        offer(state_, 0, def);
    }
    return true;
}

ScanStep Scan::tick(uint8_t events, ScanKind kind, uint8_t count, const ScanDef& def) {
    step_ = ScanStep{ScanAct::nothing, 0, 0, false};
    if (is_gone(count, def)) return step_;
    if ((events & k_heard) != 0) hear(events, kind, count, def);
    const bool lets_go = (events & k_scan_release) != 0 && is_held_;
    if (lets_go) {
        is_held_ = false;
        take(kind, count, def);
    }
    if ((events & k_heard) != 0 || lets_go || !is_timed(def)) return step_;
    if (left_ms_ > 1) {
        --left_ms_;
    } else {
        advance(count, def);
    }
    return step_;
}

}  // namespace engine
}  // namespace fettle
