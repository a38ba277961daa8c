#pragma once
// A profile for tests, said in few words and packed as setup.hpp describes it: mirror bytes and storage
// bytes. Its own small packer, so that an engine test needs no other room.

#include <cstdint>
#include <string>
#include <vector>

#include "core/engine/infrared_frame.hpp"
#include "core/engine/setup.hpp"

namespace fettle::engine::testing {

// Actions, in the words of the design.
ActionDef tap_key(std::uint8_t usage, std::uint8_t modifiers = 0);
ActionDef hold_key(std::uint8_t usage, std::uint8_t modifiers = 0);
ActionDef repeat_key(std::uint8_t usage, std::uint8_t repeat, std::uint8_t modifiers = 0);
ActionDef latch(std::uint8_t modifiers, LatchStyle style = LatchStyle::latch_then_lock);
ActionDef hold_button(std::uint8_t buttons = 1);
ActionDef click(std::uint8_t buttons = 1);
ActionDef double_click(std::uint8_t buttons = 1);
ActionDef drag(std::uint8_t buttons = 1);
ActionDef move(Direction direction, std::uint8_t motion = 0);
ActionDef scroll(Direction direction, std::uint8_t detents = 1, std::uint8_t repeat_plus_one = 0);
ActionDef mode(ModeStyle style, std::uint8_t to = 0);
ActionDef consumer(std::uint16_t usage, bool is_held);
ActionDef text(std::uint8_t index);
ActionDef grid_move(Direction direction, std::uint8_t repeat_plus_one = 0);
ActionDef grid_pick();
ActionDef jump(Direction direction, std::uint16_t counts);
ActionDef scale(ScaleStyle style, std::uint16_t permille);
ActionDef variant(bool is_next, std::uint8_t to = 0);
ActionDef simple(ActionKind kind);  ///< release_all, keep, revert, extend

/// Everything off, longest hold 60 s.
RuleDef plain_rule();

class Profile {
public:
    /// One mode, one rule (plain_rule), the motion and repeat settings below.
    Profile();

    // Each gives the input's number.
    std::uint8_t add_switch(std::uint8_t line, std::uint8_t rule = 0, bool is_closed_low = false);
    std::uint8_t add_remote(Protocol protocol, std::uint16_t address, std::uint16_t command,
                            std::uint8_t rule = 0);
    std::uint8_t add_axis(std::uint8_t axis, bool is_negative, std::uint8_t down_at, std::uint8_t up_at,
                          std::uint8_t rule = 0);

    /// Short, long or double press of an input in a mode.
    void assign(std::uint8_t mode, std::uint8_t input, const ActionDef& action,
                Gesture gesture = Gesture::short_press);
    /// In every mode that there is then.
    void assign_everywhere(std::uint8_t input, const ActionDef& action);
    std::uint8_t number_of(const ActionDef& action);  ///< adds it where it is new

    std::uint8_t mode_count = 1;
    std::vector<InputDef> inputs;
    std::vector<RuleDef> rules{plain_rule()};
    /// Motion 0: first step 1, delay 300 ms, then 1 count a ms at once.
    std::vector<std::vector<std::uint8_t>> motions;
    /// Repeat 0: after 500 ms every 100 ms.
    std::vector<RepeatDef> repeats{{500, 100}};
    std::vector<std::vector<std::uint8_t>> texts;  ///< strokes
    std::vector<std::string> labels;
    std::uint8_t grid_rows = 0, grid_columns = 0;
    std::vector<std::uint8_t> grid;  ///< strokes
    std::uint8_t variant_count = 1;
    std::uint16_t stroke_gap_ms = 20, click_gap_ms = 50;

    /// Fills `setup`; `image` gets what is read from storage. The caller sets setup.storage.
    void build(Setup& setup, std::vector<std::uint8_t>& image) const;

private:
    struct Cell {
        std::uint8_t mode, input, number;
        Gesture gesture;
    };
    std::vector<ActionDef> actions_;
    std::vector<Cell> cells_;
};

/// A motion record that travels at a constant speed from the end of the delay on.
std::vector<std::uint8_t> steady_motion(std::uint8_t first_step, std::uint16_t delay_ms,
                                        std::uint32_t counts_a_ms_q16);

}  // namespace fettle::engine::testing
