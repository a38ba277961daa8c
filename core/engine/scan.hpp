#pragma once
// Scanning: items are offered one after the other, and one press takes the one on show. For people with one
// or two reliable movements. The machine counts items and time; what the items are is the caller's. Cases and
// times: scan.cpp. Pure, one call a ms. Freestanding C++14.

#include "core/engine/bytes.hpp"

namespace fettle {
namespace engine {

/// Who moves on to the next item.
enum class ScanStyle : uint8_t {
    automatic = 0,   ///< time; a press takes the item
    two_switch = 1,  ///< each press of one switch; the other one takes the item
    hold = 2,        ///< time, while the switch is held; letting go takes the item
};

/// What is scanned: the caller's, and constant from reset() on.
enum class ScanKind : uint8_t {
    list = 0,        ///< a mode's actions
    rows = 1,        ///< the rows of a grid, then the cells of one
    directions = 2,  ///< pointer directions: motion begins with a choice and ends with the next press
};

/// 7 bytes: style | flags << 4, period_ms, first_extra_ms, rounds, row_rounds.
struct ScanDef {
    ScanStyle style;
    uint8_t flags;            ///< k_scan_*
    uint16_t period_ms;       ///< each item is on show this long. 200 to 10000 (press time / 0.65: Simpson,
                              ///< Koester & LoPresti, RESNA 2006)
    uint16_t first_extra_ms;  ///< the first item this much longer, in every round. 0 to 10000
    uint8_t rounds;           ///< of the list or the rows, then it rests. 0: for ever
    uint8_t row_rounds;       ///< of the cells of a row, then back to the rows. 0: never
};
constexpr uint8_t k_scan_bytes = 7;
constexpr uint8_t k_scan_again = 1;      ///< after something was taken it begins anew, else it rests
constexpr uint8_t k_scan_back_item = 2;  ///< each row has one item more at its end: back to the rows

void put_scan(uint8_t* to, const ScanDef& def);
ScanDef get_scan(const uint8_t* from);

/// What happened in this ms, as bits. `press` comes before `release` when both are set.
constexpr uint8_t k_scan_press = 1;    ///< the (first) switch went down
constexpr uint8_t k_scan_release = 2;  ///< and up
constexpr uint8_t k_scan_pick = 4;     ///< the second switch went down: takes the item in every style
constexpr uint8_t k_scan_leave = 8;    ///< a way out by another input or a long press: up by one level

/// What came of it.
enum class ScanAct : uint8_t {
    nothing = 0,
    row = 1,           ///< a row was taken: its cells are offered from now on
    item = 2,          ///< an item of the list, or the cell `item` of `row`, was taken
    begin_motion = 3,  ///< the direction `item` was taken: move until end_motion
    end_motion = 4,
    back = 5,  ///< from the cells to the rows, nothing taken
    rest = 6,  ///< nothing is offered any more, nothing taken
};
struct ScanStep {
    ScanAct act;
    uint8_t row;      ///< what act is about; 0 where it has no row
    uint8_t item;     ///< the same
    bool is_changed;  ///< state, row() or item() changed: for display and telemetry
};

enum class ScanState : uint8_t {
    resting = 0,
    top = 1,  ///< the list, the rows or the directions are offered
    cells = 2,
    moving = 3,  ///< a direction was taken
};

class Scan {
public:
    /// Rests. Call before first use, and when another profile, mode or kind comes; the caller ends a motion.
    void reset();
    /// Offers the first item, as if the switch had been pressed while it rested: for an action "scan now".
    /// Not while it does something already. Gives true when something is offered now.
    bool start(uint8_t count, const ScanDef& def);

    /// One ms. count: items of the list, rows, cells of row() or directions, whichever is offered now, 0 to
    /// 254; 0 gives nothing to offer. It may change: an item past the end becomes the first.
    ScanStep tick(uint8_t events, ScanKind kind, uint8_t count, const ScanDef& def);

    ScanState state() const { return state_; }
    /// The row whose cells are offered.
    uint8_t row() const { return row_; }
    /// The item on show (top, cells) or the direction moved in (moving). In `cells`, `count` is the way back.
    uint8_t item() const { return item_; }
    /// ms until the next one, 0 where no time runs.
    uint16_t left_ms(const ScanDef& def) const { return is_timed(def) ? left_ms_ : uint16_t{0}; }

private:
    bool is_timed(const ScanDef& def) const;
    bool is_gone(uint8_t count, const ScanDef& def);
    uint16_t shown(uint8_t count, const ScanDef& def) const;
    void hear(uint8_t events, ScanKind kind, uint8_t count, const ScanDef& def);
    void press(ScanKind kind, uint8_t count, const ScanDef& def);
    void take(ScanKind kind, uint8_t count, const ScanDef& def);
    void advance(uint8_t count, const ScanDef& def);
    void leave(const ScanDef& def);
    void settle(const ScanDef& def);
    void offer(ScanState state, uint8_t item, const ScanDef& def);
    void go_to_rest();
    void done(ScanAct act, uint8_t row, uint8_t item);

    ScanState state_;
    uint8_t row_, item_;
    uint8_t rounds_;  ///< passes that are over
    uint16_t left_ms_;
    bool is_held_;   ///< hold: the press that moves on goes on
    ScanStep step_;  ///< of this ms, while it is made
};

}  // namespace engine
}  // namespace fettle
