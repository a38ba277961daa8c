#include "app/plot/axis.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace fettle::app::plot {

namespace {

constexpr double k_ms = 1e3, k_s = 1e6, k_min = 60e6, k_h = 3600e6;  // us
constexpr int k_most_ticks = 200;

/// Steps of time above one second that are no powers of ten.
constexpr double k_time_steps[] = {k_s,   2 * k_s,   5 * k_s,   10 * k_s,   20 * k_s,   30 * k_s,
                                   k_min, 2 * k_min, 5 * k_min, 10 * k_min, 20 * k_min, 30 * k_min,
                                   k_h,   2 * k_h,   5 * k_h,   10 * k_h};

/// 1, 2 or 5 times a power of ten, at least `least`.
double decimal_step(double least) {
    if (!(least > 0)) return 1e-9;
    const double power = std::pow(10.0, std::floor(std::log10(least) + 1e-9));
    for (const double times : {1.0, 2.0, 5.0})
        if (power * times >= least * (1 - 1e-9)) return power * times;
    return power * 10;
}

std::string with_point(std::string text, char point) {
    if (point != '.') std::replace(text.begin(), text.end(), '.', point);
    return text;
}

/// Digits behind the point that tell multiples of `step` apart.
int decimals(double step) {
    if (!(step > 0)) return 0;
    int digits = 0;
    for (double rest = step; digits < 9; ++digits, rest *= 10)
        if (std::abs(rest - std::round(rest)) < 1e-6 * std::max(1.0, rest)) break;
    return digits;
}

std::string number(double value, int digits) {
    std::string text = fmt::format("{:.{}f}", value, digits);
    if (text.find_first_not_of("-0.") == std::string::npos && text[0] == '-') text.erase(0, 1);
    return text;
}

/// "1:02:03.5 h": hours, minutes and seconds with as many digits as the step needs. digits: of the seconds.
std::string clock_words(double us, int digits, bool has_hours) {
    const double unit = k_s / std::pow(10.0, digits);
    const double whole = std::round(std::abs(us) / unit) * unit;
    const double hours = std::floor(whole / k_h);
    const double minutes = std::floor((whole - hours * k_h) / k_min);
    const double seconds = (whole - hours * k_h - minutes * k_min) / k_s;
    const int width = digits > 0 ? digits + 3 : 2;
    const std::string sign = us < 0 && whole > 0 ? "-" : "";
    if (has_hours)
        return fmt::format("{}{:.0f}:{:02.0f}:{:0{}.{}f} h", sign, hours, minutes, std::abs(seconds), width,
                           digits);
    return fmt::format("{}{:.0f}:{:0{}.{}f} min", sign, minutes, std::abs(seconds), width, digits);
}

/// greatest: of what else stands on the axis, so that all labels have one unit.
std::string time_words(double us, double step, double greatest) {
    if (greatest >= k_h) return clock_words(us, decimals(step / k_s), true);
    if (greatest >= k_min) return clock_words(us, decimals(step / k_s), false);
    if (greatest >= k_s) return number(us / k_s, decimals(step / k_s)) + " s";
    if (greatest >= k_ms) return number(us / k_ms, decimals(step / k_ms)) + " ms";
    return number(us, decimals(step)) + " \u00b5s";
}

std::string words_at(const Axis& axis, double value, double step, double greatest) {
    if (axis.quantity == Quantity::time)
        return with_point(time_words(value, step, greatest), axis.decimal_point);
    const std::string text = with_point(number(value, decimals(step)), axis.decimal_point);
    return axis.unit.empty() ? text : text + " " + axis.unit;
}

std::vector<Tick> ticks_at(const Axis& axis, double step) {
    std::vector<Tick> all;
    const double greatest = std::max(std::abs(axis.range.from), std::abs(axis.range.to));
    const double first = std::ceil(axis.range.from / step - 1e-6);
    const double last = std::floor(axis.range.to / step + 1e-6);
    // The unit of the largest label, not of the range's end: a range of 0 to 1.04 s at steps of 200 ms.
    const double largest = std::max(std::abs(first), std::abs(last)) * step;
    const double unit_of = axis.quantity == Quantity::time ? largest : greatest;
    for (double i = first; i <= last; ++i) all.push_back({i * step, words_at(axis, i * step, step, unit_of)});
    return all;
}

bool do_fit(const std::vector<Tick>& all, const Axis& axis, const TickRoom& room, const Measure& measure) {
    const double px = static_cast<double>(room.length_px) / axis.range.span();
    for (std::size_t i = 1; i < all.size(); ++i) {
        const double apart = (all[i].at - all[i - 1].at) * px;
        const double wide = room.is_vertical
                                ? static_cast<double>(room.line_px)
                                : static_cast<double>(measure(all[i].label) + measure(all[i - 1].label)) / 2;
        if (apart < wide + static_cast<double>(room.gap_px)) return false;
    }
    return true;
}

}  // namespace

double step_from(Quantity quantity, double least) {
    if (quantity == Quantity::time && least > 0.5 * k_s) {
        for (const double step : k_time_steps)
            if (step >= least * (1 - 1e-9)) return step;
        return decimal_step(least / k_h) * k_h;
    }
    return decimal_step(least);
}

double next_step(Quantity quantity, double step) {
    return step_from(quantity, step * 1.01);
}

std::vector<Tick> ticks(const Axis& axis, const TickRoom& room, const Measure& measure) {
    const double span = axis.range.span();
    if (!(span > 0) || !std::isfinite(span) || !(room.length_px > 0)) return {};
    double least = span / k_most_ticks;
    if (axis.quantity == Quantity::plain && axis.only_whole) least = std::max(least, 1.0);
    double step = step_from(axis.quantity, least);
    for (;;) {
        std::vector<Tick> all = ticks_at(axis, step);
        if (all.size() < 2 || do_fit(all, axis, room, measure)) return all;
        step = next_step(axis.quantity, step);
    }
}

std::string value_words(const Axis& axis, double value, double step) {
    const double nice = step_from(axis.quantity, step > 0 ? step * 0.999 : 1);
    const double rounded = std::round(value / nice) * nice;
    return words_at(axis, rounded, nice, std::abs(rounded));
}

Range from_zero(double most) {
    if (!(most > 0)) return {0, 1};
    const double wanted = most * 1.05;
    const double step = decimal_step(wanted / 6);
    return {0, std::ceil(wanted / step - 1e-9) * step};
}

}  // namespace fettle::app::plot
