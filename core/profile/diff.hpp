#pragma once
// What changed from one profile to another, value by value: material for words, made without words.

#include <string>
#include <vector>

#include "core/profile/model.hpp"
#include "core/profile/tree.hpp"

namespace fettle::profile {

enum class ChangeKind : uint8_t { changed, added, removed };

/// path: keys from the top; records of named lists by their name, assignments by their input, the rest by
/// number: "rule_sets/remote/acceptance_ms". before, after: the values as the document has them on one line,
/// empty where there was none. field: what the table says of the value (unit, help), nullptr where it has
/// none.
struct Change {
    std::string path;
    ChangeKind kind = ChangeKind::changed;
    std::string before;
    std::string after;
    const Field* field = nullptr;
    bool operator==(const Change&) const = default;
};

/// In the order of the document; what was removed comes at the end of its list. Equal profiles: nothing.
/// A changed order of named records is no change by itself, save that of inputs and modes: path "inputs" or
/// "modes", before and after the names in order.
std::vector<Change> diff(const Profile& before, const Profile& after);

}  // namespace fettle::profile
