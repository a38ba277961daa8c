#include "app/views/presses_growing.hpp"

namespace fettle::app {

namespace {

// A roll that grows is looked at again so often at most; one ms more for so many events. Own choices.
constexpr std::int64_t k_rest_ms = 1000;
constexpr std::size_t k_events_a_ms = 200;

}  // namespace

bool GrowingRoll::is_due(const trace::Roll& now, std::int64_t now_ms) {
    const bool is_same = roll == &now && first_us == now.first_us() && events <= now.size();
    if (is_same && events == now.size() && last_us == now.last_us()) return false;
    const auto rest_ms = k_rest_ms + static_cast<std::int64_t>(now.size() / k_events_a_ms);
    if (is_same && now_ms - at_ms < rest_ms) return false;
    *this = {&now, now.size(), now.first_us(), now.last_us(), now_ms};
    return true;
}

}  // namespace fettle::app
