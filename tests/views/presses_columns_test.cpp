// Columns that are kept from frame to frame are the roll's own, and cost what is new.
#include <doctest/doctest.h>

#include <random>

#include "app/views/presses_columns.hpp"
#include "tests/views/presses_rolls.hpp"

namespace fettle::app::test {
namespace {

using trace::Column;
using trace::Lane;
using trace::LaneKind;

const std::vector<Lane> k_lanes{
    {LaneKind::level, 0}, {LaneKind::level, 1}, {LaneKind::mode, 0}, {LaneKind::lost, 0}};

/// Every lane of the view, against the roll asked anew for the same columns.
void check_all(ColumnKeeper& keeper, const trace::Roll& roll) {
    for (const Lane lane : k_lanes) {
        const LaneColumns shown = keeper.lane(roll, lane);
        std::vector<Column> fresh(shown.columns.size());
        const std::int64_t from_us = shown.first * shown.column_us;
        roll.columns(lane, from_us, from_us + static_cast<std::int64_t>(fresh.size()) * shown.column_us,
                     fresh.size(), fresh);
        CHECK(std::equal(fresh.begin(), fresh.end(), shown.columns.begin(), shown.columns.end()));
    }
}

TEST_CASE("columns: 500 random moves, zooms, late events and gaps: each is the roll's own column") {
    std::mt19937 random(7);
    const auto some = [&](std::int64_t most) {
        return static_cast<std::int64_t>(random() % static_cast<std::uint64_t>(most));
    };
    trace::Roll roll = roll_of_presses(0, {{10, 30}}, 100);
    ColumnKeeper keeper;
    std::int64_t now_ms = 100, from_us = 0, span_us = 400'000;
    for (int i = 0; i < 500; ++i) {
        CAPTURE(i);
        switch (some(8)) {
            case 0: from_us += some(span_us) - span_us / 2; break;
            case 1: span_us = 1000 + some(5'000'000); break;
            case 2: roll.append_gap(1); break;
            case 3: append(roll, now_ms, engine::EventKind::snapshot, {0, 0, 0xE8, 3, 0, 0, 0, 0, 0}); break;
            case 4: roll.extend_to((now_ms += some(500)) * 1000); break;
            case 5: from_us = now_ms * 1000 - span_us; break;
            default:
                now_ms += some(60);
                append(roll, now_ms, engine::EventKind::level,
                       {static_cast<int>(some(2)), static_cast<int>(some(2))});
                append(roll, now_ms - some(5), engine::EventKind::mode, {static_cast<int>(some(3)), 0});
        }
        keeper.look_at(roll, from_us, from_us + span_us, static_cast<double>(span_us) / 60);
        check_all(keeper, roll);
    }
}

TEST_CASE("columns: a view that stands still asks for nothing more; one that follows asks for what is new") {
    trace::Roll roll = roll_of_presses(0, {{1000, 100}, {2000, 100}, {9000, 100}}, 10000);
    ColumnKeeper keeper;
    const auto look = [&](std::int64_t from_ms, std::int64_t to_ms) {
        keeper.look_at(roll, from_ms * 1000, to_ms * 1000, 20'000);
        (void)keeper.lane(roll, {LaneKind::level, 0});
    };
    look(0, 10000);
    const std::uint64_t first = keeper.asked();
    CHECK(first >= 400);
    CHECK(first <= 502);
    look(0, 10000);
    CHECK(keeper.asked() == first);
    look(100, 10100);
    CHECK(keeper.asked() - first <= 7);
    append(roll, 10200, engine::EventKind::level, {0, 1});
    const std::uint64_t before = keeper.asked();
    look(200, 10200);
    // From 100 ms before the event heard last before (9.1 s) to now.
    CHECK(keeper.asked() - before <= 70);
    append(roll, 10216, engine::EventKind::level, {0, 0});
    const std::uint64_t after = keeper.asked();
    look(216, 10216);
    CHECK(keeper.asked() - after <= 10);
}

TEST_CASE("columns: another recording at the same place in memory is not taken for the old one") {
    trace::Roll roll = roll_of_presses(0, {{1000, 100}}, 3000);
    ColumnKeeper keeper;
    keeper.look_at(roll, 0, 3'000'000, 10'000);
    check_all(keeper, roll);
    roll = roll_of_presses(0, {{500, 100}}, 2000);
    keeper.look_at(roll, 0, 3'000'000, 10'000);
    check_all(keeper, roll);
}

}  // namespace
}  // namespace fettle::app::test
