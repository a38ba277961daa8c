#pragma once
// What the computer adds to the pointer: counts that the device sent against pixels that the pointer moved.
// Fed once a frame; measured move by move, from rest to rest, so that it does not matter that counts and
// pixels are heard of at slightly different times. Thread: its owner's. No drawing, no clock of its own.

#include <cstddef>
#include <cstdint>
#include <deque>
#include <optional>

namespace fettle::app {

/// One frame: what was sent and what was moved since the last one, as lengths of way.
struct PointerStep {
    std::int64_t at_us = 0;   ///< of the frame; never goes back
    double counts = 0;        ///< 0 or more
    double pixels = 0;        ///< 0 or more
    bool is_at_edge = false;  ///< the pointer stands where it can go no further, or is not seen
};

/// One move, from rest to rest.
struct PointerMove {
    double counts_per_s = 0;  ///< mean
    double pixels_per_count = 0;
    bool operator==(const PointerMove&) const = default;
};

struct PointerAnswer {
    std::size_t moves = 0;
    double ratio = 0;          ///< pixels a count: median of the moves
    double low = 0, high = 0;  ///< quartiles: half of the moves lie between them
    enum class BySpeed : std::uint8_t {
        not_known,  ///< the moves were all about equally fast
        no,
        yes  ///< the system's own acceleration bends the curve
    } by_speed = BySpeed::not_known;
    double slow_counts_per_s = 0, slow_ratio = 0;  ///< medians of the slowest third of the moves
    double fast_counts_per_s = 0, fast_ratio = 0;  ///< and of the fastest
    double tau = 0;                                ///< rank correlation of speed and ratio, -1 to 1
    bool operator==(const PointerAnswer&) const = default;
};

class PointerMeter {
public:
    static constexpr std::size_t k_enough_moves = 8;  // own choice, as all of these
    static constexpr std::size_t k_most_moves = 200;  // the newest ones
    static constexpr double k_least_counts = 20;      // a pixel more or less is then at most 5 %
    static constexpr std::int64_t k_rest_us = 200000;
    static constexpr double k_speeds_apart = 1.5;  // fast third to slow third
    static constexpr double k_ratios_apart = 1.1;

    void put(const PointerStep& step);
    void clear();

    /// Nothing before there are k_enough_moves.
    ///
    /// Speed matters when ratio and speed are correlated (Kendall's rank correlation tau; its normal
    /// approximation without ties, two-sided, 1 % level: M. G. Kendall, "A New Measure of Rank Correlation",
    /// Biometrika 30, 1938; cited from memory) and the ratios of the thirds differ by a tenth or more.
    std::optional<PointerAnswer> answer() const;
    const std::deque<PointerMove>& moves() const { return moves_; }
    /// Moves of k_least_counts or more that touched an edge, and so say nothing.
    std::size_t left_out_at_edge() const { return at_edge_; }

private:
    void finish();

    std::deque<PointerMove> moves_;
    std::size_t at_edge_ = 0;
    bool is_moving_ = false, touched_edge_ = false;
    double counts_ = 0, pixels_ = 0;
    std::int64_t before_us_ = 0;      ///< last frame
    std::int64_t began_us_ = 0;       ///< of the move
    std::int64_t last_count_us_ = 0;  ///< last frame of it with counts
    std::int64_t last_us_ = 0;        ///< last frame of it with either
    bool has_time_ = false;
};

}  // namespace fettle::app
