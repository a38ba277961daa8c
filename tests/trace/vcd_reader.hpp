#pragma once
// A strict reader of value change dumps, written from the grammar of IEEE 1364-2005, clause 18.2 (from memory
// of the standard): declarations up to $enddefinitions, then times and value changes. Anything else is an
// error.

#include <cstdint>
#include <map>
#include <string>
#include <vector>

namespace fettle::test {

struct VcdVariable {
    std::string type, name, code;
    int bits = 0;
};

struct Vcd {
    std::string error;  ///< empty: the file is well formed
    std::string comment, timescale;
    std::vector<VcdVariable> variables;
    struct Change {
        std::int64_t at = 0;
        std::string name, value;  ///< value: 0, 1, x, or the digits of a vector
    };
    std::vector<Change> changes;
    std::int64_t last = 0;  ///< the greatest time

    /// What the variable is at a time; empty where it has none.
    std::string value(const std::string& name, std::int64_t at) const;
    const VcdVariable* variable(const std::string& name) const;
};

Vcd read_vcd(const std::string& text);

}  // namespace fettle::test
