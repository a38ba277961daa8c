#pragma once
// Recorded infrared as text, and its decoding: lines `pulse N` and `space N` in us, the form that the tools
// of LIRC write (mode2(1), ir-ctl(1)). A line may end in a comment after #; blank lines are skipped.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.hpp"
#include "core/engine/infrared_frame.hpp"

namespace fettle::sim {

/// One level of the line. `width_us`: 1 to 16777215 (24 bits, the range of a LIRC sample) as read; joined
/// widths may be larger.
struct PulseWidth {
    bool is_mark = false;
    std::uint32_t width_us = 0;
    bool operator==(const PulseWidth&) const = default;
};

/// A decoded frame and when it was on the air: us from the start of the list; `end_us` is the end of its last
/// mark.
struct TimedFrame {
    engine::IrFrame frame;
    std::uint64_t start_us = 0;
    std::uint64_t end_us = 0;
};

/// Reads the whole text. Lines of the same kind in a row are joined into one width.
/// Errors: syntax or out_of_range; `where` is "line N" (from 1), `detail` says what stands there and what
/// may.
Result<std::vector<PulseWidth>> parse_pulse_text(std::string_view text);

/// The text of a list, one line each; parse_pulse_text reads it back.
std::string format_pulse_text(const std::vector<PulseWidth>& widths);

/// Marks and spaces in turn, beginning with a mark, as encode gives them.
std::vector<PulseWidth> to_pulse_widths(const std::vector<std::uint32_t>& marks_and_spaces);

/// Decodes as a device does: silence before, each mark as it ends, running silence once a millisecond, each
/// space as it ends, and one long silence after the last. Widths of 0 are ignored, others saturate at 65535
/// us. `start_us` is that of the first mark after the last silence of 5 ms (Sharp: the echo).
std::vector<TimedFrame> decode_widths_timed(const std::vector<PulseWidth>& widths);
std::vector<engine::IrFrame> decode_widths(const std::vector<PulseWidth>& widths);

}  // namespace fettle::sim
