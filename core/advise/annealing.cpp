#include "core/advise/annealing.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

namespace fettle::advise {

namespace {

constexpr int k_levels = 200;            // temperatures a run
constexpr double k_coldest = 1.0 / 300;  // of the first temperature
constexpr double k_hottest = 0.5;        // of the mean change, for better or worse, of a random swap
constexpr std::size_t k_limits = 1024;   // chances that are told apart
constexpr std::uint64_t k_ask_every = 4096;

/// Draws without a library's distributions: theirs may differ from one to the next.
class Dice {
public:
    explicit Dice(std::uint64_t seed) : source_(seed) {}
    /// 0 to count - 1. count below 2^32.
    std::size_t below(std::size_t count) {
        return static_cast<std::size_t>(((source_() >> 32) * count) >> 32);
    }

private:
    std::mt19937_64 source_;
};

struct Swap {
    std::size_t a, b;
};

class Run {
public:
    Run(SwapField& field, const AnnealingPlan& plan, std::uint64_t seed, std::uint64_t& judged)
        : field_(field), free_(plan.free_cells), dice_(seed), judged_(judged) {
        for (std::size_t i = 0; i < k_limits; ++i)
            logs_[i] = -std::log((static_cast<double>(i) + 0.5) / static_cast<double>(k_limits));
    }

    void shuffle() {
        for (std::size_t i = free_.size(); i > 1; --i)
            if (const std::size_t other = dice_.below(i); other != i - 1)
                field_.swap(free_[i - 1], free_[other]);
    }

    double mean_change() {
        constexpr int k_samples = 200;
        double sum = 0;
        for (int i = 0; i < k_samples; ++i) sum += std::abs(static_cast<double>(judge(draw())));
        return sum / k_samples;
    }

    bool cool(double temperature, std::uint64_t swaps, const std::function<bool(std::uint64_t)>& go_on) {
        std::array<std::int32_t, k_limits> limits;
        for (std::size_t i = 0; i < k_limits; ++i)
            limits[i] = static_cast<std::int32_t>(
                std::min(temperature * logs_[i], 1.0 * std::numeric_limits<std::int32_t>::max()));
        for (std::uint64_t i = 0; i < swaps; ++i) {
            const Swap swap = draw();
            const std::int32_t change = judge(swap);
            if (change <= 0 || change <= limits[dice_.below(k_limits)]) field_.swap(swap.a, swap.b);
            if ((i + 1) % k_ask_every == 0 && !go_on(k_ask_every)) return false;
        }
        return go_on(swaps % k_ask_every);
    }

    /// Until no swap of two cells gains. Two empty cells are not worth judging.
    bool descend(const std::function<bool(std::uint64_t)>& go_on) {
        for (bool gains = true; gains;) {
            gains = false;
            for (std::size_t i = 0; i < free_.size(); ++i) {
                for (std::size_t j = i + 1; j < free_.size(); ++j) {
                    if (is_empty(free_[i]) && is_empty(free_[j])) continue;
                    if (judge({free_[i], free_[j]}) >= 0) continue;
                    field_.swap(free_[i], free_[j]);
                    gains = true;
                }
                if (!go_on(0)) return false;
            }
        }
        return true;
    }

private:
    Swap draw() {
        const std::size_t first = dice_.below(free_.size());
        const std::size_t second = dice_.below(free_.size() - 1);
        return {free_[first], free_[second < first ? second : second + 1]};
    }
    bool is_empty(std::size_t cell) const { return field_.cells()[cell] == k_no_character; }
    std::int32_t judge(Swap swap) {
        ++judged_;
        return field_.change(swap.a, swap.b);
    }

    SwapField& field_;
    const std::vector<std::size_t>& free_;
    Dice dice_;
    std::uint64_t& judged_;
    std::array<double, k_limits> logs_{};
};

std::uint64_t flow_between(const TextCounts& counts, int one, int other) {
    if (one == k_no_character || other == k_no_character || one == other) return 0;
    const auto i = static_cast<std::size_t>(one), j = static_cast<std::size_t>(other);
    return counts.bigram(i, j) + counts.bigram(j, i);
}

}  // namespace

SwapField::SwapField(const GridLayout& layout, const TextCounts& counts)
    : size_(layout.cells.size()), cells_(layout.cells), flows_(size_ * size_), distances_(size_ * size_) {
    const int farthest_moves = layout.rows / 2 + layout.columns / 2 + 1;
    const auto farthest = static_cast<std::uint64_t>(farthest_moves);
    int halvings = 0;
    while ((counts.pairs >> halvings) * farthest >= (std::uint64_t{1} << 29)) ++halvings;
    for (std::size_t a = 0; a < size_; ++a)
        for (std::size_t b = 0; b < size_; ++b) {
            const std::uint64_t flow = flow_between(counts, cells_[a], cells_[b]);
            flows_[a * size_ + b] = static_cast<std::int32_t>(flow >> halvings);
            distances_[a * size_ + b] = moves_between(layout, static_cast<int>(a), static_cast<int>(b));
        }
}

std::int32_t SwapField::change(std::size_t a, std::size_t b) const {
    const std::int32_t* flow_a = &flows_[a * size_];
    const std::int32_t* flow_b = &flows_[b * size_];
    const std::int32_t* from_a = &distances_[a * size_];
    const std::int32_t* from_b = &distances_[b * size_];
    std::int32_t sum = 0;
    for (std::size_t c = 0; c < size_; ++c) sum += (flow_a[c] - flow_b[c]) * (from_b[c] - from_a[c]);
    return sum + 2 * flow_a[b] * from_a[b];  // between the two nothing changes; the loop took it off twice
}

void SwapField::swap(std::size_t a, std::size_t b) {
    std::swap(cells_[a], cells_[b]);
    std::swap_ranges(flows_.begin() + static_cast<std::ptrdiff_t>(a * size_),
                     flows_.begin() + static_cast<std::ptrdiff_t>((a + 1) * size_),
                     flows_.begin() + static_cast<std::ptrdiff_t>(b * size_));
    for (std::size_t c = 0; c < size_; ++c) std::swap(flows_[c * size_ + a], flows_[c * size_ + b]);
}

std::uint64_t total_moves(const GridLayout& layout, const TextCounts& counts) {
    std::uint64_t sum = 0;
    for (std::size_t a = 0; a < layout.cells.size(); ++a)
        for (std::size_t b = a + 1; b < layout.cells.size(); ++b)
            sum +=
                flow_between(counts, layout.cells[a], layout.cells[b]) *
                static_cast<std::uint64_t>(moves_between(layout, static_cast<int>(a), static_cast<int>(b)));
    return sum;
}

bool anneal(SwapField& field, const AnnealingPlan& plan, std::uint64_t seed, std::uint64_t& judged,
            const std::function<bool(std::uint64_t judged_now)>& go_on) {
    if (plan.free_cells.size() < 2) return true;
    Run run(field, plan, seed, judged);
    run.shuffle();
    double temperature = run.mean_change() * k_hottest;
    const double cooling = std::pow(k_coldest, 1.0 / (k_levels - 1));
    for (int level = 0; level < k_levels; ++level) {
        const std::uint64_t upto = plan.swaps * static_cast<std::uint64_t>(level + 1) / k_levels;
        const std::uint64_t from = plan.swaps * static_cast<std::uint64_t>(level) / k_levels;
        if (!run.cool(temperature, upto - from, go_on)) return false;
        temperature *= cooling;
    }
    return run.descend(go_on);
}

}  // namespace fettle::advise
