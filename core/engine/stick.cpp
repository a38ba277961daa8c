// Four ms make one look, so that the board never has to do all of it in one:
//   1st ms  reads the axes: rest, low-pass, dead zone.     2nd  rotation, gains.
//   3rd ms  gives position and the counts of 4 ms.         4th  directions, which stay until the next 4th.
// What a hand does is told 3 to 6 ms later. Cycles on the ATmega32U4, under simavr, -Os:
// 3,500 at most (220 us), 2,300 on average while it is pushed, 500 at rest.
//
// Stages, in this order. A part is 1/4 permille of full deflection.
//   rest       parts from the rest, kept within full deflection on each axis.
//   low-pass   first order, on each axis: every 4 ms v += 4 (to - v) / (tau + 2), in whole parts with the
//              remainder carried, so that it comes to stand at `to` exactly. Its gain at f is that of a first
//              order with tau, 1 / sqrt(1 + (2 pi f tau)^2). Delay: 63 % of a jump after tau, 95 % after
//              3 tau; a steady movement lags by tau.
//   dead zone  round: r becomes (r - dead) / (1 - dead), the direction stays. Continuous at its edge, full at
//              full deflection; what is farther (a corner of a square gate) counts as full.
//   rotation   clockwise in 1/256 turns; y is down.
//   gains      of the half axis that it points to; what comes out is shortened to full deflection.
//   From here on: deflection m = distance from 0, to the nearest part, full at most; 0 is rest. The position
//   is within 2 + 1 / (2 - 2 dead) parts of the exact one, times the gain where that is above 1: with a dead
//   zone of 200 permille and no gain 0.7 permille.
//
// Counts. speed: the points lie at m = k/8 of full, straight lines between, in Q16 counts a ms (to the
// nearest one). steps: one of step_counts at once when it leaves the rest, but fast_ms after the last one at
// least; the next ones slow_ms apart just off rest, fast_ms at full, a straight line between, by where it is
// now. What a look comes too late is taken off the next wait. Each axis gets its share |x| / m or |y| / m
// with the remainder carried: at every look of a push of up to 60 s the emitted counts are within 1 an axis
// of the exact sum of these. At rest the remainder is dropped (motion.hpp says why).
//
// Cases. "Near": within dead_permille of the rest, after the low-pass.
//   state    | near                                           | not near
//   ---------+------------------------------------------------+----------------------------------------------
//   learning | within rest_limit of the sensors' own 0 for 256 ms in a row: ready, the rest is their mean.
//            | farther: counts from 0 again. All stays 0: an input down at power-up is not the rest.
//   ignored  | ready                                          | all stays 0
//   ready    | all is 0; each 256 ms in a row the rest moves  | position, counts, directions; the rest stands
//            |   by 1 part, never past rest_limit             |   still. Gains that make m 0: all is 0
//   reset(): learning. let_go(): ignored; learning stays.
//
// Directions.
//   state | m below off | m below on    | m from on upwards
//   ------+-------------+---------------+--------------------------------------------------------------------
//   none  | -           | -             | the nearest one of 4 or 8
//   any   | none        | stays within half its width + hysteresis of its middle, else the nearest one
//   Borders: of 4 at 45 degrees, of 8 at 22.5 (within 0.02) from the axes; on a border: the one along x.
//
// All pairs are possible. At most two roots and three divisions of 32 bits in one ms.

#include "core/engine/stick.hpp"

namespace fettle {
namespace engine {

using namespace plane;

namespace {

constexpr int16_t k_parts_a_permille = 4;
constexpr uint16_t k_full = k_stick_full;
constexpr int16_t k_parts_a_step = 16;  // of rest_limit
constexpr uint16_t k_most_dead_permille = 900;
constexpr uint16_t k_parts_a_point = 500;  // k_stick_full / 8
constexpr uint8_t k_sector = 32;           // an eighth of a turn, 1/256
constexpr uint16_t k_tan_q8 = 106;         // tangent of 22.5 degrees, 0.41421
constexpr uint16_t k_most_since_ms = 0xFFFF;
constexpr uint8_t k_tail = 16;  // where points or steps begin in a record

FETTLE_SHARED int16_t gained(int16_t v, uint8_t gain_below, uint8_t gain_above) {
    const int16_t gain_q8 = static_cast<int16_t>((v < 0 ? gain_below : gain_above) * 4);
    return rounded_q8(static_cast<int32_t>(v) * gain_q8);
}

uint16_t dead_parts(const StickDef& def) {
    return static_cast<uint16_t>(
        (def.dead_permille > k_most_dead_permille ? k_most_dead_permille : def.dead_permille) *
        static_cast<uint16_t>(k_parts_a_permille));
}

/// What the low-pass divides by: 4 at least, which is none at all.
uint16_t whole_of(const StickDef& def) {
    const uint16_t tau = def.tau_ms > k_stick_longest_tau_ms ? k_stick_longest_tau_ms : def.tau_ms;
    return tau < 2 ? uint16_t{4} : static_cast<uint16_t>(tau + 2u);
}

/// Rotation and gains. Gives the deflection.
uint16_t shape(Vector& v, const StickDef& def) {
    if (def.rotation != 0) v = rotated(v, def.rotation);
    v.x = gained(v.x, def.gains[3], def.gains[1]);
    v.y = gained(v.y, def.gains[0], def.gains[2]);
    uint16_t m = length(v.x, v.y);
    if (m > k_full) {
        shorten(v, m, k_full);
        m = length(v.x, v.y);
    }
    return m > k_full ? k_full : m;
}

uint8_t nearest(int16_t x, int16_t y, bool is_eight) {
    const uint16_t a = size_of(x), b = size_of(y);
    const bool is_along_x = a >= b;
    const uint16_t most = is_along_x ? a : b, least = is_along_x ? b : a;
    // Clockwise from up.
    if (is_eight && static_cast<uint32_t>(least) * 256u > static_cast<uint32_t>(most) * k_tan_q8)
        return x > 0 ? (y < 0 ? 1 : 3) : (y < 0 ? 7 : 5);
    if (is_along_x) return x > 0 ? 2 : 6;
    return y < 0 ? 0 : 4;
}

/// Within `limit` / 256 turn (below a quarter) of a direction's middle.
bool is_about(Vector v, uint8_t direction, uint8_t limit) {
    v = rotated(v, static_cast<uint8_t>(k_quarter_turn - direction * k_sector));  // its middle along x
    return v.x > 0 && static_cast<int32_t>(size_of(v.y)) * cosine(limit) <= v.x * sine(limit);
}

uint8_t bits_of(uint8_t direction) {
    const uint8_t first = static_cast<uint8_t>(1u << (direction >> 1));
    if ((direction & 1u) == 0) return first;
    return static_cast<uint8_t>(first | 1u << (((direction >> 1) + 1) & 3));
}

}  // namespace

void put_stick(uint8_t* to, const StickDef& def) {
    memset(to, 0, k_stick_bytes);
    to[0] = static_cast<uint8_t>(static_cast<uint8_t>(def.style) | (def.flags << 2) | (def.shift << 4));
    to[1] = def.rotation;
    to[2] = def.rest_limit;
    put16(to + 3, def.dead_permille);
    put16(to + 5, def.tau_ms);
    memcpy(to + 7, def.gains, sizeof def.gains);
    put16(to + 11, def.on_permille);
    put16(to + 13, def.off_permille);
    to[15] = def.hysteresis;
    if (def.style == StickStyle::steps) {
        to[k_tail] = def.step_counts;
        put16(to + k_tail + 1, def.slow_ms);
        put16(to + k_tail + 3, def.fast_ms);
        return;
    }
    for (uint8_t i = 0; i < k_curve_points; ++i) put16(to + k_tail + 2 * i, def.points[i]);
}

StickDef get_stick(const uint8_t* from) {
    StickDef def;
    memset(&def, 0, sizeof def);
    def.style = static_cast<StickStyle>(from[0] & 3u);
    def.flags = static_cast<uint8_t>(from[0] >> 2) & 3u;
    def.shift = static_cast<uint8_t>(from[0] >> 4);
    def.rotation = from[1];
    def.rest_limit = from[2];
    def.dead_permille = get16(from + 3);
    def.tau_ms = get16(from + 5);
    memcpy(def.gains, from + 7, sizeof def.gains);
    def.on_permille = get16(from + 11);
    def.off_permille = get16(from + 13);
    def.hysteresis = from[15];
    if (def.style == StickStyle::steps) {
        def.step_counts = from[k_tail];
        def.slow_ms = get16(from + k_tail + 1);
        def.fast_ms = get16(from + k_tail + 3);
        return def;
    }
    for (uint8_t i = 0; i < k_curve_points; ++i) def.points[i] = get16(from + k_tail + 2 * i);
    return def;
}

void Stick::reset() {
    memset(this, 0, sizeof *this);
    since_ms_ = k_most_since_ms;
}

void Stick::let_go() {
    if (is_ready()) flags_ = k_ready | k_ignored;
    rest_now();
}

FETTLE_SHARED void Stick::rest_now() {
    v_ = Vector{0, 0};
    m_ = 0;
    owed_[0] = owed_[1] = 0;
    direction_ = 0;
    flags_ = static_cast<uint8_t>(flags_ & ~k_stepped);
}

void Stick::learn(int16_t x_permille, int16_t y_permille, const StickDef& def) {
    const uint16_t limit = static_cast<uint16_t>(def.rest_limit * (k_parts_a_step / k_parts_a_permille));
    if (length(x_permille, y_permille) > limit) {
        reset();
        return;
    }
    axes_[0].sum += x_permille;
    axes_[1].sum += y_permille;
    if (++count_ != 0) return;  // counts to 256
    for (uint8_t i = 0; i < 2; ++i) {
        rest_[i] = rounded_q8(axes_[i].sum * k_parts_a_permille);
        axes_[i].smooth = Smooth{0, static_cast<uint16_t>((whole_of(def) - 1u) / 2u)};
    }
    flags_ = k_ready;
}
static_assert(k_stick_learn_ms == 256, "count_ wraps there, and the mean is a shift");

void Stick::follow(const int16_t* at, const StickDef& def) {
    if (++count_ < k_stick_follow_ms / k_stick_look_ms) return;
    count_ = 0;
    const int16_t limit = static_cast<int16_t>(def.rest_limit * k_parts_a_step);
    for (uint8_t i = 0; i < 2; ++i)
        rest_[i] = within(static_cast<int16_t>(rest_[i] + (at[i] > 0) - (at[i] < 0)), limit);
}

/// In 16 bits without sign: up to 4 * 2 * k_stick_full + k_stick_longest_tau_ms + 2.
FETTLE_SHARED int16_t Stick::smooth(uint8_t axis, int16_t to, const StickDef& def) {
    Smooth& s = axes_[axis].smooth;
    const uint16_t whole = whole_of(def);
    if (s.part >= whole) s.part = static_cast<uint16_t>(whole - 1u);  // tau was longer before
    const bool is_down = to < s.value;
    // Downwards the same from the other side, so that left and right are alike.
    const uint16_t part = is_down ? static_cast<uint16_t>(whole - 1u - s.part) : s.part;
    const uint16_t sum = static_cast<uint16_t>(4u * size_of(static_cast<int16_t>(to - s.value)) + part);
    const uint16_t moved = static_cast<uint16_t>(sum / whole);
    const uint16_t left = static_cast<uint16_t>(sum - moved * whole);
    s.part = is_down ? static_cast<uint16_t>(whole - 1u - left) : left;
    s.value = static_cast<int16_t>(is_down ? s.value - static_cast<int16_t>(moved)
                                           : s.value + static_cast<int16_t>(moved));
    return s.value;
}

/// A step's length when one is due, in Q12 counts.
uint32_t Stick::step_amount(uint16_t m, const StickDef& def) {
    uint16_t wait_ms = def.fast_ms;
    if ((flags_ & k_stepped) != 0)
        wait_ms = static_cast<uint16_t>(interpolated(def.slow_ms, def.fast_ms, m, k_stick_full));
    if (since_ms_ < wait_ms) return 0;
    const uint16_t late_ms = static_cast<uint16_t>(since_ms_ - wait_ms);
    since_ms_ = late_ms < k_stick_look_ms ? static_cast<uint8_t>(late_ms) : 0;
    flags_ = static_cast<uint8_t>(flags_ | k_stepped);
    return static_cast<uint32_t>(def.step_counts) << 12;
}

/// What this ms is along the deflection m: below 2^20, in Q16 counts (steps: Q12).
uint32_t Stick::amount(uint16_t m, const StickDef& def) {
    switch (def.style) {
        case StickStyle::still: return 0;
        case StickStyle::steps: return step_amount(m, def);
        case StickStyle::speed: break;
    }
    uint8_t at = 0;
    for (; m >= k_parts_a_point; m = static_cast<uint16_t>(m - k_parts_a_point)) ++at;
    const uint32_t from = static_cast<uint32_t>(def.points[at]) << def.shift;
    if (at == k_curve_points - 1) return from;
    return interpolated(from, static_cast<uint32_t>(def.points[at + 1]) << def.shift, m, k_parts_a_point);
}

/// Counts of one axis. amount * |at| stays below 2^32.
FETTLE_SHARED int16_t Stick::emit(uint8_t axis, int16_t at, uint16_t m, uint32_t amount, uint8_t shift) {
    const uint32_t share = ((amount * size_of(at) + m / 2u) / m) << shift;
    int32_t due = owed_[axis];
    due += at < 0 ? -static_cast<int32_t>(share) : static_cast<int32_t>(share);
    const int16_t counts = static_cast<int16_t>((due + 0x8000) >> 16);
    owed_[axis] = static_cast<int16_t>(due - static_cast<int32_t>(counts) * 0x10000);
    return counts;
}

/// Position, and the counts of a whole look.
void Stick::give(StickStep& step, const StickDef& def) {
    step.is_new = true;
    step.x = v_.x;
    step.y = v_.y;
    if (m_ == 0) return;
    const uint32_t along = amount(m_, def);
    if (along == 0) return;
    const uint8_t shift = def.style == StickStyle::steps ? 4 : 2;  // from Q12, or 4 times from Q16
    step.dx = emit(0, v_.x, m_, along, shift);
    step.dy = emit(1, v_.y, m_, along, shift);
}
static_assert(k_stick_look_ms == 4, "shift");

void Stick::direct(const StickDef& def) {
    const bool is_eight = (def.flags & k_stick_eight) != 0;
    const uint16_t border = direction_ != 0 ? def.off_permille : def.on_permille;
    if (def.on_permille == 0 || m_ == 0 || m_ < static_cast<uint16_t>(border * k_parts_a_permille)) {
        direction_ = 0;
        return;
    }
    const uint8_t limit =
        static_cast<uint8_t>((is_eight ? k_sector / 2 : k_sector) + (def.hysteresis & 0x0Fu));
    if (direction_ != 0 && is_about(v_, static_cast<uint8_t>(direction_ - 1u), limit)) return;
    direction_ = static_cast<uint8_t>(nearest(v_.x, v_.y, is_eight) + 1u);
}

/// Rest, low-pass, dead zone.
void Stick::look(int16_t x_permille, int16_t y_permille, const StickDef& def) {
    const int16_t raw[2] = {x_permille, y_permille};
    int16_t at[2];
    for (uint8_t i = 0; i < 2; ++i) {
        const int16_t from_rest = static_cast<int16_t>(raw[i] * k_parts_a_permille - rest_[i]);
        at[i] = smooth(i, within(from_rest, k_stick_full), def);
    }
    const uint16_t r = length(at[0], at[1]), dead = dead_parts(def);
    if (r <= dead) {
        follow(at, def);
        rest_now();
        flags_ = k_ready;
        return;
    }
    count_ = 0;
    if ((flags_ & k_ignored) != 0) return;
    const uint16_t past = static_cast<uint16_t>((r > k_full ? k_full : r) - dead);
    m_ = static_cast<uint16_t>(interpolated(0, k_full, past, static_cast<uint16_t>(k_full - dead)));
    v_ = Vector{at[0], at[1]};
    shorten(v_, r, m_);
}

StickStep Stick::tick(int16_t x_permille, int16_t y_permille, const StickDef& def) {
    StickStep step = {0, 0, 0, 0, 0, false};
    if (!is_ready()) {
        learn(x_permille, y_permille, def);
        return step;
    }
    if (since_ms_ != k_most_since_ms) ++since_ms_;
    switch (phase_) {
        case 0: look(x_permille, y_permille, def); break;
        case 1:
            if (m_ != 0) m_ = shape(v_, def);
            if (m_ == 0) rest_now();
            break;
        case 2: give(step, def); break;
        case 3: direct(def); break;
    }
    phase_ = static_cast<uint8_t>(phase_ + 1u) & 3u;
    if (direction_ != 0) step.directions = bits_of(static_cast<uint8_t>(direction_ - 1u));
    return step;
}

}  // namespace engine
}  // namespace fettle
