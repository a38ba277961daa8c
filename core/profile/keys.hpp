#pragma once
// Names of keys: HID usages of page 07 (keyboard) and page 0C (consumer) as this project's documents spell
// them. Every usage has a name: those without one of their own are "usage_" and hexadecimal digits (two for
// page 07, three for page 0C). Source of the numbers: HID Usage Tables; held against the kernel's, xkb's and
// a protocol analyser's tables by tests.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace fettle::profile {

struct NamedUsage {
    uint16_t usage;
    const char* name;
};

/// The usages that have names of their own, in the order of their numbers.
const std::vector<NamedUsage>& key_table();
const std::vector<NamedUsage>& consumer_table();

inline constexpr uint8_t k_first_key = 0x04;
inline constexpr uint8_t k_last_key =
    0xA4;  ///< as the keyboard report has it; modifiers are no keys of their own
inline constexpr uint16_t k_last_consumer = 0x3FF;

/// usage: 0x04 to 0xA4. Gives "usage_xx" outside the table.
std::string key_name(uint8_t usage);
/// Nothing for a name that is none, or a number outside the range.
std::optional<uint8_t> key_usage(std::string_view name);
/// usage: 1 to 0x3FF.
std::string consumer_name(uint16_t usage);
std::optional<uint16_t> consumer_usage(std::string_view name);

/// Names of the modifiers in HID bit order that are set.
std::vector<std::string> modifier_names(uint8_t modifiers);

}  // namespace fettle::profile
