#include "core/trace/column_cache.hpp"

#include <doctest/doctest.h>

#include <random>
#include <utility>
#include <vector>

#include "tests/trace/events.hpp"

using namespace fettle;
using namespace fettle::test;
using trace::Column;
using trace::ColumnCache;
using trace::Lane;
using trace::LaneKind;
using trace::Roll;

namespace {

constexpr Lane k_lanes[] = {{LaneKind::level, 0},    {LaneKind::press, 1},          {LaneKind::mode, 0},
                            {LaneKind::infrared, 0}, {LaneKind::pointer_report, 0}, {LaneKind::lost, 0},
                            {LaneKind::keyboard, 0}, {LaneKind::gesture, 2}};

bool is_as_asked(ColumnCache& cache, const Roll& roll, Lane lane, std::int64_t width_us, std::int64_t first,
                 std::size_t count) {
    std::vector<Column> kept(count), fresh(count);
    cache.columns(roll, lane, width_us, first, kept);
    const auto past = first + static_cast<std::int64_t>(count);
    roll.columns(lane, first * width_us, past * width_us, count, fresh);
    return kept == fresh;
}

void append(Roll& roll, const trace::Moment& moment) {
    if (trace::is_gap(moment.event))
        roll.append_gap(trace::gap_batches(moment.event));
    else
        roll.append(moment.at_us, moment.event);
}

}  // namespace

TEST_CASE("column cache: 8 lanes of 6 growing random rolls, scrolled and zoomed, are as if asked anew") {
    for (std::uint32_t seed = 1; seed <= 6; ++seed) {
        CAPTURE(seed);
        Mix mix;
        mix.seed = seed;
        mix.count = 800;
        mix.most_slip_us = seed % 2 == 0 ? 30000 : 300;
        mix.gaps_permille = seed % 3 == 0 ? 60 : 10;
        mix.snapshots_permille = 40;
        mix.begins_with_snapshot = seed != 5;
        const auto moments = random_moments(mix).moments;
        Roll roll;
        std::vector<ColumnCache> caches(std::size(k_lanes));
        std::mt19937 random(seed);
        std::int64_t width_us = 700, first = 0;
        std::size_t wrong = 0;
        for (std::size_t i = 0; i < moments.size();) {
            for (auto n = random() % 12; n > 0 && i < moments.size(); --n) append(roll, moments[i++]);
            if (random() % 4 == 0) roll.extend_to(roll.last_us() + static_cast<int>(random() % 9000));
            if (random() % 20 == 0) width_us = 1 + static_cast<int>(random() % 5000);
            if (random() % 3 == 0) first = roll.last_us() / width_us - 30 + static_cast<int>(random() % 20);
            for (std::size_t k = 0; k < caches.size(); ++k)
                wrong += std::size_t{
                    !is_as_asked(caches[k], roll, k_lanes[k], width_us, first, 40 + random() % 4)};
        }
        CHECK(wrong == 0);
    }
}

TEST_CASE("column cache: a still view of 1,200 columns asks once; scrolled by 3 it asks 3") {
    Mix mix;
    mix.count = 3000;
    const Roll roll = random_roll(mix);
    ColumnCache cache;
    std::vector<Column> out(1200);
    const std::int64_t width_us = (roll.last_us() - roll.first_us()) / 3000;
    const std::int64_t first = roll.first_us() / width_us + 100;
    cache.columns(roll, {LaneKind::level, 0}, width_us, first, out);
    CHECK(cache.asked() == 1200);
    for (int frame = 0; frame < 10; ++frame) cache.columns(roll, {LaneKind::level, 0}, width_us, first, out);
    CHECK(cache.asked() == 1200);
    cache.columns(roll, {LaneKind::level, 0}, width_us, first + 3, out);
    CHECK(cache.asked() == 1203);
    cache.columns(roll, {LaneKind::level, 0}, width_us, first, out);
    CHECK(cache.asked() == 1206);
}

TEST_CASE("column cache: an event 1 ms on asks the columns from the last event on, no others") {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    roll.append(50000, level(0, true));
    ColumnCache cache;
    std::vector<Column> out(100);
    cache.columns(roll, {LaneKind::level, 0}, 1000, 0, out);
    roll.append(51000, level(0, false));
    cache.columns(roll, {LaneKind::level, 0}, 1000, 0, out);
    CHECK(cache.asked() == 150);
    CHECK(out[50].was_on);
    CHECK_FALSE(out[50].was_off);
    CHECK(out[51].was_off);
}

TEST_CASE("column cache: a cleared roll, another one and a moved one are told apart by their id") {
    Roll roll, other;
    CHECK(roll.id() != other.id());
    roll.append(0, snapshot(0, 1));
    other.append(0, snapshot(0, 0));
    ColumnCache cache;
    std::vector<Column> out(1);
    cache.columns(roll, {LaneKind::level, 0}, 1000, 0, out);
    CHECK(out[0].was_on);
    cache.columns(other, {LaneKind::level, 0}, 1000, 0, out);
    CHECK_FALSE(out[0].was_on);
    const auto id = roll.id();
    Roll moved = std::move(roll);
    CHECK(moved.id() == id);
    cache.columns(moved, {LaneKind::level, 0}, 1000, 0, out);
    CHECK(out[0].was_on);
    moved.clear();
    CHECK(moved.id() != id);
    cache.columns(moved, {LaneKind::level, 0}, 1000, 0, out);
    CHECK(out[0] == Column{});
}

TEST_CASE("column cache: a width of 0 and columns beyond 2 years are blank, none at all is none") {
    Roll roll;
    roll.append(0, snapshot(0, 1));
    ColumnCache cache;
    std::vector<Column> out(2);
    out[0].begins = 9;
    cache.columns(roll, {LaneKind::level, 0}, 0, 0, out);
    CHECK(out[0] == Column{});
    cache.columns(roll, {LaneKind::level, 0}, 1000, INT64_MAX / 2, out);
    CHECK(out[1] == Column{});
    cache.columns(roll, {LaneKind::level, 0}, 1000, INT64_MIN, out);
    CHECK(out[1] == Column{});
    cache.columns(roll, {LaneKind::level, 0}, 1000, 0, {});
    CHECK(cache.asked() == 0);
}
