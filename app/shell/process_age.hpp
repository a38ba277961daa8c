#pragma once
// How long this program has been running, loader and all: for the time to the first frame.

#include <cstdint>
#include <optional>
#include <string_view>

namespace fettle::app {

/// Unit: ms, to 10 ms. Nothing where the system does not tell. Source: proc(5), /proc/[pid]/stat (22)
/// starttime.
std::optional<std::int64_t> process_age_ms();

/// The same from the two files' content and the ticks a second; for tests.
std::optional<std::int64_t> process_age_ms(std::string_view stat, std::string_view uptime,
                                           std::int64_t ticks_per_s);

}  // namespace fettle::app
