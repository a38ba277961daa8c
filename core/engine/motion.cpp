// Laws: motion.hpp. Amounts are lengths in 1/256 count, the same for both axes; signs come in last. The order
// is table (Q16, exact to one part of Q16) -> 1/256 count -> diagonal -> scale -> whole counts, each step
// carrying its own remainder, so that no error grows with time. One 32-bit division a table segment, one a
// tick while the scale is not 1000, none otherwise. Cycles on the ATmega32U4, under simavr, -Os: travel 730
// to 920, entering a segment 2,370 at most, with a scale 3,290 at most (206 us of the ms).

#include "core/engine/motion.hpp"

namespace fettle {
namespace engine {

namespace {

constexpr uint8_t k_ready = 0x08;  // Held::bits: takes part in travel

constexpr uint16_t k_longest_window_ms = 2000;
constexpr uint16_t k_diagonal_q16 = 46341;  // 65536 / sqrt 2
constexpr int32_t k_most_counts = 32767;
constexpr int32_t k_most_pending = 0x3FFFFFFF;

/// Where a direction points on an axis (0 x, 1 y): -1, 0, 1. Clockwise from up; y is x a quarter later.
FETTLE_SHARED int8_t sign_on(uint8_t axis, uint8_t direction) {
    const uint8_t d = (direction + 6 * axis) & 7;
    if ((d & 3) == 0) return 0;
    return d < 4 ? 1 : -1;
}

int8_t sign_of(int8_t v) {
    return static_cast<int8_t>((v > 0) - (v < 0));
}

FETTLE_SHARED int32_t clamp_to(int32_t v, int32_t most) {
    return v > most ? most : v < -most ? -most : v;
}

/// Whole counts (signed) of what an axis is due once `amount` in the direction of `sign` is added: the
/// nearest number, so half a count ahead. is_step: one at least, unless a step before was too much already.
/// What stays due is between -255 and 128, so never a count back.
FETTLE_SHARED int32_t give(int8_t sign, uint32_t amount, bool is_step, int16_t& owed) {
    const int32_t due = (sign > 0 ? owed : -owed) + static_cast<int32_t>(amount);
    int32_t counts = 0;
    int16_t rest = static_cast<int16_t>(due);
    if (due >= 128) {
        counts = (due + 128) >> 8;
        rest = static_cast<int16_t>(((due + 128) & 0xFF) - 128);
    } else if (is_step && due >= 0) {
        counts = 1;
        rest = static_cast<int16_t>(rest - 256);
    }
    owed = sign > 0 ? rest : static_cast<int16_t>(-rest);
    return sign > 0 ? counts : -counts;
}

}  // namespace

FETTLE_SHARED void Motion::reset() {
    memset(this, 0, sizeof *this);
    scale_permille_ = k_scale_one_permille;
    gain_ = k_gain_one;
}

void Motion::stop() {
    const uint16_t scale = scale_permille_;
    reset();
    scale_permille_ = scale;
}

void Motion::begin(uint8_t input, Direction direction, uint8_t motion, uint16_t now_ms, bool is_continuous,
                   const Setup& setup) {
    if (motion >= setup.motion_count) return;
    end(input, now_ms);
    if (count_ == k_max_directions) return;
    const MotionHead head = setup.motion(motion);
    const bool is_first = count_ == 0;
    const bool is_event = head.family == MotionFamily::mouse_keys;
    const uint16_t gain = is_first ? press_gain(direction, now_ms, head) : k_gain_one;
    uint32_t amount = is_event ? setup.motion_point(motion, 0) * 256u
                               : static_cast<uint32_t>(head.first_step_counts) * gain;
    if (is_first) {
        first_direction_ = static_cast<uint8_t>(direction);
        began_ms_ = now_ms;
        gain_ = gain;
        start_hold(motion, head);
    } else {
        flags_ = static_cast<uint8_t>(flags_ & ~k_tapped);
        if ((flags_ & k_past_delay) != 0 && amount != 0) amount = 256;
    }
    Held& held = held_[count_++];
    held.input = input & 0x1Fu;
    held.motion = motion & 0x07u;
    held.bits = static_cast<uint8_t>(static_cast<uint8_t>(direction) | (is_continuous ? k_ready : 0));
    held.began_ms = now_ms;
    if (amount != 0) {
        for (uint8_t i = 0; i < 2; ++i)
            axes_[i].fresh =
                static_cast<int8_t>(axes_[i].fresh + sign_on(i, static_cast<uint8_t>(direction)));
        if (amount > fresh_amount_) fresh_amount_ = amount;
        flags_ = static_cast<uint8_t>((flags_ & ~k_fresh_event) | (is_event ? k_fresh_event : 0));
    }
    steer();
}

void Motion::end(uint8_t input, uint16_t) {
    uint8_t at = 0;
    while (at < count_ && held_[at].input != input) ++at;
    if (at == count_) return;
    for (--count_; at < count_; ++at) held_[at] = held_[at + 1];
    steer();
    if (count_ == 0) forget_hold();
}

void Motion::heard(uint8_t input, uint16_t now_ms) {
    for (uint8_t i = 0; i < count_; ++i) {
        Held& held = held_[i];
        const uint16_t since = since16(now_ms, held.began_ms);
        if (held.input != input || (held.bits & k_ready) != 0 || since == 0 || since < delay_ms_) continue;
        held.bits = static_cast<uint8_t>(held.bits | k_ready);
        steer();
    }
}

void Motion::jump(Direction direction, uint16_t counts) {
    for (uint8_t i = 0; i < 2; ++i) {
        const int8_t sign = sign_on(i, static_cast<uint8_t>(direction));
        int32_t& pending = axes_[i].pending;
        if (sign != 0) pending = clamp_to(sign > 0 ? pending + counts : pending - counts, k_most_pending);
    }
}

FETTLE_SHARED void Motion::set_scale(uint16_t permille) {
    scale_permille_ = permille < k_scale_least_permille  ? k_scale_least_permille
                      : permille > k_scale_most_permille ? k_scale_most_permille
                                                         : permille;
}

void Motion::tick(uint16_t now_ms, const Setup& setup, int16_t& dx, int16_t& dy) {
    dx = 0;
    dy = 0;
    if ((flags_ & k_tapped) != 0 && since16(now_ms, began_ms_) > k_longest_window_ms)
        flags_ = static_cast<uint8_t>(flags_ & ~k_tapped);
    if (is_still()) return;
    if (fresh_amount_ != 0) first_step();
    const bool is_moving = count_ != 0 && is_travelling(now_ms, setup);
    const uint32_t amount = is_moving ? amount_now(setup) : 0;
    for (Axis& axis : axes_) {
        // Travel's counts of this ms saturate; pending ones are given as far as there is room.
        int32_t counts = axis.pending;
        if (is_moving && axis.sign != 0)
            counts += clamp_to(give(axis.sign, amount, false, axis.owed), k_most_counts);
        const int32_t now = clamp_to(counts, k_most_counts);
        axis.pending = counts - now;
        (&axis == axes_ ? dx : dy) = static_cast<int16_t>(now);
    }
}

uint16_t Motion::press_gain(Direction direction, uint16_t now_ms, const MotionHead& head) const {
    const uint16_t gap = since16(now_ms, began_ms_);
    const uint16_t window = head.cadence_window_ms;
    if ((flags_ & k_tapped) == 0 || first_direction_ != static_cast<uint8_t>(direction) || gap >= window ||
        head.cadence_gain_permille <= 1000)
        return k_gain_one;
    // At most 7000 * 2000 * 256 = 3.6e9: fits.
    const uint32_t more = static_cast<uint32_t>(head.cadence_gain_permille - 1000u) *
                          static_cast<uint16_t>(window - gap) * 256u;
    return static_cast<uint16_t>(k_gain_one + more / (1000u * static_cast<uint32_t>(window)));
}

void Motion::start_hold(uint8_t motion, const MotionHead& head) {
    motion_ = motion;
    delay_ms_ = head.delay_ms;
    flags_ = k_tapped;
    start_table(head);
}

FETTLE_SHARED void Motion::forget_hold() {
    flags_ = static_cast<uint8_t>(flags_ & ~k_past_delay);
    axes_[0].owed = 0;
    axes_[1].owed = 0;
    speed_rest_ = 0;
    diagonal_rest_ = 0;
    scale_rest_ = 0;
}

void Motion::steer() {
    for (uint8_t i = 0; i < 2; ++i) {
        int8_t sum = 0;
        for (uint8_t at = 0; at < count_; ++at) {
            const uint8_t bits = held_[at].bits;
            if ((bits & k_ready) != 0) sum = static_cast<int8_t>(sum + sign_on(i, bits));
        }
        axes_[i].sign = sign_of(sum);
    }
}

/// amount * factor / 256, rounded down; both may use most of their bits.
FETTLE_SHARED uint32_t Motion::times_q8(uint32_t amount, uint16_t factor) {
    return (amount >> 8) * factor + (((amount & 0xFFu) * factor) >> 8);
}

uint32_t Motion::scaled(uint32_t amount) {
    if (scale_permille_ == k_scale_one_permille) return amount;
    uint32_t whole = 0;
    if (amount >= 0x100000u) {  // first steps and MouseKeys moves only: keeps the product in 32 bits
        whole = (amount / 1000u) * scale_permille_;
        amount %= 1000u;
    }
    const uint32_t product = amount * scale_permille_ + scale_rest_;
    const uint32_t quotient = product / 1000u;
    scale_rest_ = static_cast<uint16_t>(product - quotient * 1000u);
    return whole + quotient;
}

void Motion::first_step() {
    uint32_t amount = fresh_amount_;
    fresh_amount_ = 0;
    const bool is_on_x = axes_[0].fresh != 0, is_on_y = axes_[1].fresh != 0;
    if (is_on_x && is_on_y && (flags_ & k_fresh_event) == 0) amount = times_q8(amount, k_diagonal_q16) >> 8;
    if (is_on_x || is_on_y) amount = scaled(amount);
    for (Axis& axis : axes_) {
        if (axis.fresh != 0) axis.pending += give(axis.fresh, amount, true, axis.owed);
        axis.fresh = 0;
    }
    if (count_ == 0) forget_hold();
}

/// Past the delay, and somewhere.
bool Motion::is_travelling(uint16_t now_ms, const Setup& setup) {
    if (held_[0].motion != motion_) change_motion(setup);
    if ((flags_ & k_past_delay) == 0) {
        if (since16(now_ms, began_ms_) < delay_ms_) return false;
        flags_ = static_cast<uint8_t>(flags_ | k_past_delay);
    }
    return axes_[0].sign != 0 || axes_[1].sign != 0;
}

/// What this ms of the hold is on each axis that it points to, 1/256 count.
uint32_t Motion::amount_now(const Setup& setup) {
    if ((flags_ & k_mouse_keys) != 0) return scaled(event_amount(setup));
    uint32_t amount = travel_amount(setup);
    if (is_diagonal()) {  // at most 65,536 * 46,341 + 65,535: fits
        const uint32_t product = amount * k_diagonal_q16 + diagonal_rest_;
        diagonal_rest_ = static_cast<uint16_t>(product & 0xFFFFu);
        amount = product >> 16;
    }
    return scaled(amount);
}

}  // namespace engine
}  // namespace fettle
