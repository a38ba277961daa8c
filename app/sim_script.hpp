#pragma once
// A timed script for the simulated device's hands: what a person would do, line by line.
//
//   # a comment
//   at 200 press up 150              the profile's input `up`, pressed at 200 ms for 150 ms
//   at 900 frame nec:0x5a:0x02 300   any remote's button
//   at 1500 edge 1 low               a raw edge on a line (0 the infrared receiver, 1 to 8 switches)
//   at 2000 pulses held.txt          recorded pulses from a file, beside the script
//   at 2500 axis stick_x 800         a deflection in permille
//   at 3000 leds caps                what the computer's keyboard lights show: num, caps, scroll, or none
//   air jitter 40 lost 100 noise 2   the remote from here on: edge jitter us, lost repeats permille, bursts a
//   second contact 5000 3                   switches from here on: they bounce for so many us, so many times
//   end 8000                         run until then (otherwise: 2 s after the last line)

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/profile/model.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::app {

struct ScriptStep {
    enum class Kind { press, frame, edge, pulses, axis, leds, air, contact };
    Kind kind = Kind::press;
    std::uint64_t at_us = 0;
    std::uint32_t hold_ms = 0;
    std::string input;                  ///< press
    engine::IrFrame frame{};            ///< frame
    std::uint8_t line = 0;              ///< edge; axis: its number
    std::int16_t value = 0;             ///< edge: level; axis: permille; leds: bits
    std::vector<std::uint32_t> widths;  ///< pulses: us, beginning with a mark
    sim::Air air;
    sim::Contact contact;
};

struct Script {
    std::vector<ScriptStep> steps;
    std::uint64_t end_us = 0;
};

/// folder: where `pulses` files are looked for. Errors: syntax, unknown_name, out_of_range with the line;
/// those of read_file.
Result<Script> parse_script(std::string_view text, const profile::Profile& profile,
                            const std::string& folder);

/// The script in a file; its `pulses` files are looked for beside it. Errors: those of read_file and of
/// parse_script.
Result<Script> load_script(const std::string& path, const profile::Profile& profile);

/// Hands the whole script to the simulated device, its time 0 being the device's `from_us`. LEDs are not
/// hands': see lights().
void play(const Script& script, const profile::Profile& profile, std::uint64_t from_us, sim::Hands& hands);

/// The computer's lights at a time of the script.
std::uint8_t lights(const Script& script, std::uint64_t at_us);

/// Presses an input of a profile, whatever it is: a remote's button, a switch, a deflection.
void press_input(const profile::Input& input, std::uint64_t at_us, std::uint32_t hold_ms, sim::Hands& hands);

/// The frame that a taught infrared input listens to.
engine::IrFrame frame_of(const profile::Infrared& source);

}  // namespace fettle::app
