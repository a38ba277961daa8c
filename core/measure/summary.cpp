#include "core/measure/summary.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace fettle::measure {

Summary summarize(std::span<const double> values) {
    Summary summary;
    if (values.empty()) return summary;
    double squares = 0;
    for (const double value : values) {
        ++summary.count;
        const double before = value - summary.mean;
        summary.mean += before / static_cast<double>(summary.count);
        squares += before * (value - summary.mean);
    }
    if (summary.count > 1) summary.sd = std::sqrt(squares / static_cast<double>(summary.count - 1));
    std::vector<double> sorted(values.begin(), values.end());
    std::sort(sorted.begin(), sorted.end());
    const std::size_t middle = sorted.size() / 2;
    summary.median = sorted.size() % 2 == 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2;
    summary.least = sorted.front();
    summary.most = sorted.back();
    return summary;
}

}  // namespace fettle::measure
