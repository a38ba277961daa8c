#pragma once
// One thing that output holds down, and its way through being shown to the host.
//
//   state      | turn: its order came | built: put into a report | taken: the host read that report
//   -----------+----------------------+--------------------------+------------------------------------------
//   waiting    | armed                | impossible               | impossible
//   armed      | impossible           | pressing                 | impossible
//   pressing   | impossible           | impossible               | down
//   down       | impossible           | releasing                | impossible
//   releasing  | impossible           | impossible               | gone; between, when another click follows
//   between    | impossible           | pressing                 | impossible
//   gone       | impossible           | impossible               | impossible
//
// waiting: in no report; earlier things go first. armed: next of its endpoint; its modifiers are in the
// keyboard report, the thing itself is not. pressing and releasing: in the report that was handed over, not
// yet read. down: the host knows. A thing that is let go early still takes every step, so both edges are
// seen.

#include "core/engine/bytes.hpp"

namespace fettle {
namespace engine {

enum class HoldKind : uint8_t { keys = 0, buttons = 1, consumer = 2 };
enum class HoldState : uint8_t { waiting, armed, pressing, down, releasing, between, gone };
enum class HoldStep : uint8_t { turn, built, taken };

/// An input's number, or one of these.
constexpr uint8_t k_source_drag = 253;  ///< a drag: held until the next press of it
constexpr uint8_t k_source_tap = 254;   ///< taps and clicks: nobody has to let them go

struct Hold {
    uint8_t source;
    HoldKind kind FETTLE_BITS(2);
    HoldState state FETTLE_BITS(3);
    uint8_t clicks FETTLE_BITS(2);  ///< buttons: presses still to be shown, the present one included
    /// 0: not let go; otherwise to be released once its press was taken, lower ones first
    uint8_t let_go_order;
    uint8_t modifiers;  ///< held with it until it is over
    uint8_t ambient;    ///< modifiers of others that must be seen with its edges (press; release once let go)
    uint16_t value;     ///< usage (0: modifiers only) or buttons

    bool is_tap() const { return source == k_source_tap; }
    uint8_t needs() const { return static_cast<uint8_t>(modifiers | ambient); }
    bool is_key() const { return kind == HoldKind::keys; }
    /// In the report that is built now: its key or button shows as down.
    bool is_shown() const { return state == HoldState::pressing || state == HoldState::down; }
    /// Somebody still wants it down.
    bool is_wanted() const { return !is_tap() && let_go_order == 0; }
    /// Its press was taken and it only waits for an end.
    bool is_resting() const { return is_wanted() && state == HoldState::down; }
};

/// The table on top. False for an impossible pair: nothing is changed, a bug to be reported.
bool step(Hold& hold, HoldStep what);

}  // namespace engine
}  // namespace fettle
