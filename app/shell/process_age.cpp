#include "app/shell/process_age.hpp"

#include <unistd.h>

#include <charconv>

#include "core/base/files.hpp"

namespace fettle::app {

namespace {

/// The number in front, and what stands behind it.
std::optional<std::int64_t> take_number(std::string_view& text) {
    std::int64_t number = 0;
    const auto read = std::from_chars(text.data(), text.data() + text.size(), number);
    if (read.ec != std::errc() || number < 0) return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(read.ptr - text.data()));
    return number;
}

}  // namespace

std::optional<std::int64_t> process_age_ms(std::string_view stat, std::string_view uptime,
                                           std::int64_t ticks_per_s) {
    constexpr int k_fields_after_name = 20;  // from state (3) to starttime (22)
    const std::size_t name_end = stat.rfind(')');
    if (name_end == std::string_view::npos || ticks_per_s <= 0) return std::nullopt;
    stat.remove_prefix(name_end + 1);
    for (int i = 0; i < k_fields_after_name; ++i) {
        const std::size_t space = stat.find(' ');
        if (space == std::string_view::npos) return std::nullopt;
        stat.remove_prefix(i + 1 < k_fields_after_name ? stat.find_first_not_of(' ', space) : space + 1);
    }
    const auto ticks = take_number(stat);
    const auto whole_s = take_number(uptime);
    if (!ticks || !whole_s || !uptime.starts_with('.')) return std::nullopt;
    uptime.remove_prefix(1);
    const auto hundredths = take_number(uptime);
    if (!hundredths) return std::nullopt;
    return *whole_s * 1000 + *hundredths * 10 - *ticks * 1000 / ticks_per_s;
}

std::optional<std::int64_t> process_age_ms() {
    constexpr std::size_t k_most_bytes = 4096;
    const auto stat = read_file("/proc/self/stat", k_most_bytes);
    const auto uptime = read_file("/proc/uptime", k_most_bytes);
    if (!stat || !uptime) return std::nullopt;
    return process_age_ms(*stat, *uptime, ::sysconf(_SC_CLK_TCK));
}

}  // namespace fettle::app
