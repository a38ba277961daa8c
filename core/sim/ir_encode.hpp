#pragma once
// What a remote sends for a frame: the widths on the air of every protocol that the engine decodes. Used by
// the virtual remote and by tests; written from the protocols' own timings, sharing nothing with the
// decoders.

#include <cstdint>
#include <vector>

#include "core/engine/infrared_frame.hpp"

namespace fettle::sim {

/// Marks and spaces in turn, us, beginning and ending with a mark, as the protocol's nominal timings have
/// them. `frame.repeat` gives what the protocol sends while a button is held: the short frame of NEC, the JVC
/// frame without leader; the others send the whole frame again. A toggle other than 0 or 1 counts as 0. Bits
/// of address, command and extended beyond the protocol's are dropped. Sharp: message, 40 ms, echo. Empty for
/// Protocol::none and Protocol::unknown, and for a necx whose address another name is for: second byte the
/// complement of the first is nec. Source of timings: Linux 6.1, drivers/media/rc; units of us 562.5, 560,
/// 525, 600, 889, 444; Samsung 32: common practice, no source.
std::vector<std::uint32_t> encode(const engine::IrFrame& frame);

/// From the start of a frame to the start of the next while a button is held. Unit: us. 0 for none and
/// unknown. Source: Linux 6.1 and lirc's own configurations; jvc (50 to 60 ms) and samsung32: common
/// practice, no source; sharp: own choice, the message follows its echo after 40 ms or more.
std::uint32_t period_us(engine::Protocol protocol);

/// Carrier of the protocol. Unit: Hz. Source: Linux 6.1, the encoders of drivers/media/rc; samsung32: common
/// practice, no source. 0 for none and unknown.
std::uint32_t carrier_hz(engine::Protocol protocol);

}  // namespace fettle::sim
