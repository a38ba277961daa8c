#pragma once
// The udev rule as the tree has it (assets/udev): there is no second copy.

namespace fettle::app {

/// The whole file: lines, each ended.
extern const char* const k_udev_rule;
/// Where an administrator puts it.
inline constexpr const char* k_udev_rule_place = "/etc/udev/rules.d/70-fettle.rules";

}  // namespace fettle::app
