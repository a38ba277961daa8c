#pragma once
// Names of infrared protocols and frames as people and documents write them.

#include <optional>
#include <string>
#include <string_view>

#include "core/base/result.hpp"
#include "core/engine/event.hpp"
#include "core/engine/infrared_frame.hpp"

namespace fettle::app {

/// "nec", "necx", "rc5", "rc6", "sirc12", "sirc15", "sirc20", "jvc", "samsung32", "sharp", "unknown"; "none"
/// for none.
std::string protocol_name(engine::Protocol protocol);
std::optional<engine::Protocol> protocol_named(std::string_view name);

/// What an EventKind::ir_frame tells.
engine::IrFrame frame_of_event(const engine::Event& event);

/// One line, e.g. "nec  address 0x5a  command 0x01" or "nec  repeat".
std::string frame_words(const engine::IrFrame& frame);

/// "PROTOCOL:ADDRESS:COMMAND", numbers decimal or 0x hexadecimal; sirc20 has a fourth part. Errors: syntax,
/// unknown_name, out_of_range (above 65535).
Result<engine::IrFrame> parse_frame(std::string_view text);

}  // namespace fettle::app
