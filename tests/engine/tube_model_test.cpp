// tube.cpp against the slow model of tube_rig.hpp on random breaths.

#include "tests/engine/tube_rig.hpp"
#include "tests/support/dice.hpp"

namespace fettle::engine {
namespace {

using test::Dice;
using tube_test::Model;

TubeSide random_side(Dice& dice) {
    TubeSide side = {0, 0, 0, 0};
    if (!dice.one_in(6)) {
        side.soft_on = static_cast<uint8_t>(dice.within(20, 40));
        side.soft_off = static_cast<uint8_t>(dice.within(10, side.soft_on - 1));
    }
    if (!dice.one_in(6)) {
        side.hard_on = static_cast<uint8_t>(dice.within(60, 120));
        side.hard_off = static_cast<uint8_t>(dice.within(41, side.hard_on - 1));
    }
    return side;
}

/// Breaths with shaking, short and long, on both sides, over one another.
std::vector<int> random_line(Dice& dice, int breaths) {
    std::vector<int> line;
    for (int i = 0; i < breaths; ++i) {
        const int peak = dice.within(-700, 700), shake = dice.below(60);
        const int rise = dice.within(1, 40), top = dice.below(60), fall = dice.within(1, 40);
        const auto add = [&](int permille) { line.push_back(permille + dice.within(-shake, shake)); };
        for (int ms = 0; ms < rise; ++ms) add(peak * ms / rise);
        for (int ms = 0; ms < top; ++ms) add(peak);
        for (int ms = 0; ms < fall; ++ms) add(peak - peak * ms / fall);
        if (dice.one_in(2)) line.insert(line.end(), static_cast<std::size_t>(dice.below(60)), 0);
    }
    line.insert(line.end(), 200, 0);
    return line;
}

TEST_CASE(
    "tube: 1,000,000 ms of random breaths under 1,000 records bring what the slow model says, then nothing") {
    Dice dice(20264);
    std::size_t differing = 0, left = 0, ms = 0;
    std::size_t begun[9] = {};
    for (unsigned round = 0; round < 1000; ++round) {
        TubeDef def = {random_side(dice), random_side(dice), static_cast<uint16_t>(dice.below(50)), 5, 0};
        if (dice.one_in(10)) def.decide_ms = 0;
        const std::vector<int> line = random_line(dice, 15);
        const std::vector<uint8_t> expected = Model(line, def).run();
        const auto offset = static_cast<int16_t>(dice.within(-70, 70));
        Tube tube;
        tube.reset();
        for (unsigned i = 0; i < k_tube_learn_ms; ++i) tube.tick(offset, def);
        uint8_t before = 0;
        for (std::size_t t = 0; t < line.size(); ++t) {
            const uint8_t level = tube.tick(static_cast<int16_t>(offset + line[t]), def);
            if (level != expected[t]) ++differing;
            if (level != before) ++begun[level];
            before = level;
        }
        if (tube.state() != TubeState::quiet || before != 0) ++left;
        ms += line.size();
    }
    CHECK(differing == 0);
    CHECK(left == 0);
    CHECK(ms >= 1000000);
    // The comparison is worth something only if much was heard.
    for (const unsigned level : {k_tube_soft_puff, k_tube_hard_puff, k_tube_soft_sip, k_tube_hard_sip}) {
        CAPTURE(level);
        CHECK(begun[level] > 1500);
    }
}

/// Levels of `path`, a digit of base 6 each ms: all pressures that differ to the machine.
unsigned differing_paths(const TubeDef& def, unsigned paths, unsigned path_ms) {
    constexpr int k_pressures[] = {0, 70, 120, 350, 450, -450};
    unsigned differing = 0;
    std::vector<int> line(path_ms + 12);
    for (unsigned path = 0; path < paths; ++path) {
        for (unsigned at = 0, rest = path; at < path_ms; ++at, rest /= 6) line[at] = k_pressures[rest % 6];
        const std::vector<uint8_t> expected = Model(line, def).run();
        Tube tube;
        tube.reset();
        for (unsigned i = 0; i < k_tube_learn_ms; ++i) tube.tick(0, def);
        for (std::size_t t = 0; t < line.size(); ++t) {
            if (tube.tick(static_cast<int16_t>(line[t]), def) != expected[t]) ++differing;
        }
        if (tube.state() != TubeState::quiet) ++differing;
    }
    return differing;
}

TEST_CASE(
    "tube: all 46,656 paths of 6 pressures over 6 ms are those of the slow model, for 0 to 3 ms to decide") {
    for (uint16_t decide_ms = 0; decide_ms <= 3; ++decide_ms) {
        TubeDef def = tube_test::usual();
        def.decide_ms = decide_ms;
        CAPTURE(decide_ms);
        CHECK(differing_paths(def, 46656, 6) == 0);
    }
}

}  // namespace
}  // namespace fettle::engine
