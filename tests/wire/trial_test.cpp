#include "core/wire/trial.hpp"

#include <doctest/doctest.h>

#include <random>

using namespace fettle::wire;

namespace {

struct Row {
    TrialState state;
    TrialEvent event;
    TrialState next;
    TrialAct act;
};

using S = TrialState;
using E = TrialEvent;
using A = TrialAct;

// The table at the top of trial.hpp, pair by pair.
constexpr Row k_table[] = {
    {S::idle, E::begin, S::running, A::start},      {S::idle, E::keep, S::idle, A::refuse},
    {S::idle, E::written, S::idle, A::bug},         {S::idle, E::unwritten, S::idle, A::bug},
    {S::idle, E::revert, S::idle, A::refuse},       {S::idle, E::time, S::idle, A::nothing},
    {S::idle, E::lost, S::idle, A::nothing},        {S::running, E::begin, S::running, A::refuse},
    {S::running, E::keep, S::keeping, A::write},    {S::running, E::written, S::running, A::bug},
    {S::running, E::unwritten, S::running, A::bug}, {S::running, E::revert, S::idle, A::go_back},
    {S::running, E::time, S::idle, A::go_back},     {S::running, E::lost, S::idle, A::go_back},
    {S::keeping, E::begin, S::keeping, A::refuse},  {S::keeping, E::keep, S::keeping, A::nothing},
    {S::keeping, E::written, S::idle, A::kept},     {S::keeping, E::unwritten, S::running, A::nothing},
    {S::keeping, E::revert, S::keeping, A::refuse}, {S::keeping, E::time, S::keeping, A::nothing},
    {S::keeping, E::lost, S::keeping, A::nothing},
};

Trial begun(uint16_t seconds) {
    Trial trial;
    trial.reset();
    trial.begin(0xA1B2C3D4, seconds, 2);
    return trial;
}

}  // namespace

TEST_CASE("trial: all 21 pairs of state and event do what the table says") {
    CHECK(sizeof k_table / sizeof k_table[0] == 21);
    for (const auto& row : k_table) {
        const TrialMove move = trial_step(row.state, row.event);
        CAPTURE(int(row.state));
        CAPTURE(int(row.event));
        CHECK(move.next == row.next);
        CHECK(move.act == row.act);
    }
}

TEST_CASE("trial: 20 s run for 20,000 ticks and end at the last one") {
    Trial trial = begun(20);
    CHECK(trial.id() == 1);
    CHECK(trial.seconds_left() == 20);
    for (int i = 1; i < 20000; ++i) REQUIRE_FALSE(trial.tick());
    CHECK(trial.seconds_left() == 1);
    CHECK(trial.tick());
    CHECK(trial.take(E::time) == A::go_back);
    CHECK(trial.phase() == TrialPhase::expired);
    CHECK(trial.seconds_left() == 0);
    CHECK_FALSE(trial.tick());
}

TEST_CASE("trial: extend only lengthens, to at most 600 s from now, and does nothing where none runs") {
    Trial trial = begun(60);
    trial.extend(20);
    CHECK(trial.seconds_left() == 60);
    trial.extend(600);
    CHECK(trial.seconds_left() == 600);
    for (int i = 0; i < 100000; ++i) trial.tick();
    CHECK(trial.seconds_left() == 500);
    trial.extend_again();
    CHECK(trial.seconds_left() == 500);
    trial.take(E::revert);
    trial.extend(600);
    CHECK(trial.seconds_left() == 0);
}

TEST_CASE("trial: while the commit byte is written the clock stands and a lost cable changes nothing") {
    Trial trial = begun(20);
    CHECK(trial.take(E::keep) == A::write);
    for (int i = 0; i < 30000; ++i) REQUIRE_FALSE(trial.tick());
    CHECK(trial.take(E::lost) == A::nothing);
    CHECK(trial.take(E::revert) == A::refuse);
    CHECK(trial.take(E::written) == A::kept);
    CHECK(trial.phase() == TrialPhase::kept);
    CHECK_FALSE(trial.is_on());
}

TEST_CASE("trial: ids rise from 1, skip 0 after 65,535, and name a trial only with its CRC") {
    Trial trial;
    trial.reset();
    CHECK_FALSE(trial.is_named(0, 0));
    for (uint32_t i = 1; i <= 65536; ++i) {
        trial.begin(i, 20, 0);
        REQUIRE(trial.id() == (i <= 65535 ? i : 1));
        REQUIRE(trial.is_named(trial.id(), i));
        REQUIRE_FALSE(trial.is_named(trial.id(), i + 1));
        trial.take(E::revert);
        REQUIRE(trial.phase() == TrialPhase::reverted);
    }
}

TEST_CASE("trial: a million random events never run longer than the longest extension without one") {
    std::mt19937 random(20260105);
    Trial trial;
    trial.reset();
    uint32_t quiet_ms = 0;
    for (int i = 0; i < 1000000; ++i) {
        const auto pick = static_cast<uint32_t>(random() % 400);
        if (pick == 0) trial.begin(static_cast<uint32_t>(i), 20, 0);
        if (pick == 1) trial.take(static_cast<E>(1 + random() % 6));
        if (pick == 2) trial.extend(static_cast<uint16_t>(20 + random() % 581));
        if (trial.tick()) trial.take(E::time);
        quiet_ms = trial.state() == S::running && pick > 2 ? quiet_ms + 1 : 0;
        REQUIRE(trial.seconds_left() <= 600);
        REQUIRE(quiet_ms <= 600000);
        REQUIRE(trial.is_on() == (trial.phase() == TrialPhase::running));
    }
}
