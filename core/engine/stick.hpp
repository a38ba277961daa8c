#pragma once
// A joystick's two axes to what a person means: position from its own rest, in their own axes; counts for the
// pointer; directions for inputs. Stages and cases: stick.cpp. Pure, one call a ms. Freestanding C++14.

#include "core/engine/bytes.hpp"
#include "core/engine/limits.hpp"
#include "core/engine/plane.hpp"

namespace fettle {
namespace engine {

enum class StickStyle : uint8_t {
    still = 0,  ///< no counts: directions only
    speed = 1,  ///< the farther, the faster: points of a curve
    steps = 2,  ///< one step at once, more while it is held: the farther, the sooner
};

/// 34 bytes: style | flags << 2 | shift << 4, rotation, rest_limit, dead_permille, tau_ms, gains,
/// on_permille, off_permille, hysteresis, then 18 bytes: points, or (steps) step_counts, slow_ms, fast_ms and
/// zeros.
struct StickDef {
    StickStyle style;
    uint8_t flags;       ///< k_stick_eight
    uint8_t shift;       ///< 0 to 4: points are this many bits larger
    uint8_t rotation;    ///< clockwise, in 1/256 turn, from where the stick is pushed to what is meant
    uint8_t rest_limit;  ///< farther than this from the sensors' own 0 it is never at rest: 1 to 100 steps
                         ///< of 4 permille. A wrong start (it was held a little off) brings motion only
                         ///< where dead_permille is below twice this
    uint16_t dead_permille;  ///< no deflection within this of the rest. 0 to 900. 0: drift is not followed
    uint16_t tau_ms;         ///< time constant of the low-pass. 0 (off) to 2000
    uint8_t gains[4];        ///< up, right, down, left, in 1/64: 0 to 255; 64 changes nothing
    uint16_t on_permille;    ///< a direction begins. 1 to 1000; 0: no directions
    uint16_t off_permille;   ///< and ends. Below on_permille
    uint8_t hysteresis;      ///< a direction stays until this far past its border, in 1/256 turn. 0 to 15
    uint16_t points[k_curve_points];  ///< speed: at k/8 of full deflection, counts a ms in Q16 >> shift
    uint8_t step_counts;              ///< steps: length of a step. 1 to 255
    uint16_t slow_ms;                 ///< from step to step just off rest. fast_ms to 5000
    uint16_t fast_ms;                 ///< at full deflection. 20 to 5000
};
constexpr uint8_t k_stick_bytes = 34;
constexpr uint8_t k_stick_eight = 1;         ///< 8 directions, else 4
constexpr uint16_t k_stick_learn_ms = 256;   ///< the first rest is the mean of this many ms
constexpr uint8_t k_stick_look_ms = 4;       ///< it looks at the axes that often (stick.cpp)
constexpr uint16_t k_stick_follow_ms = 256;  ///< at rest it is followed by 1/4 permille each
constexpr int16_t k_stick_full = 4000;       ///< full deflection in parts (1/4 permille)
constexpr uint16_t k_stick_longest_tau_ms = 2000;

void put_stick(uint8_t* to, const StickDef& def);
StickDef get_stick(const uint8_t* from);

// Directions, as bits; two neighbours at once are a diagonal.
constexpr uint8_t k_stick_up = 1;
constexpr uint8_t k_stick_right = 2;
constexpr uint8_t k_stick_down = 4;
constexpr uint8_t k_stick_left = 8;

/// What one ms brought.
struct StickStep {
    int16_t x, y;        ///< position in parts, in the person's axes, y down; within a circle of k_stick_full
    int16_t dx, dy;      ///< counts
    uint8_t directions;  ///< k_stick_*, every ms
    bool is_new;         ///< the four above are of this ms (every k_stick_look_ms-th); else they are 0
};

class Stick {
public:
    /// Learns the rest anew; until then all is 0. Call before first use.
    void reset();
    /// Everything is to be let go: all is 0 until it was at rest again. The rest stays. Call it too when
    /// another profile or variant came.
    void let_go();
    /// One ms. Permille of full deflection as the sensors give them, -1000 to 1000, y down.
    StickStep tick(int16_t x_permille, int16_t y_permille, const StickDef& def);

    /// False until the rest was learnt.
    bool is_ready() const { return (flags_ & k_ready) != 0; }
    /// The rest, in parts. axis: 0 x, 1 y.
    int16_t rest(uint8_t axis) const { return rest_[axis]; }

private:
    // flags_
    static constexpr uint8_t k_ready = 1;
    static constexpr uint8_t k_ignored = 2;  // until it was at rest
    static constexpr uint8_t k_stepped = 4;  // a step was made since it left the rest

    void learn(int16_t x_permille, int16_t y_permille, const StickDef& def);
    void follow(const int16_t* at, const StickDef& def);
    int16_t smooth(uint8_t axis, int16_t to, const StickDef& def);
    void rest_now();
    uint32_t amount(uint16_t m, const StickDef& def);
    uint32_t step_amount(uint16_t m, const StickDef& def);
    int16_t emit(uint8_t axis, int16_t at, uint16_t m, uint32_t amount, uint8_t shift);
    void direct(const StickDef& def);
    void look(int16_t x_permille, int16_t y_permille, const StickDef& def);
    void give(StickStep& step, const StickDef& def);

    int16_t rest_[2];
    struct Smooth {
        int16_t value;
        uint16_t part;  // of 2 * tau_ms + 1
    };
    union Learnt {  // the sum while the rest is learnt
        Smooth smooth;
        int32_t sum;
    } axes_[2];
    int16_t owed_[2];    // exact sum less emitted, Q16
    uint16_t since_ms_;  // the last step; stays at 65535
    plane::Vector v_;    // on its way through the stages
    uint16_t m_;         // its deflection
    uint8_t count_;      // ms of learning, or looks at rest
    uint8_t direction_;  // Direction + 1, 0: none
    uint8_t flags_;
    uint8_t phase_;  // ms of a look, 0 to 3
};

}  // namespace engine
}  // namespace fettle
