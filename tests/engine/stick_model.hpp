#pragma once
// The stick's stages once more, slowly: in long double from the formulas of stick.cpp. It shares no code with
// it but the record. Position is compared with a stated error; counts and directions follow exactly from the
// position that the machine gave.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include "core/engine/stick.hpp"

namespace fettle::engine::stick_model {

using Real = long double;

constexpr Real k_full = 4000;
constexpr Real k_angles = 256;  // a turn

/// The low-pass as one whole number: value times (tau + 2), a look at a time.
class LowPass {
public:
    /// Parts; exact.
    int64_t to(int64_t wanted, int64_t tau) {
        const int64_t n = tau + 2;
        if (!is_begun_) held_ = (n - 1) / 2;
        is_begun_ = true;
        if (tau < 2) return wanted;
        held_ += 4 * (wanted - below(held_, n));
        return below(held_, n);
    }

private:
    static int64_t below(int64_t v, int64_t n) { return v >= 0 ? v / n : -((-v + n - 1) / n); }
    int64_t held_ = 0;
    bool is_begun_ = false;
};

struct Position {
    Real x, y;
    Real error;  ///< on each axis
};

inline Position turned(Position p, Real angles) {
    const Real a = 2 * std::numbers::pi_v<Real> * angles / k_angles;
    return {p.x * std::cos(a) - p.y * std::sin(a), p.x * std::sin(a) + p.y * std::cos(a), p.error};
}

/// Dead zone, rotation, gains: exactly, and how far the machine may be off. x, y: after the low-pass.
inline Position shaped(int64_t x, int64_t y, const StickDef& def) {
    const Real r = std::hypot(static_cast<Real>(x), static_cast<Real>(y));
    const Real dead = 4 * static_cast<Real>(def.dead_permille);
    const Real m = (std::min(r, k_full) - dead) * k_full / (k_full - dead);
    Position p = {x * m / r, y * m / r, 0};
    p = turned(p, def.rotation);
    const Real gain_x = def.gains[p.x < 0 ? 3 : 1] / Real{64}, gain_y = def.gains[p.y < 0 ? 0 : 2] / Real{64};
    p.error = 2 + Real{0.5} * k_full / (k_full - dead);
    p.error *= std::max<Real>(1, *std::max_element(def.gains, def.gains + 4) / Real{64});
    p.x *= gain_x;
    p.y *= gain_y;
    const Real length = std::hypot(p.x, p.y);
    if (length > k_full) {
        p.x *= k_full / length;
        p.y *= k_full / length;
    }
    return p;
}

/// Deflection of a position: to the nearest part, full at most.
inline Real deflection(const StickStep& at) {
    return std::min(k_full,
                    std::floor(std::hypot(static_cast<Real>(at.x), static_cast<Real>(at.y)) + Real{0.5}));
}

/// Counts: what should have been given since it was at rest.
class Counts {
public:
    /// The largest error of the sums, in counts, after this look.
    Real look(const StickStep& step, const StickDef& def) {
        if (since_ms_ < 100000) since_ms_ += 4;
        const Real m = deflection(step);
        if (m == 0) {
            *this = Counts{since_ms_};
            return std::abs(step.dx) + std::abs(step.dy);
        }
        const Real along = def.style == StickStyle::speed   ? 4 * speed(m, def)
                           : def.style == StickStyle::steps ? due_step(m, def)
                                                            : 0;
        owed_x_ += along * step.x / m - step.dx;
        owed_y_ += along * step.y / m - step.dy;
        return std::max(std::abs(owed_x_), std::abs(owed_y_));
    }
    Counts() = default;

private:
    explicit Counts(int since_ms) : since_ms_(since_ms) {}

    /// Counts a ms, in whole Q16.
    static Real speed(Real m, const StickDef& def) {
        const Real at = m * 8 / k_full;
        const auto k = std::min<unsigned>(7, static_cast<unsigned>(at));
        const Real scale = 1 << def.shift;
        const Real from = def.points[k] * scale, to = def.points[k + 1] * scale;
        const Real moved = std::floor(std::abs(to - from) * (at - k) + Real{0.5});
        return (to > from ? from + moved : from - moved) / 65536;
    }
    Real due_step(Real m, const StickDef& def) {
        const Real gone = std::floor((def.slow_ms - def.fast_ms) * m / k_full + Real{0.5});
        const Real wait = has_stepped_ ? def.slow_ms - gone : def.fast_ms;
        if (since_ms_ < wait) return 0;
        // What a look came too late is taken off the next wait; a wait that was cut short counts from now.
        const int late_ms = since_ms_ - static_cast<int>(wait);
        since_ms_ = late_ms < 4 ? late_ms : 0;
        has_stepped_ = true;
        return def.step_counts;
    }

    int since_ms_ = 100000;
    bool has_stepped_ = false;
    Real owed_x_ = 0, owed_y_ = 0;
};

/// Directions. Close to a border either answer is right.
class Directions {
public:
    bool agrees(const StickStep& step, const StickDef& def) {
        const Real m = deflection(step);
        const Real border = 4 * static_cast<Real>(now_ < 0 ? def.on_permille : def.off_permille);
        if (def.on_permille == 0 || m == 0 || m < border) {
            now_ = -1;
            return step.directions == 0;
        }
        const Real angle = std::atan2(static_cast<Real>(step.x), static_cast<Real>(-step.y)) * k_angles /
                           (2 * std::numbers::pi_v<Real>);
        const int width = (def.flags & k_stick_eight) != 0 ? 32 : 64;
        const Real tolerance = Real{0.05} + 45 / m;  // a part across at this distance
        const int given = index_of(step.directions);
        if (given < 0 || given % (width / 32) != 0) return false;
        bool may_stay = false, must_stay = false;
        if (now_ >= 0) {
            const Real past = distance(angle, now_ * 32) - width / 2 - def.hysteresis;
            may_stay = past <= tolerance;
            must_stay = past < -tolerance;
        }
        const bool stays = given == now_ && may_stay;
        const bool is_nearest = distance(angle, given * 32) <= width / 2 + tolerance;
        now_ = given;
        return stays || (!must_stay && is_nearest);
    }

private:
    static Real distance(Real a, Real b) {
        const Real d = std::fmod(std::abs(a - b), k_angles);
        return std::min(d, k_angles - d);
    }
    /// Clockwise from up, in eighths; -1: none that can be.
    static int index_of(uint8_t bits) {
        for (int i = 0; i < 8; ++i) {
            const int first = 1 << (i / 2), second = i % 2 == 0 ? 0 : 1 << ((i / 2 + 1) % 4);
            if (bits == (first | second)) return i;
        }
        return -1;
    }
    int now_ = -1;
};

/// The rest, once learnt: whole parts, 1 more or less each 64 looks near it.
class Rest {
public:
    explicit Rest(int64_t at) : at_(at) {}
    int64_t at() const { return at_; }
    void near(int64_t from_rest, int64_t limit) {
        at_ = std::clamp<int64_t>(at_ + (from_rest > 0) - (from_rest < 0), -limit, limit);
    }

private:
    int64_t at_;
};

}  // namespace fettle::engine::stick_model
