// All cases. Remembered: let go by its holdover, and not yet forgotten (k_memory_us).
//
//   event                                     | nobody | down, the same input      | remembered, the same
//   input
//   ------------------------------------------+--------+---------------------------+---------------------------
//   full frame of another input               | press  | press (the other goes up) | press
//   full frame of nobody                      | -      | up, nobody                | nobody
//   full frame, holdover over                 |        | press, after a tick up    | press
//   full frame, toggle changed                |        | press, after a tick up    | press
//   full frame where this remote would have   |        | press, after a tick up    | press
//     sent a repeat frame                     |        |                           |
//   any other full frame                      |        | goes on                   | goes on (was told late)
//   repeat frame of its protocol, in time     | -      | goes on                   | goes on (was told late)
//   repeat frame of its protocol, too late    | -      | - (losses are counted)    | - (losses are counted)
//   repeat frame of another protocol          | -      | -                         | -
//   tick, holdover over                       | -      | up, remembered            | -
//   tick, nothing heard for k_memory_us       | -      | (holdover is shorter)     | nobody
//
// "In time" compares the ends of two frames with the holdover: the decoders tell of a frame 5 ms and more
// after its end, so a tick may have let go in between. A repeat that comes too late is no press: it says
// "still", and a press of its own could click twice where one repeat was lost.

#include "core/engine/remote.hpp"

#include "core/engine/bytes.hpp"
#include "core/engine/rom.hpp"

namespace fettle {
namespace engine {
namespace {

constexpr uint32_t k_us_a_ms = 1000;
constexpr uint32_t k_memory_us = 1500000;  // the longest holdover and some repeats more
constexpr uint16_t k_shortest_period_ms = 20;
constexpr uint16_t k_longest_first_period_ms = 250;

bool is_nec(Protocol protocol) {
    return protocol == Protocol::nec || protocol == Protocol::necx;
}

/// From the start of one frame to the start of the next. 0: to be observed.
/// Source: Linux 6.1, drivers/media/rc (nec 110, rc5 114); infraredremotes.com (SIRC 45, NEC 107.9).
/// From memory: 106.7 for RC-6, 50 to 60 for JVC, 108 for Samsung 32.
/// By Protocol.
const uint8_t k_nominal_periods_ms[] FETTLE_ROM = {0, 108, 108, 114, 107, 45, 45, 45, 55, 108, 0, 0};
static_assert(sizeof k_nominal_periods_ms == static_cast<uint8_t>(Protocol::unknown) + 1, "one each");

FETTLE_SHARED uint16_t nominal_period_ms(Protocol protocol) {
    return rom_u8(k_nominal_periods_ms + static_cast<uint8_t>(protocol));
}

/// An observed period replaces the nominal one within a quarter of it, or where there is none.
bool is_believable_period(Protocol protocol, uint16_t gap_ms) {
    const uint16_t nominal_ms = nominal_period_ms(protocol);
    return nominal_ms == 0 || (4 * gap_ms >= 3 * nominal_ms && 4 * gap_ms <= 5 * nominal_ms);
}

/// How much longer a frame is than the shortest one of its button: periods run from start to start, and only
/// ends are told. NEC: 68.1 ms whole, 11.8 ms repeat; JVC: its leader. (Linux 6.1, drivers/media/rc)
FETTLE_SHARED uint32_t length_us(const IrFrame& frame) {
    if (is_nec(frame.protocol)) return frame.repeat ? 11813 : 68095;
    if (frame.protocol == Protocol::jvc) return frame.repeat ? 0 : 12600;
    return 0;
}

}  // namespace

void Remote::reset() {
    memset(static_cast<void*>(this), 0, sizeof *this);
    input_ = k_no_input;
    toggle_ = k_no_toggle;
}

RemoteHeard Remote::frame(uint8_t input, const IrFrame& frame, uint32_t end_us, uint16_t holdover_ms) {
    if (frame.repeat) return hear_repeat(input, frame, end_us);
    if (input == k_no_input) {
        is_down_ = false;
        input_ = k_no_input;
        owed_ = 0;
        return {k_no_input, 0, false};
    }
    const bool goes_on = input == input_ && !is_pressed_anew(frame, end_us);
    holdover_ms_ = holdover_ms;
    return goes_on ? go_on(frame, end_us) : press(input, frame, end_us);
}

RemoteHeard Remote::hear_repeat(uint8_t input, const IrFrame& frame, uint32_t end_us) {
    const bool is_ours =
        is_nec(frame.protocol) ? is_nec(protocol_) : frame.protocol == protocol_ && input == input_;
    if (input_ == k_no_input || !is_ours) return {k_no_input, 0, false};
    repeats_protocol_ = protocol_;
    repeats_address_ = address_;
    if (is_within_holdover(end_us)) return go_on(frame, end_us);
    const RemoteHeard late = {input_, count_lost(end_us - length_us(frame)), false};
    return late;
}

RemoteHeard Remote::go_on(const IrFrame& frame, uint32_t end_us) {
    const RemoteHeard heard = {input_, count_lost(end_us - length_us(frame)), false};
    end_us_ = end_us;
    if (!is_down_) owed_ = 1;
    is_down_ = true;
    return heard;
}

RemoteHeard Remote::press(uint8_t input, const IrFrame& frame, uint32_t end_us) {
    RemoteHeard heard = {input, 0, true};
    // The same toggle after the holdover was over: the same press all the time, so its repeats were lost.
    const bool is_same_press = input == input_ && toggle_ != k_no_toggle && frame.toggle == toggle_;
    if (is_same_press) heard.lost = count_lost(end_us - length_us(frame));
    owed_ = is_down_ && input == input_ ? 2 : 1;
    // Where nothing is nominal, each press is observed anew: one wrong gap must not last.
    const uint16_t nominal_ms = nominal_period_ms(frame.protocol);
    if (nominal_ms == 0 || frame.protocol != protocol_) period_ms_ = nominal_ms;
    input_ = input;
    is_down_ = true;
    protocol_ = frame.protocol;
    address_ = frame.address;
    toggle_ = frame.toggle;
    start_us_ = end_us - length_us(frame);
    end_us_ = end_us;
    return heard;
}

bool Remote::is_pressed_anew(const IrFrame& frame, uint32_t end_us) const {
    if (!is_within_holdover(end_us)) return true;
    if (frame.toggle != toggle_) return true;
    return repeats_protocol_ != Protocol::none && repeats_protocol_ == frame.protocol &&
           repeats_address_ == frame.address;
}

FETTLE_SHARED bool Remote::is_within_holdover(uint32_t end_us) const {
    return end_us - end_us_ < holdover_ms_ * k_us_a_ms;
}

uint8_t Remote::count_lost(uint32_t start_us) {
    const uint32_t gap_ms = (start_us - start_us_ + k_us_a_ms / 2) / k_us_a_ms;
    start_us_ = start_us;
    if (gap_ms < k_shortest_period_ms || gap_ms > k_memory_us / k_us_a_ms) return 0;
    if (period_ms_ == 0) {
        if (gap_ms <= k_longest_first_period_ms) period_ms_ = static_cast<uint16_t>(gap_ms);
        return 0;
    }
    const uint16_t gap = static_cast<uint16_t>(gap_ms);
    const uint16_t periods = static_cast<uint16_t>((gap + period_ms_ / 2) / period_ms_);
    if (periods > 1) return static_cast<uint8_t>(periods - 1);  // 1500 / 20: below 255
    if (is_believable_period(protocol_, gap)) period_ms_ = gap;
    return 0;
}

uint8_t Remote::tick(uint32_t now_us) {
    if (input_ == k_no_input) return k_no_input;
    if (!is_down_) {
        if (now_us - start_us_ > k_memory_us) input_ = k_no_input;
        return k_no_input;
    }
    if (owed_ == 2) {
        owed_ = 1;
        return k_no_input;
    }
    if (owed_ == 0 && !is_within_holdover(now_us)) {
        is_down_ = false;
        return k_no_input;
    }
    owed_ = 0;
    return input_;
}

}  // namespace engine
}  // namespace fettle
