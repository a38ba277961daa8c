// Pyramids of five levels against plain sums: more entries than a random roll has in one lane.
#include <doctest/doctest.h>

#include <algorithm>
#include <random>
#include <vector>

#include "core/trace/lane_list.hpp"
#include "core/trace/motion_list.hpp"

using namespace fettle;
using trace::EdgeSum;
using trace::LaneList;
using trace::MotionList;
using trace::Reach;
using trace::Signal;

namespace {

struct Entry {
    std::int64_t us;
    std::uint16_t value;
};

/// Long runs without a beginning, and long runs of nothing else.
std::vector<Entry> entries_in_runs(std::size_t count) {
    std::mt19937 random(5);
    std::vector<Entry> made;
    std::int64_t us = -1000;
    while (made.size() < count) {
        const bool is_off = random() % 2 == 0;
        const auto run = random() % 3 == 0 ? random() % 9000 : random() % 9;
        for (std::size_t i = 0; i <= run && made.size() < count; ++i) {
            us += static_cast<std::int64_t>(random() % 3);
            made.push_back({us, static_cast<std::uint16_t>(is_off ? 0 : 1 + random() % 500)});
        }
    }
    return made;
}

bool is_sum(const EdgeSum& sum, const std::vector<Entry>& entries, std::size_t from, std::size_t to) {
    EdgeSum plain;
    for (std::size_t i = from; i < to; ++i) plain.add(entries[i].value);
    return sum.begins == plain.begins && sum.least == plain.least && sum.most == plain.most &&
           sum.had_off == plain.had_off;
}

}  // namespace

TEST_CASE("lane list: sums, finds and jumps among 70,000 entries in runs are those of a plain list") {
    const auto entries = entries_in_runs(70000);
    LaneList list;
    for (const auto& [us, value] : entries) list.put(us, value);
    REQUIRE(list.size() == entries.size());
    std::mt19937 random(6);
    std::size_t wrong = 0;
    for (int i = 0; i < 1500; ++i) {
        std::size_t from = random() % (entries.size() + 1), to = random() % (entries.size() + 1);
        if (i % 2 == 0) to = std::min(entries.size(), from + random() % 600);
        if (from > to) std::swap(from, to);
        wrong += std::size_t{!is_sum(list.sum(from, to), entries, from, to)};
        const auto begins = [](const Entry& e) { return e.value != 0; };
        const auto at = entries.begin() + static_cast<std::ptrdiff_t>(from);
        const auto next = std::find_if(at, entries.end(), begins);
        wrong += std::size_t{list.next(from, false) != static_cast<std::size_t>(next - entries.begin())};
        const auto off = std::find_if_not(at, entries.end(), begins);
        wrong += std::size_t{list.next(from, true) != static_cast<std::size_t>(off - entries.begin())};
        std::size_t previous = from;
        while (previous > 0 && entries[previous - 1].value == 0) --previous;
        wrong += std::size_t{list.previous_begin(from) != (previous == 0 ? entries.size() : previous - 1)};
        const std::int64_t us = entries.front().us - 5 + static_cast<std::int64_t>(random() % 80000);
        const auto found = std::lower_bound(entries.begin(), entries.end(), us,
                                            [](const Entry& e, std::int64_t t) { return e.us < t; });
        const auto index = static_cast<std::size_t>(found - entries.begin());
        wrong += std::size_t{list.find(us) != index};
        wrong += std::size_t{list.find(us, index / 2) != index};
    }
    CHECK(wrong == 0);
}

TEST_CASE("lane list: 70,000 entries take less than 9 bytes each, none takes none") {
    LaneList list;
    CHECK(list.bytes_used() == 0);
    CHECK(list.next(0, false) == 0);
    CHECK(list.previous_begin(0) == 0);
    for (int i = 0; i < 70000; ++i) list.put(i, static_cast<std::uint16_t>(i % 3));
    CHECK(list.bytes_used() < 9 * 70000);
}

TEST_CASE("lane list: setting what is so already puts nothing; an empty list is off") {
    LaneList list;
    list.set(0, 0);
    CHECK(list.size() == 0);
    list.set(1, 5);
    list.set(2, 5);
    list.set(1, 0);  // earlier than the last one: counts as there
    REQUIRE(list.size() == 2);
    CHECK(list.us(1) == 1);
    CHECK(list.value(1) == 0);
}

TEST_CASE("motion list: sums and speeds of 9,000 steps over any time are those of every step looked at") {
    MotionList list;
    std::mt19937 random(7);
    std::vector<std::int64_t> times, xs, ys;
    std::int64_t us = 0, x = 0, y = 0;
    for (int i = 0; i < 9000; ++i) {
        us += 1000 + static_cast<std::int64_t>(random() % 9000);
        const auto dx = static_cast<std::int16_t>(1 + random() % 100),
                   dy = static_cast<std::int16_t>(random() % 65536);
        list.put(us, dx, dy);
        times.push_back(us);
        xs.push_back(x += dx);
        ys.push_back(y += dy);
    }
    CHECK(list.size() == 9000);  // no rest between
    std::size_t wrong = 0;
    for (int i = 0; i < 800; ++i) {
        const std::int64_t from = static_cast<std::int64_t>(random() % static_cast<std::uint64_t>(us));
        const std::int64_t to =
            from + 1 + static_cast<std::int64_t>(random() % (i % 2 == 0 ? 90000u : 40000000u));
        const auto first =
            static_cast<std::size_t>(std::lower_bound(times.begin(), times.end(), from) - times.begin());
        const auto past =
            static_cast<std::size_t>(std::lower_bound(times.begin(), times.end(), to) - times.begin());
        for (const bool is_x : {true, false}) {
            const auto& sums = is_x ? xs : ys;
            std::vector<std::int64_t> in_force(sums.begin() + static_cast<std::ptrdiff_t>(first),
                                               sums.begin() + static_cast<std::ptrdiff_t>(past));
            if (first == past || times[first] != from) in_force.push_back(first == 0 ? 0 : sums[first - 1]);
            const Reach want{*std::min_element(in_force.begin(), in_force.end()),
                             *std::max_element(in_force.begin(), in_force.end()),
                             past == 0 ? 0 : sums[past - 1], true};
            std::size_t hint = 0;
            wrong += std::size_t{!(list.reach(is_x ? Signal::x : Signal::y, from, to, hint) == want)};
            wrong += std::size_t{hint != past};
        }
    }
    CHECK(wrong == 0);
}
