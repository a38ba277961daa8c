#pragma once
// The seam between texts and keyboard layouts: the device keeps strokes, people write characters.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/profile/model.hpp"

namespace fettle::profile {

/// One keyboard layout, as far as typing goes. Implementations must agree with themselves:
/// strokes_for(*text_for(s)) is {s}.
class StrokeSource {
public:
    virtual ~StrokeSource() = default;
    /// Strokes that type the whole text; nothing when a character of it cannot be typed.
    virtual std::optional<std::vector<Stroke>> strokes_for(std::string_view utf8) const = 0;
    /// The printable character that one stroke types (no control characters, no dead keys); nothing if none.
    virtual std::optional<std::string> text_for(Stroke stroke) const = 0;
};

}  // namespace fettle::profile
