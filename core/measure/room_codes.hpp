#pragma once
// What the infrared receiver heard in a room: every code, who would obey it, and the noise between.

#include <cstdint>
#include <span>
#include <vector>

#include "core/engine/infrared_frame.hpp"
#include "core/trace/roll.hpp"

namespace fettle::measure {

/// One code. Repeat frames without a code (NEC) count with the code that was heard last before them in the
/// same protocol family; without one they are `orphan_repeats`.
struct RoomCode {
    engine::Protocol protocol = engine::Protocol::none;
    std::uint32_t code = 0;  ///< engine::ir_code()
    std::uint16_t address = 0, command = 0;
    std::uint8_t extended = 0;
    std::uint32_t signature = 0;  ///< only of Protocol::unknown
    std::uint32_t times = 0;      ///< whole frames
    std::uint32_t repeats = 0;    ///< frames that say `still held`
    std::int64_t first_us = 0, last_us = 0;
    std::vector<std::uint8_t> inputs;  ///< of the profile that would obey it: places in `taught`
};

struct RoomTest {
    std::vector<RoomCode> codes;  ///< in the order in which they were first heard
    std::uint32_t orphan_repeats = 0;
    std::uint32_t noise_bursts = 0, noise_edges = 0;  ///< ir_noise
    std::uint32_t unknown_frames = 0;                 ///< of Protocol::unknown, codes of their own in `codes`
    std::uint32_t gaps = 0;    ///< telemetry was lost so often: what was heard then is missing
    std::int64_t long_us = 0;  ///< of the part that was recorded
};

/// taught: what the profile's inputs are taught, Protocol::none for an input that is no button of a remote.
RoomTest room_test(const trace::Roll& roll, std::int64_t from_us, std::int64_t to_us,
                   std::span<const engine::IrFrame> taught);

}  // namespace fettle::measure
