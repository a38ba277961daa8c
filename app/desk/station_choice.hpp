#pragma once
// Which of the attached devices a station opens. Pure.

#include <optional>
#include <string>
#include <vector>

#include "core/link/link.hpp"

namespace fettle::app {

/// What is wanted, and what it was before.
struct Wanted {
    std::string which;  ///< a path, that of a fallback, a serial number or a place; "": what there is
    std::optional<link::Attached> pinned;  ///< it was live: nothing but this device, wherever it comes back
    /// Places (paths, where there are none) at which other devices with the pinned one's serial number were
    /// seen beside it.
    std::vector<std::string> twins{};
};

struct Choice {
    std::optional<link::Attached> open;
    std::optional<link::Attached> barred;  ///< it would be the one, but the system does not let it be opened
};

/// Of what there is: the real device; of several that can be opened none, the person chooses. One that is
/// barred comes before the simulated one: it must be seen that it is barred. A pinned device is known by its
/// serial number, at any place and over any channel; one without by its place. Of several with the pinned
/// one's number only the one at its place is it, unless the others were never seen beside it and there is
/// only one now.
Choice choose(const std::vector<link::Attached>& found, const Wanted& wanted);

/// Adds to the twins what is found beside the pinned device.
void note_twins(Wanted& wanted, const std::vector<link::Attached>& found);

}  // namespace fettle::app
