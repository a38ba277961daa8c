#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "core/sim/hands.hpp"

using namespace fettle;
using sim::Hands;

namespace {

int last_level(const std::vector<engine::Edge>& edges, std::uint8_t line) {
    int level = -1;
    for (const auto& edge : edges)
        if (edge.line == line) level = edge.level;
    return level;
}

}  // namespace

TEST_CASE("switch: a clean press of 100 ms is low at its time and high 100 ms later") {
    Hands hands;
    CHECK(hands.press_switch(3, 5000, 100) == 105000);
    const auto edges = hands.take(1000000);
    REQUIRE(edges.size() == 2);
    CHECK(edges[0].at_us == 5000);
    CHECK(edges[0].level == 0);
    CHECK(edges[1].at_us == 105000);
    CHECK(edges[1].level == 1);
    CHECK(edges[1].line == 3);
}

TEST_CASE(
    "switch: 4 bounces inside 5 ms are 8 more edges after each change, and the level that stays is right") {
    Hands hands;
    hands.set_contact({5000, 4});
    hands.press_switch(1, 10000, 100);
    const auto edges = hands.take(1000000);
    CHECK(edges.size() == 18);
    int closing = 0;
    for (const auto& edge : edges) {
        CHECK((edge.at_us <= 15000 || edge.at_us >= 110000));
        CHECK(edge.at_us <= 115000);
        closing += edge.at_us <= 15000 ? 1 : 0;
    }
    CHECK(closing == 9);
    CHECK(last_level(edges, 1) == 1);
}

TEST_CASE("switch: whatever bounces, in whatever order it was planned, every line ends as it was left") {
    CHECK(rc::check([](std::uint32_t seed, std::vector<std::pair<std::uint16_t, std::uint8_t>> changes) {
        Hands hands(seed);
        hands.set_contact({20000, 6});
        std::uint64_t last_at = 0;
        int expected = -1;
        for (const auto& [at_ms, bits] : changes) {
            const std::uint64_t at = 1000 + 1000u * (at_ms % 200u);
            if (bits % 2 != 0)
                hands.close_switch(2, at);
            else
                hands.open_switch(2, at);
            if (at >= last_at) {
                last_at = at;
                expected = bits % 2 != 0 ? 0 : 1;
            }
        }
        const auto edges = hands.take(10000000);
        RC_ASSERT(last_level(edges, 2) == expected);
        for (std::size_t i = 1; i < edges.size(); ++i) RC_ASSERT(edges[i].at_us >= edges[i - 1].at_us);
    }));
}

TEST_CASE("switch: a press shorter than its bouncing (2 ms of 5 ms) ends open, for 500 seeds") {
    for (std::uint32_t seed = 0; seed < 500; ++seed) {
        CAPTURE(seed);
        Hands hands(seed);
        hands.set_contact({5000, 3});
        hands.press_switch(1, 1000, 2);
        CHECK(last_level(hands.take(100000), 1) == 1);
    }
}

TEST_CASE("hands: an edge for a time that was already taken comes next, and not before what was taken") {
    Hands hands;
    hands.edge(1, 9000, false);
    REQUIRE(hands.take(10000).size() == 1);
    hands.edge(1, 4000, true);
    const auto late = hands.take(11000);
    REQUIRE(late.size() == 1);
    CHECK(late[0].at_us == 10000);
}

TEST_CASE("hands: axes move at their time, one after another, and go no further than 1000 permille") {
    Hands hands;
    hands.set_axis(1, 5000, -300);
    hands.set_axis(1, 3000, 2000);
    hands.set_axis(0, 3000, -32000);
    CHECK(hands.axes(2999)[1] == 0);
    CHECK(hands.axes(3000)[1] == 1000);
    CHECK(hands.axes(3000)[0] == -1000);
    CHECK_FALSE(hands.is_quiet());
    CHECK(hands.axes(5000)[1] == -300);
    CHECK(hands.is_quiet());
}

TEST_CASE("hands: notes tell of pins and axes when they are taken, not of what was injected") {
    Hands hands;
    std::vector<Hands::Note> notes;
    hands.note_to([&](const Hands::Note& note) { notes.push_back(note); });
    hands.edge(4, 1000, false);
    hands.inject(5, 1500, false);
    hands.set_axis(2, 2000, 250);
    hands.take(3000);
    hands.axes(3000);
    CHECK(notes == std::vector<Hands::Note>{{1000, false, 4, 0}, {2000, true, 2, 250}});
}

TEST_CASE("hands: levels tell how the lines stand that ever had an edge") {
    Hands hands;
    hands.edge(4, 1000, false);
    hands.edge(0, 1000, true);
    hands.edge(2, 2000, false);
    hands.edge(2, 3000, true);
    CHECK(hands.levels(500).empty());
    hands.take(5000);
    const auto levels = hands.levels(6000);
    REQUIRE(levels.size() == 2);
    CHECK(levels[0].line == 2);
    CHECK(levels[0].level == 1);
    CHECK(levels[1].line == 4);
    CHECK(levels[1].level == 0);
    CHECK(levels[1].at_us == 6000);
}
