#pragma once
// The lanes of the time line: which there are, and how each is drawn. Cost: the columns of pixels, not what
// is recorded.

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "app/ui/ui.hpp"
#include "app/views/presses_columns.hpp"
#include "app/words/event_names.hpp"
#include "core/trace/roll.hpp"

namespace fettle::app {

/// One row of the time line. Inputs: level, press, rejected marks, gestures and actions in one row.
struct LaneRow {
    std::string label;
    bool is_input = false;
    std::uint8_t input = 0;
    trace::LaneKind kind = trace::LaneKind::mode;  ///< of a row that is no input's
};

/// One for each input that has a name or was heard of, then mode, what is held, keyboard, buttons, pointer,
/// infrared, noise, lost. Which ones does not depend on what is seen.
std::vector<LaneRow> lane_rows(const ui::Ui& ui, const trace::Roll& roll, const EventNames& names);

struct LanePlace {
    ui::Rect rect;
    std::int64_t from_us = 0, to_us = 0;
};
constexpr float k_lane_column_px = 2;  // own choice: finer is not seen

/// keeper: looks at the same view. from_us < to_us.
void draw_lane(const ui::Ui& ui, ImDrawList* draw, const LaneRow& row, const LanePlace& place,
               const trace::Roll& roll, const EventNames& names, ColumnKeeper& keeper);

/// What a row is at one time, in words: "down, pressed", "mode far"; empty: at rest.
std::string lane_words(const ui::Ui& ui, const LaneRow& row, const trace::Roll& roll, const EventNames& names,
                       std::int64_t us);

}  // namespace fettle::app
