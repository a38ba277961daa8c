#pragma once
// A pressure tube: sip and puff, each soft and hard, as four levels for inputs. A hard breath is a soft one
// first; how it is kept from being both: tube.cpp. Pure, one call a ms. Freestanding C++14.

#include "core/engine/bytes.hpp"

namespace fettle {
namespace engine {

/// Levels, as bits: one at most is set.
constexpr uint8_t k_tube_soft_puff = 1;
constexpr uint8_t k_tube_hard_puff = 2;
constexpr uint8_t k_tube_soft_sip = 4;
constexpr uint8_t k_tube_hard_sip = 8;

/// Pressures from the baseline at which a level begins (on) and ends (off), each 1 to 250 in steps of 4
/// permille of full pressure; off below on, soft below hard. on = 0: there is no such level.
struct TubeSide {
    uint8_t soft_on, soft_off, hard_on, hard_off;
};

/// 12 bytes: puff, sip, decide_ms, quiet, follow_ms.
struct TubeDef {
    TubeSide puff, sip;
    uint16_t decide_ms;  ///< a breath is known to be soft this long after its begin. 0 to 1000; only where
                         ///< its side has both levels
    uint8_t quiet;       ///< the baseline is followed while the pressure is within this of it, in steps of 4
                         ///< permille. Below every on
    uint8_t follow_ms;   ///< this many quiet ms in a row move it by 1/4 permille. 0: never
};
constexpr uint8_t k_tube_bytes = 12;
constexpr uint16_t k_tube_learn_ms = 256;  ///< the first baseline is the mean of this many ms of no breath

void put_tube(uint8_t* to, const TubeDef& def);
TubeDef get_tube(const uint8_t* from);

enum class TubeState : uint8_t {
    learning = 0,  ///< no baseline yet: nothing is heard
    quiet = 1,
    deciding = 2,  ///< soft so far
    echo = 3,      ///< it was soft, and over before it was known: given now
    soft = 4,
    hard = 5,
    spent = 6,  ///< hard before, on its way down
};

class Tube {
public:
    /// Learns the baseline anew; nothing is breathed. Call before first use and when another profile came.
    void reset();
    /// One ms. permille: pressure, -1000 (sip) to 1000 (puff). Gives the level.
    uint8_t tick(int16_t permille, const TubeDef& def);

    TubeState state() const { return state_; }
    /// False until no breath was felt for k_tube_learn_ms.
    bool is_ready() const { return state_ != TubeState::learning; }
    /// 1/4 permille of full pressure.
    int16_t baseline() const { return baseline_; }

private:
    void learn(int16_t permille, const TubeDef& def);
    void follow(int16_t above, const TubeDef& def);
    void begin(int16_t above, const TubeDef& def);
    void go_on(int16_t strength, const TubeSide& side, const TubeDef& def);
    uint8_t level() const;

    TubeState state_;
    bool is_sip_;
    uint8_t count_;  ///< learning: samples; quiet: quiet ms in a row
    uint16_t ms_;    ///< deciding: since the begin; echo: left
    int16_t baseline_;
    int32_t sum_;  ///< learning
};

}  // namespace engine
}  // namespace fettle
