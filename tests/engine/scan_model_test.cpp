// scan.cpp against the slow model of scan_model.hpp.

#include "tests/engine/scan_model.hpp"

#include <doctest/doctest.h>

#include <random>

namespace fettle::engine {
namespace {

using scan_model::Counts;
using scan_model::Model;

/// Numbers that are the same everywhere (the distributions of the standard library are not).
class Dice {
public:
    explicit Dice(uint32_t seed) : engine_(seed) {}
    unsigned below(unsigned n) { return static_cast<unsigned>(engine_() % n); }
    bool one_in(unsigned n) { return below(n) == 0; }

private:
    std::mt19937 engine_;
};

/// Both, ms by ms.
class Pair {
public:
    Pair(const ScanDef& def, ScanKind kind, unsigned top)
        : def_(def), kind_(kind), counts_{top}, model_(def_, kind, counts_) {
        scan_.reset();
    }
    Pair(const Pair&) = delete;
    Pair& operator=(const Pair&) = delete;

    /// False where they differ, or an act came out of order, or a change was not told.
    bool ms(uint8_t events) {
        const bool in_cells = scan_.state() == ScanState::cells;
        const ScanState state = scan_.state();
        const unsigned row = scan_.row(), item = scan_.item();
        const unsigned count = in_cells ? counts_.cells_of(row) : counts_.top;
        const ScanStep step = scan_.tick(events, kind_, static_cast<uint8_t>(count), def_);
        const Model::Said said = model_.ms(events);
        ++acts[static_cast<unsigned>(step.act)];
        if (step.act == ScanAct::begin_motion && was_moving_) return false;
        if (step.act == ScanAct::end_motion && !was_moving_) return false;
        was_moving_ = scan_.state() == ScanState::moving;
        const bool moved_on = scan_.state() != state || scan_.row() != row || scan_.item() != item;
        if (moved_on && !step.is_changed) return false;
        return said.act == step.act && said.row == step.row && said.item == step.item &&
               model_.state() == scan_.state() && model_.row() == scan_.row() &&
               model_.item() == scan_.item();
    }
    bool is_resting() const { return scan_.state() == ScanState::resting; }

    unsigned acts[7] = {};

private:
    const ScanDef def_;
    const ScanKind kind_;
    const Counts counts_;
    Scan scan_;
    Model model_;
    bool was_moving_ = false;
};

TEST_CASE("scan: all 16,384 paths of 7 events in 4 ms steps under 36 records are those of the slow model") {
    constexpr uint8_t k_events[] = {0, k_scan_press, k_scan_release, k_scan_pick};
    unsigned differing = 0;
    for (unsigned set = 0; set < 36; ++set) {
        const ScanDef def = {static_cast<ScanStyle>(set % 3), static_cast<uint8_t>(set / 3 % 4), 5, 3, 2, 1};
        for (unsigned path = 0; path < 16384; ++path) {
            Pair pair(def, static_cast<ScanKind>(set / 12), 3);
            for (unsigned at = 0; at < 7; ++at) {
                if (!pair.ms(k_events[path >> (2 * at) & 3u])) ++differing;
                for (unsigned i = 0; i < 3; ++i) {
                    if (!pair.ms(0)) ++differing;
                }
            }
        }
    }
    CHECK(differing == 0);
}

ScanDef random_def(Dice& dice) {
    ScanDef def = {};
    def.style = static_cast<ScanStyle>(dice.below(3));
    def.flags = static_cast<uint8_t>(dice.below(4));
    def.period_ms = static_cast<uint16_t>(1 + dice.below(20));
    def.first_extra_ms = static_cast<uint16_t>(dice.one_in(2) ? 0 : dice.below(30));
    def.rounds = static_cast<uint8_t>(dice.below(4));
    def.row_rounds = static_cast<uint8_t>(dice.below(4));
    return def;
}

TEST_CASE("scan: 1,000,000 random events under 5,000 records bring what the slow model says, and all rests") {
    Dice dice(20263);
    unsigned differing = 0, events = 0, left = 0;
    unsigned acts[7] = {};
    for (unsigned round = 0; round < 5000; ++round) {
        const ScanDef def = random_def(dice);
        Pair pair(def, static_cast<ScanKind>(dice.below(3)), dice.below(8));
        bool is_down = false;
        for (unsigned i = 0; i < 200; ++i) {
            const unsigned silence = dice.below(dice.one_in(5) ? 200 : 25);
            for (unsigned ms = 0; ms < silence; ++ms) {
                if (!pair.ms(0)) ++differing;
            }
            uint8_t event = is_down ? k_scan_release : k_scan_press;
            is_down = !is_down;
            if (is_down && dice.one_in(10)) {
                event |= k_scan_release;
                is_down = false;
            }
            if (dice.one_in(6)) event = static_cast<uint8_t>(event | k_scan_pick);
            if (dice.one_in(12)) event = static_cast<uint8_t>(event | k_scan_leave);
            if (!pair.ms(event)) ++differing;
            ++events;
        }
        for (const uint8_t event : {k_scan_release, k_scan_leave, k_scan_leave}) {
            if (!pair.ms(event)) ++differing;
        }
        for (unsigned ms = 0; ms < 200; ++ms) {
            if (!pair.ms(0)) ++differing;
        }
        if (!pair.is_resting()) ++left;
        for (unsigned act = 0; act < 7; ++act) acts[act] += pair.acts[act];
    }
    CHECK(differing == 0);
    CHECK(left == 0);
    CHECK(events == 1000000);
    // The comparison is worth something only if much was taken.
    for (unsigned act = 1; act < 7; ++act) {
        CAPTURE(act);
        CHECK(acts[act] > 10000);
    }
}

}  // namespace
}  // namespace fettle::engine
