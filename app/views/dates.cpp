#include "app/views/dates.hpp"

#include <ctime>

namespace fettle::app {

std::string date_words(std::int64_t at_ms) {
    const std::time_t at_s = static_cast<std::time_t>(at_ms / 1000);
    std::tm parts{};
    if (localtime_r(&at_s, &parts) == nullptr) return {};
    char text[32];
    return {text, std::strftime(text, sizeof text, "%Y-%m-%d %H:%M", &parts)};
}

}  // namespace fettle::app
