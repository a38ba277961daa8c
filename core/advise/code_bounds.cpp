#include "core/advise/code_bounds.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>
#include <queue>

namespace fettle::advise {

namespace {

double bits(std::uint64_t part, std::uint64_t whole) {
    return std::log2(static_cast<double>(whole) / static_cast<double>(part));
}

}  // namespace

double entropy_bits(std::span<const double> weights) {
    const double sum = std::accumulate(weights.begin(), weights.end(), 0.0);
    double entropy = 0;
    for (const double weight : weights)
        if (weight > 0) entropy += weight / sum * std::log2(sum / weight);
    return entropy;
}

double huffman_mean_length(std::span<const double> weights, int ways) {
    const double sum = std::accumulate(weights.begin(), weights.end(), 0.0);
    if (weights.size() < 2 || ways < 2 || !(sum > 0)) return 0;
    std::priority_queue<double, std::vector<double>, std::greater<>> left(weights.begin(), weights.end());
    // The last step must join exactly `ways`: what is missing is filled up with weights of 0.
    const auto step = static_cast<std::size_t>(ways - 1);
    while ((left.size() - 1) % step != 0) left.push(0);
    double length = 0;
    while (left.size() > 1) {
        double joined = 0;
        for (int i = 0; i < ways; ++i) {
            joined += left.top();
            left.pop();
        }
        length += joined;  // all below are one symbol longer
        left.push(joined);
    }
    return length / sum;
}

double linear_scan_mean(std::span<const double> weights) {
    double sum = 0, steps = 0;
    for (std::size_t i = 0; i < weights.size(); ++i) {
        sum += weights[i];
        steps += weights[i] * static_cast<double>(i + 1);
    }
    return sum > 0 ? steps / sum : 0;
}

Estimate letter_information(const TextCounts& counts) {
    Weighed all;
    for (const std::uint64_t count : counts.letters)
        if (count > 0) all.add(bits(count, counts.total), count);
    return all.estimate();
}

Estimate letter_information_after(const TextCounts& counts) {
    Weighed all;
    for (std::size_t first = 0; first < counts.size(); ++first) {
        std::uint64_t after = 0;
        for (std::size_t second = 0; second < counts.size(); ++second) after += counts.bigram(first, second);
        for (std::size_t second = 0; second < counts.size(); ++second)
            if (const std::uint64_t count = counts.bigram(first, second); count > 0)
                all.add(bits(count, after), count);
    }
    return all.estimate();
}

std::vector<double> weights_of(std::span<const std::uint64_t> counts) {
    std::vector<double> weights;
    weights.reserve(counts.size());
    for (const std::uint64_t count : counts) weights.push_back(static_cast<double>(count));
    return weights;
}

}  // namespace fettle::advise
