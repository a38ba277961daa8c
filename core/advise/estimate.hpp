#pragma once
// A figure never goes alone: what it is, how it spreads, and how much stands behind it.

#include <cmath>
#include <cstdint>

namespace fettle::advise {

/// mean and sd in the same unit, said where one is given. sd: from one character (press, breath, run) to the
/// next, not the uncertainty of the mean. count 0: nothing is known, the rest is 0.
struct Estimate {
    double mean = 0;
    double sd = 0;
    std::uint64_t count = 0;
    bool operator==(const Estimate&) const = default;

    /// Of the mean, as if the values were independent of each other. 0 without a count.
    double standard_error() const { return count == 0 ? 0 : sd / std::sqrt(static_cast<double>(count)); }
};

/// Gathers values that occurred so many times. By D. H. D. West, "Updating mean and variance estimates: an
/// improved method", Communications of the ACM 22(9), 1979. sd over all of them (they are the whole text).
class Weighed {
public:
    void add(double value, std::uint64_t count) {
        if (count == 0) return;
        const double weight = static_cast<double>(count);
        count_ += count;
        const double before = value - mean_;
        mean_ += before * weight / static_cast<double>(count_);
        squares_ += weight * before * (value - mean_);
    }
    Estimate estimate() const {
        if (count_ == 0) return {};
        return {mean_, std::sqrt(squares_ / static_cast<double>(count_)), count_};
    }

private:
    std::uint64_t count_ = 0;
    double mean_ = 0, squares_ = 0;
};

}  // namespace fettle::advise
