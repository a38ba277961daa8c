#include "app/plot/decimate.hpp"

#include <algorithm>

namespace fettle::app::plot {

namespace {

using Iterator = std::span<const Sample>::iterator;

Iterator first_from(std::span<const Sample> samples, double x) {
    return std::lower_bound(samples.begin(), samples.end(), x,
                            [](const Sample& s, double at) { return s.x < at; });
}

/// What is drawn of the samples that share a column.
void put_column(std::vector<Sample>& out, std::span<const Sample> column) {
    const Sample* least = column.data();
    const Sample* most = column.data();
    for (const Sample& s : column) {
        if (s.y < least->y) least = &s;
        if (s.y > most->y) most = &s;
    }
    const Sample* picked[] = {&column.front(), std::min(least, most), std::max(least, most), &column.back()};
    const Sample* before = nullptr;
    for (const Sample* s : picked) {
        if (s != before) out.push_back(*s);
        before = s;
    }
}

}  // namespace

std::vector<Sample> decimate(std::span<const Sample> samples, Range x, std::size_t columns) {
    std::vector<Sample> out;
    if (samples.empty() || columns == 0 || !(x.span() > 0)) return out;
    const auto begin = first_from(samples, x.from);
    auto end =
        std::upper_bound(begin, samples.end(), x.to, [](double at, const Sample& s) { return at < s.x; });
    if (begin != samples.begin()) out.push_back(*(begin - 1));
    for (auto it = begin; it != end;) {
        const double place = (it->x - x.from) / x.span() * static_cast<double>(columns);
        const double next = x.from + (static_cast<double>(static_cast<std::size_t>(place)) + 1) * x.span() /
                                         static_cast<double>(columns);
        auto stop = std::lower_bound(it, end, next, [](const Sample& s, double at) { return s.x < at; });
        if (stop == it) ++stop;
        put_column(out, std::span<const Sample>(it, stop));
        it = stop;
    }
    if (end != samples.end()) out.push_back(*end);
    return out;
}

std::optional<double> value_at(std::span<const Sample> samples, double x) {
    if (samples.empty() || x < samples.front().x || x > samples.back().x) return std::nullopt;
    const auto after = first_from(samples, x);
    if (after->x == x || after == samples.begin()) return after->y;
    const Sample& a = *(after - 1);
    const Sample& b = *after;
    return a.y + (b.y - a.y) * (x - a.x) / (b.x - a.x);
}

std::optional<double> step_at(std::span<const Sample> samples, double x) {
    const auto after = std::upper_bound(samples.begin(), samples.end(), x,
                                        [](double at, const Sample& s) { return at < s.x; });
    if (after == samples.begin()) return std::nullopt;
    return (after - 1)->y;
}

std::optional<Range> reach(std::span<const Sample> samples) {
    if (samples.empty()) return std::nullopt;
    Range range{samples.front().y, samples.front().y};
    for (const Sample& s : samples) {
        range.from = std::min(range.from, s.y);
        range.to = std::max(range.to, s.y);
    }
    return range;
}

}  // namespace fettle::app::plot
