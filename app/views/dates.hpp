#pragma once
// Calendar times as people read them, in the computer's own time zone.

#include <cstdint>
#include <string>

namespace fettle::app {

/// "2026-03-09 14:05". Unit: ms since 1970-01-01 00:00 UTC. Empty for what is no date.
std::string date_words(std::int64_t at_ms);

}  // namespace fettle::app
