// Where in its table a hold is, and what the table gives in this ms (laws: motion.hpp). Exact: fractions of
// Q16 are carried as parts of the segment's length, so one 32-bit division a segment is all.

#include "core/engine/motion.hpp"

namespace fettle {
namespace engine {

namespace {

constexpr uint16_t k_longest_ramp_ms = 20000;
constexpr uint32_t k_top_speed = 0xFFFFFF;
constexpr uint16_t k_never = 0xFFFF;
constexpr uint8_t k_before_first = 0xFF;
constexpr uint8_t k_last_point = k_curve_points - 1;

/// Whole ms at which a point of the table lies.
FETTLE_SHARED uint16_t point_ms(uint16_t ramp_ms, uint8_t index) {
    return static_cast<uint16_t>((static_cast<uint32_t>(ramp_ms) * index) >> 3);
}

}  // namespace

static_assert(k_curve_points == 9, "point_ms divides the ramp into 8");

void Motion::start_table(const MotionHead& head) {
    elapsed_ms_ = 0;
    next_ms_ = 0;
    if (head.family == MotionFamily::mouse_keys) {
        flags_ = static_cast<uint8_t>(flags_ | k_mouse_keys);
        segment_ = 1;
        length_ms_ = head.interval_ms == 0 ? 1 : head.interval_ms;
    } else {
        flags_ = static_cast<uint8_t>(flags_ & ~k_mouse_keys);
        segment_ = k_before_first;
    }
}

/// The press whose set this hold travelled by is over: the oldest one left has another. Between two speed
/// tables the time is kept; a family change starts over.
void Motion::change_motion(const Setup& setup) {
    motion_ = held_[0].motion;
    const MotionHead head = setup.motion(motion_);
    delay_ms_ = head.delay_ms;
    if ((flags_ & k_mouse_keys) != 0 || head.family == MotionFamily::mouse_keys) {
        start_table(head);
        if ((flags_ & (k_mouse_keys | k_past_delay)) == (k_mouse_keys | k_past_delay)) next_ms_ = length_ms_;
        return;
    }
    segment_ = k_before_first;
    next_ms_ = elapsed_ms_;
}

uint32_t Motion::point(const Setup& setup, uint8_t index) const {
    const uint32_t q16 = setup.motion_point(motion_, index);
    if (gain_ == k_gain_one) return q16;
    const uint32_t gained = times_q8(q16, gain_);
    return gained > k_top_speed ? k_top_speed : gained;
}

/// Sets the speed at elapsed_ms_ and the slope to the end of its segment. Exact: the fraction is carried.
void Motion::enter_segment(const Setup& setup) {
    uint16_t ramp = setup.motion(motion_).ramp_ms;
    if (ramp > k_longest_ramp_ms) ramp = k_longest_ramp_ms;
    do ++segment_;  // from k_before_first to 0
    while (segment_ < k_last_point && point_ms(ramp, static_cast<uint8_t>(segment_ + 1)) <= elapsed_ms_);
    speed_ = point(setup, segment_);
    speed_part_ = 0;
    sum_part_ = 0;
    next_ms_ = k_never;
    if (segment_ >= k_last_point) return;
    const uint16_t start = point_ms(ramp, segment_);
    next_ms_ = point_ms(ramp, static_cast<uint8_t>(segment_ + 1));
    length_ms_ = static_cast<uint16_t>(next_ms_ - start);
    const int32_t rise =
        static_cast<int32_t>(point(setup, static_cast<uint8_t>(segment_ + 1))) - static_cast<int32_t>(speed_);
    // Rounded down, also below 0. Signed division would be code of its own on the 8-bit board.
    const uint32_t height = static_cast<uint32_t>(rise < 0 ? -rise : rise);
    slope_ = static_cast<int32_t>(height / length_ms_);
    slope_part_ = static_cast<uint16_t>(height % length_ms_);
    if (rise < 0) {
        slope_ = -slope_;
        if (slope_part_ != 0) {
            --slope_;
            slope_part_ = static_cast<uint16_t>(length_ms_ - slope_part_);
        }
    }
    const uint16_t gone = static_cast<uint16_t>(elapsed_ms_ - start);
    if (gone == 0) return;  // more only where the motion set changed
    const uint32_t parts = static_cast<uint32_t>(slope_part_) * gone;
    speed_ = static_cast<uint32_t>(static_cast<int32_t>(speed_) + slope_ * static_cast<int32_t>(gone)) +
             parts / length_ms_;
    speed_part_ = static_cast<uint16_t>(parts % length_ms_);
}

uint32_t Motion::travel_amount(const Setup& setup) {
    if (elapsed_ms_ == next_ms_) enter_segment(setup);
    uint32_t q16 = speed_ + speed_rest_;
    if (next_ms_ != k_never) {
        ++elapsed_ms_;
        // Parts are below length_ms_ (at most 2500): no sum of two overflows.
        sum_part_ = static_cast<uint16_t>(sum_part_ + speed_part_);
        if (sum_part_ >= length_ms_) {
            sum_part_ = static_cast<uint16_t>(sum_part_ - length_ms_);
            ++q16;
        }
        speed_ = static_cast<uint32_t>(static_cast<int32_t>(speed_) + slope_);
        speed_part_ = static_cast<uint16_t>(speed_part_ + slope_part_);
        if (speed_part_ >= length_ms_) {
            speed_part_ = static_cast<uint16_t>(speed_part_ - length_ms_);
            ++speed_;
        }
    }
    speed_rest_ = static_cast<uint8_t>(q16 & 0xFFu);
    return q16 >> 8;
}

uint32_t Motion::event_amount(const Setup& setup) {
    if (next_ms_ != 0) {
        --next_ms_;
        return 0;
    }
    next_ms_ = static_cast<uint16_t>(length_ms_ - 1u);
    const uint32_t move = setup.motion_point(motion_, segment_);
    if (segment_ != 0xFF) ++segment_;
    return move * 256u;
}

}  // namespace engine
}  // namespace fettle
