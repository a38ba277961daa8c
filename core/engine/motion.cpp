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
constexpr uint32_t k_diagonal_q16 = 46341;  // 65536 / sqrt 2
constexpr int32_t k_most_counts = 32767;
constexpr int32_t k_most_pending = 0x3FFFFFFF;

int8_t x_of(Direction d) {
    switch (d) {
        case Direction::up_right:
        case Direction::right:
        case Direction::down_right: return 1;
        case Direction::down_left:
        case Direction::left:
        case Direction::up_left: return -1;
        case Direction::up:
        case Direction::down: return 0;
    }
    return 0;
}

int8_t y_of(Direction d) {
    switch (d) {
        case Direction::up_left:
        case Direction::up:
        case Direction::up_right: return -1;
        case Direction::down_right:
        case Direction::down:
        case Direction::down_left: return 1;
        case Direction::left:
        case Direction::right: return 0;
    }
    return 0;
}

int8_t sign_of(int8_t v) {
    return static_cast<int8_t>((v > 0) - (v < 0));
}

int32_t clamp_to(int32_t v, int32_t most) {
    return v > most ? most : v < -most ? -most : v;
}

/// Whole counts (signed) of what an axis is due once `amount` in the direction of `sign` is added: the
/// nearest number, so half a count ahead. is_step: one at least, unless a step before was too much already.
/// What stays due is between -255 and 128, so never a count back.
int32_t give(int8_t sign, uint32_t amount, bool is_step, int16_t& owed) {
    int32_t due = (sign > 0 ? owed : -owed) + static_cast<int32_t>(amount);
    int32_t counts = due >= 128 ? (due + 128) >> 8 : 0;
    if (is_step && counts == 0 && due >= 0) counts = 1;
    due -= counts * 256;
    owed = static_cast<int16_t>(sign > 0 ? due : -due);
    return sign > 0 ? counts : -counts;
}

/// Travel's counts of this ms saturate; pending ones are given as far as there is room.
int16_t hand_over(int32_t counts, int32_t& pending) {
    counts = clamp_to(counts, k_most_counts);
    if (pending == 0) return static_cast<int16_t>(counts);
    const int32_t all = counts + pending;
    const int32_t now = clamp_to(all, k_most_counts);
    pending = all - now;
    return static_cast<int16_t>(now);
}

}  // namespace

void Motion::reset() {
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
        fresh_x_ = static_cast<int8_t>(fresh_x_ + x_of(direction));
        fresh_y_ = static_cast<int8_t>(fresh_y_ + y_of(direction));
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
    pending_x_ = clamp_to(pending_x_ + static_cast<int32_t>(counts) * x_of(direction), k_most_pending);
    pending_y_ = clamp_to(pending_y_ + static_cast<int32_t>(counts) * y_of(direction), k_most_pending);
}

void Motion::set_scale(uint16_t permille) {
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
    int32_t x = 0, y = 0;
    if (count_ != 0) travel(now_ms, setup, x, y);
    dx = hand_over(x, pending_x_);
    dy = hand_over(y, pending_y_);
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

void Motion::forget_hold() {
    flags_ = static_cast<uint8_t>(flags_ & ~k_past_delay);
    owed_x_ = 0;
    owed_y_ = 0;
    speed_rest_ = 0;
    diagonal_rest_ = 0;
    scale_rest_ = 0;
}

void Motion::steer() {
    int8_t x = 0, y = 0;
    for (uint8_t i = 0; i < count_; ++i) {
        if ((held_[i].bits & k_ready) == 0) continue;
        const Direction direction = static_cast<Direction>(held_[i].bits & 7u);
        x = static_cast<int8_t>(x + x_of(direction));
        y = static_cast<int8_t>(y + y_of(direction));
    }
    sign_x_ = sign_of(x);
    sign_y_ = sign_of(y);
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
    const int8_t sign_x = sign_of(fresh_x_), sign_y = sign_of(fresh_y_);
    uint32_t amount = fresh_amount_;
    fresh_amount_ = 0;
    fresh_x_ = 0;
    fresh_y_ = 0;
    if (sign_x != 0 && sign_y != 0 && (flags_ & k_fresh_event) == 0)
        amount = ((amount >> 8) * k_diagonal_q16 + (((amount & 0xFFu) * k_diagonal_q16) >> 8)) >> 8;
    if (sign_x != 0 || sign_y != 0) amount = scaled(amount);
    if (sign_x != 0) pending_x_ += give(sign_x, amount, true, owed_x_);
    if (sign_y != 0) pending_y_ += give(sign_y, amount, true, owed_y_);
    if (count_ == 0) forget_hold();
}

void Motion::travel(uint16_t now_ms, const Setup& setup, int32_t& x, int32_t& y) {
    if (held_[0].motion != motion_) change_motion(setup);
    if ((flags_ & k_past_delay) == 0) {
        if (since16(now_ms, began_ms_) < delay_ms_) return;
        flags_ = static_cast<uint8_t>(flags_ | k_past_delay);
    }
    if (sign_x_ == 0 && sign_y_ == 0) return;
    uint32_t amount;
    if ((flags_ & k_mouse_keys) != 0) {
        amount = event_amount(setup);
    } else {
        amount = travel_amount(setup);
        if (sign_x_ != 0 && sign_y_ != 0) {  // at most 65,536 * 46,341 + 65,535: fits
            const uint32_t product = amount * k_diagonal_q16 + diagonal_rest_;
            diagonal_rest_ = static_cast<uint16_t>(product & 0xFFFFu);
            amount = product >> 16;
        }
    }
    amount = scaled(amount);
    if (sign_x_ != 0) x = give(sign_x_, amount, false, owed_x_);
    if (sign_y_ != 0) y = give(sign_y_, amount, false, owed_y_);
}

}  // namespace engine
}  // namespace fettle
