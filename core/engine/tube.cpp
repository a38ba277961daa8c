// All cases. Strength: pressure from the baseline, to the side (puff or sip) that began. Levels that the side
// does not have are never reached; without a soft one its off is that of the hard one.
//
//   state    | below soft off           | between                   | soft on reached    | hard on reached
//   ---------+--------------------------+---------------------------+--------------------+-----------------
//   learning | baseline after 256 ms in a row below every on: quiet   | counts from 0 again
//   quiet    | -                        | -                         | deciding *         | hard
//   deciding | echo for as long as it   | decide_ms over: soft      | as between         | hard
//            |   lasted                 |                           |                    |
//   echo     | its time over: quiet     | as below                  | as quiet, any side | as quiet
//   soft     | quiet                    | -                         | -                  | - (stays soft)
//   hard     | quiet                    | below hard off: spent     | as between         | -
//   spent    | quiet                    | -                         | -                  | hard
//   * soft at once where decide_ms is 0 or the side has no hard level.
//
//   Levels: soft in soft and echo, hard in hard, nothing else. One breath is one kind: what was decided stays
//   until it is over, so a hard puff is never a soft press too, neither on its way up (withheld for
//   decide_ms) nor down (spent), and a soft one that grows after decide_ms stays soft. A breath goes past
//   hard off and on again: hard again (press rules may bridge it).
//
// Order and time. Strength decides before time in the same ms. Soft comes decide_ms after its begin and ends
// with the breath; one shorter than that comes when it is over and lasts as long as the breath did. A new
// breath cuts an echo short. From soft, hard and spent the next breath begins a ms after at the earliest: the
// level is then off for a ms, and inputs see it. All pairs are possible.
//
// Baseline: the mean of 256 ms at first; then 1/4 permille towards the pressure whenever follow_ms ms in a
// row were quiet. While a breath is on, or being learnt, it stands still. A breath at power-up is none: it is
// below no on, so it is waited for. A pressure that stays above an on for ever leaves the tube learning:
// is_ready().

#include "core/engine/tube.hpp"

namespace fettle {
namespace engine {

namespace {

constexpr int16_t k_parts_a_permille = 4;  // the baseline's
constexpr uint8_t k_parts_a_step = 16;     // a step of a record's pressures

int16_t parts(uint8_t steps) {
    return static_cast<int16_t>(static_cast<uint16_t>(steps) * k_parts_a_step);
}

bool has_soft(const TubeSide& side) {
    return side.soft_on != 0;
}
bool has_hard(const TubeSide& side) {
    return side.hard_on != 0;
}

FETTLE_SHARED bool is_hard(int16_t strength, const TubeSide& side) {
    return has_hard(side) && strength >= parts(side.hard_on);
}

FETTLE_SHARED bool is_soft(int16_t strength, const TubeSide& side) {
    return has_soft(side) && strength >= parts(side.soft_on);
}

bool is_breath(int16_t strength, const TubeSide& side) {
    return is_soft(strength, side) || is_hard(strength, side);
}

void put_side(uint8_t* to, const TubeSide& side) {
    to[0] = side.soft_on;
    to[1] = side.soft_off;
    to[2] = side.hard_on;
    to[3] = side.hard_off;
}

TubeSide get_side(const uint8_t* from) {
    return TubeSide{from[0], from[1], from[2], from[3]};
}

}  // namespace

void put_tube(uint8_t* to, const TubeDef& def) {
    put_side(to, def.puff);
    put_side(to + 4, def.sip);
    put16(to + 8, def.decide_ms);
    to[10] = def.quiet;
    to[11] = def.follow_ms;
}

TubeDef get_tube(const uint8_t* from) {
    return TubeDef{get_side(from), get_side(from + 4), get16(from + 8), from[10], from[11]};
}

void Tube::reset() {
    memset(this, 0, sizeof *this);
}

/// Breaths are told from no breath without a baseline: from where the sensor says 0.
void Tube::learn(int16_t permille, const TubeDef& def) {
    const int16_t above = static_cast<int16_t>(permille * k_parts_a_permille);
    if (is_breath(above, def.puff) || is_breath(static_cast<int16_t>(-above), def.sip)) {
        reset();
        return;
    }
    sum_ += above;
    if (++count_ != 0) return;  // counts to 256
    baseline_ = static_cast<int16_t>((sum_ + 128) >> 8);
    state_ = TubeState::quiet;
}
static_assert(k_tube_learn_ms == 256, "count_ wraps there, and the mean is a shift");

void Tube::follow(int16_t above, const TubeDef& def) {
    const int16_t limit = parts(def.quiet);
    if (def.follow_ms == 0 || above > limit || above < -limit) {
        count_ = 0;
        return;
    }
    if (++count_ < def.follow_ms) return;
    count_ = 0;
    baseline_ = static_cast<int16_t>(baseline_ + (above > 0) - (above < 0));
}

/// In quiet and echo.
void Tube::begin(int16_t above, const TubeDef& def) {
    const bool is_sip = above < 0;
    const int16_t strength = is_sip ? static_cast<int16_t>(-above) : above;
    const TubeSide& side = is_sip ? def.sip : def.puff;
    if (!is_breath(strength, side)) return;
    is_sip_ = is_sip;
    ms_ = 0;
    count_ = 0;
    if (is_hard(strength, side)) {
        state_ = TubeState::hard;
    } else {
        state_ = has_hard(side) && def.decide_ms != 0 ? TubeState::deciding : TubeState::soft;
    }
}

void Tube::go_on(int16_t strength, const TubeSide& side, const TubeDef& def) {
    const bool is_over = strength < parts(has_soft(side) ? side.soft_off : side.hard_off);
    switch (state_) {
        case TubeState::learning:
        case TubeState::quiet: return;
        case TubeState::deciding:
            ++ms_;
            if (is_hard(strength, side)) {
                state_ = TubeState::hard;
            } else if (is_over) {
                state_ = TubeState::echo;
            } else if (ms_ >= def.decide_ms) {
                state_ = TubeState::soft;
            }
            return;
        case TubeState::echo:
            if (--ms_ == 0) state_ = TubeState::quiet;
            return;
        case TubeState::soft:
            if (is_over) state_ = TubeState::quiet;
            return;
        case TubeState::hard:
            if (is_over) {
                state_ = TubeState::quiet;
            } else if (strength < parts(side.hard_off)) {
                state_ = TubeState::spent;
            }
            return;
        case TubeState::spent:
            if (is_over) {
                state_ = TubeState::quiet;
            } else if (is_hard(strength, side)) {
                state_ = TubeState::hard;
            }
            return;
    }
}

uint8_t Tube::level() const {
    switch (state_) {
        case TubeState::soft:
        case TubeState::echo: return is_sip_ ? k_tube_soft_sip : k_tube_soft_puff;
        case TubeState::hard: return is_sip_ ? k_tube_hard_sip : k_tube_hard_puff;
        case TubeState::learning:
        case TubeState::quiet:
        case TubeState::deciding:
        case TubeState::spent: return 0;
    }
    return 0;
}

uint8_t Tube::tick(int16_t permille, const TubeDef& def) {
    if (state_ == TubeState::learning) {
        learn(permille, def);
        return 0;
    }
    const int16_t above = static_cast<int16_t>(permille * k_parts_a_permille - baseline_);
    if (state_ == TubeState::quiet) {
        follow(above, def);
        begin(above, def);
        return level();
    }
    const bool was_echo = state_ == TubeState::echo;
    go_on(is_sip_ ? static_cast<int16_t>(-above) : above, is_sip_ ? def.sip : def.puff, def);
    if (was_echo) begin(above, def);
    return level();
}

}  // namespace engine
}  // namespace fettle
