// dwell.cpp against the slow model of dwell_rig.hpp on random paths.

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/engine/dwell_rig.hpp"
#include "tests/support/dice.hpp"

namespace fettle::engine {
namespace {

using dwell_test::Model;
using dwell_test::Moment;
using dwell_test::Point;
using test::Dice;

DwellDef random_def(Dice& dice) {
    DwellDef def = {};
    def.usual = static_cast<DwellKind>(dice.below(4));
    def.flags = static_cast<uint8_t>(dice.below(2));
    def.rest_ms = static_cast<uint16_t>(200 + (dice.one_in(3) ? 0 : dice.below(200)));
    def.radius_counts = static_cast<uint8_t>(dice.one_in(10) ? dice.within(1, 255) : dice.within(1, 12));
    def.arm_counts =
        static_cast<uint8_t>(dice.within(def.radius_counts, std::min(255, def.radius_counts + 15)));
    return def;
}

/// A stretch of rest, shaking, creeping, travel or a jump, and what else is done meanwhile.
void add_stretch(Dice& dice, std::vector<Moment>& path) {
    const int manner = dice.below(10);
    const int for_ms = manner == 9 ? 1 : dice.within(1, 500);
    const int each_ms = dice.within(1, 60), dx = dice.within(-2, 2), dy = dice.within(-2, 2);
    const bool is_other = dice.one_in(20);
    for (int ms = 0; ms < for_ms; ++ms) {
        Moment now;
        now.at = path.empty() ? Point{} : path.back().at;
        now.is_other_held = is_other;
        const bool moves = manner < 5 ? false : manner == 5 ? true : ms % each_ms == 0;
        if (manner == 9) {
            now.at.x += dice.within(-32768, 32767);
            now.at.y += dice.within(-32768, 32767);
        } else if (manner == 6) {
            now.at.x += dice.within(-1, 1);
            now.at.y += dice.within(-1, 1);
        } else if (moves) {
            now.at.x += dx;
            now.at.y += dy;
        }
        now.lets_go = dice.one_in(5000);
        now.pauses = dice.one_in(6000);
        now.resumes = dice.one_in(400);
        now.chooses = dice.one_in(1000) ? dice.below(4) : -1;
        path.push_back(now);
    }
}

/// All is let go and rests: whatever is still to come comes in here.
void add_end(std::vector<Moment>& path) {
    Moment now;
    now.at = path.back().at;
    now.lets_go = true;
    path.push_back(now);
    now.lets_go = false;
    path.insert(path.end(), 500, now);
}

TEST_CASE(
    "dwell: 2,000,000 random ms under 400 records bring what the slow model says, and end with nothing") {
    Dice dice(20265);
    std::size_t differing = 0, ms = 0, left = 0;
    std::size_t acted[6] = {};
    for (unsigned round = 0; round < 400; ++round) {
        const DwellDef def = random_def(dice);
        std::vector<Moment> path;
        while (path.size() < 5000) add_stretch(dice, path);
        add_end(path);
        const std::vector<DwellAct> expected = Model(path, def).run();
        Dwell dwell;
        dwell.reset();
        Point before;
        bool is_dragging = false;
        for (std::size_t t = 0; t < path.size(); ++t) {
            if (path[t].lets_go) is_dragging = false;
            const DwellAct act = dwell_test::step(dwell, path[t], before, def);
            before = path[t].at;
            if (act != expected[t]) ++differing;
            if (act == DwellAct::drag_end && !is_dragging) ++differing;  // an end without its begin
            if (act == DwellAct::drag_begin) is_dragging = true;
            if (act == DwellAct::drag_end) is_dragging = false;
            if (dwell.is_dragging() != is_dragging) ++differing;
            ++acted[static_cast<unsigned>(act)];
            if (t + 500 >= path.size() && act != DwellAct::nothing) ++left;
        }
        if (dwell.is_dragging()) ++left;
        ms += path.size();
    }
    CHECK(differing == 0);
    CHECK(left == 0);
    CHECK(ms >= 2000000);
    // The comparison is worth something only if much was done.
    for (unsigned act = 1; act < 6; ++act) {
        CAPTURE(act);
        CHECK(acted[act] > 100);
    }
}

}  // namespace
}  // namespace fettle::engine
