#pragma once
// What the infrared tests share: frames of every protocol, distorted widths, decoding, vectors from files.

#include <cstdint>
#include <iosfwd>
#include <random>
#include <string>
#include <vector>

#include "core/engine/infrared.hpp"
#include "core/sim/ir_encode.hpp"
#include "core/sim/pulse_text.hpp"

namespace fettle::engine {

bool operator==(const IrFrame& a, const IrFrame& b);
std::ostream& operator<<(std::ostream& out, const IrFrame& frame);

}  // namespace fettle::engine

namespace fettle::test_infrared {

using engine::IrFrame;
using engine::Protocol;
using Widths = std::vector<std::uint32_t>;
using Random = std::mt19937;

/// Every protocol that has an encoder.
extern const std::vector<Protocol> k_all_protocols;
const char* name_of(Protocol protocol);
/// Protocol::none for a name that there is not.
Protocol protocol_named(const std::string& name);

int uniform(Random& random, int low, int high);
/// Any code of the protocol, any toggle where there is one, never a repeat.
IrFrame random_frame(Protocol protocol, Random& random);
IrFrame frame_of(Protocol protocol, unsigned address, unsigned command, unsigned toggle = engine::k_no_toggle,
                 unsigned extended = 0);

/// Scaled by scale_permille / 1000.
Widths scaled(const Widths& widths, int scale_permille);
/// Each width changed by its own amount within +-most_us.
Widths with_width_noise(const Widths& widths, int most_us, Random& random);
/// Each edge moved by its own amount within +-most_us, so each width changes by up to twice that.
Widths with_edge_noise(const Widths& widths, int most_us, Random& random);
/// What a receiver does: marks longer and spaces shorter by `us` (or the opposite, if negative).
Widths with_longer_marks(const Widths& widths, int us);

std::vector<IrFrame> decoded(const Widths& marks_and_spaces);
/// A, gap, B.
Widths joined(Widths a, std::uint32_t gap_us, const Widths& b);
/// The widths of `frame` sent `times` times in the protocol's period, as a held button does.
Widths held(const IrFrame& frame, int times);

/// Nothing, unknown, or `sent` itself and nothing else.
bool is_itself_or_unknown(const std::vector<IrFrame>& frames, const IrFrame& sent);
std::string text_of(const std::vector<IrFrame>& frames);

/// A line of tests/data/infrared_*.txt. `meaning.protocol` is unknown where the file says so.
struct Vector {
    std::string code;
    IrFrame meaning;
    Widths widths;
};
std::vector<Vector> load_vectors(const std::string& file_name);

}  // namespace fettle::test_infrared
