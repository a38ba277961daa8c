// Dwell on hand-made paths, and each row of the case table on top of dwell.cpp.

#include <doctest/doctest.h>

#include <numbers>

#include "tests/engine/dwell_rig.hpp"

namespace fettle::engine {
namespace {

using dwell_test::Acted;
using dwell_test::is_farther;
using dwell_test::Point;
using dwell_test::Rig;

constexpr double k_turn = 2 * std::numbers::pi;

constexpr DwellDef k_def = {DwellKind::click, 0, 800, 10, 20};

DwellDef usual(DwellKind kind, uint8_t flags = 0) {
    return {kind, flags, 800, 10, 20};
}

Point on_circle(Point centre, double radius, double turns) {
    return {centre.x + std::lround(radius * std::cos(k_turn * turns)),
            centre.y + std::lround(radius * std::sin(k_turn * turns))};
}

TEST_CASE("dwell: a pointer that stops clicks after 800 ms of rest, once, and not at all before it moved") {
    Rig rig(k_def);
    rig.rest(5000);
    CHECK(rig.acts.empty());
    rig.by(300, 0);
    rig.rest(799);
    CHECK(rig.acts.empty());
    CHECK(rig.dwell.progress(k_def) == 799 * 255 / 800);
    rig.rest(1);
    CHECK(rig.acts == std::vector<Acted>{{5800, DwellAct::click}});
    CHECK(rig.dwell.progress(k_def) == 0);
}

TEST_CASE("dwell: 10 counts out of the anchor are inside in every direction, the next count is out") {
    for (int turn = 0; turn < 360; ++turn) {
        Rig rig(k_def);
        rig.by(300, 0);
        const Point anchor = rig.at;
        rig.rest(400);
        Point edge = on_circle(anchor, 11, turn / 360.0);
        const bool is_out = is_farther(edge, anchor, 10);
        rig.to(edge);
        CAPTURE(turn);
        CHECK(rig.dwell.is_armed());
        CHECK(rig.dwell.progress(k_def) == (is_out ? 0 : 401 * 255 / 800));
        rig.rest(800);
        CHECK(rig.acts.size() == 1);
    }
}

TEST_CASE("dwell: after a click 20 counts away do not arm it, one count more does") {
    Rig rig(k_def);
    rig.dwell_once();
    rig.by(20, 0);
    rig.rest(5000);
    CHECK(rig.acts.size() == 1);
    rig.by(-20, -20);
    rig.rest(5000);
    CHECK(rig.acts.size() == 1);
    CHECK_FALSE(rig.dwell.is_armed());
    rig.by(1, 0);
    CHECK(rig.dwell.is_armed());
    rig.rest(800);
    CHECK(rig.acts.size() == 2);
}

TEST_CASE("dwell: moving on after 700 of 800 ms cancels, and the rest begins anew") {
    Rig rig(k_def);
    rig.by(300, 0);
    rig.rest(700);
    rig.by(11, 0);
    rig.rest(799);
    CHECK(rig.acts.empty());
    rig.rest(1);
    CHECK(rig.acts == std::vector<Acted>{{1501, DwellAct::click}});
}

TEST_CASE("dwell: a spiral inwards clicks once, where the pointer was inside the circle for all of 800 ms") {
    Rig rig(k_def);
    std::vector<Point> path;
    for (int ms = 0; ms < 4000; ++ms) path.push_back(on_circle({500, 0}, 100.0 - ms / 40.0, ms / 1000.0));
    rig.to({400, 0});
    for (const Point& point : path) rig.to(point);
    rig.rest(800);
    REQUIRE(rig.acts.size() == 1);
    const std::size_t clicked = rig.acts[0].ms - 1;  // the first ms went to {400, 0}
    REQUIRE(clicked >= 800);
    path.resize(path.size() + 800, path.back());
    for (std::size_t ms = clicked - 800; ms <= clicked; ++ms)
        CHECK_FALSE(is_farther(path[ms], path[clicked - 800], 10));
    CHECK(is_farther(path[clicked - 801], path[clicked], 5));
}

// Source: frequencies of tremor 4 to 12 Hz (Bhatia et al. 2018; Elble, Neurology 1986); amplitude: dwell.hpp,
// half the radius to each side.
TEST_CASE("dwell: tremor of half the radius at 4, 6, 8 and 12 Hz clicks once, 800 ms after the stop") {
    for (const int hertz : {4, 6, 8, 12}) {
        CAPTURE(hertz);
        Rig rig(k_def);
        const auto shake = [&](int for_ms) {
            for (int ms = 0; ms < for_ms; ++ms)
                rig.to({300 + std::lround(5 * std::sin(k_turn * hertz * ms / 1000.0)), 0});
        };
        shake(30000);
        REQUIRE(rig.acts.size() == 1);
        CHECK(rig.acts[0] == Acted{800, DwellAct::click});
    }
}

TEST_CASE("dwell: tremor of twice the radius never clicks in 30 s, and does once it calms down") {
    Rig rig(k_def);
    for (int ms = 0; ms < 30000; ++ms)
        rig.to({300 + std::lround(20 * std::sin(k_turn * 6 * ms / 1000.0)), 0});
    CHECK(rig.acts.empty());
    rig.rest(800);
    CHECK(rig.acts.size() == 1);
}

TEST_CASE("dwell: a creep of 1 count each 70 ms leaves the circle in time, one each 80 ms does not") {
    for (const int each_ms : {70, 80}) {
        CAPTURE(each_ms);
        Rig rig(k_def);
        rig.by(300, 0);
        for (int ms = 1; ms <= 7000; ++ms) rig.by(ms % each_ms == 0 ? 1 : 0, 0);
        // 11 counts * 70 ms = 770 < 800 <= 11 * 80: only the slower one rests long enough, again and again.
        CHECK(rig.acts.empty() == (each_ms == 70));
        rig.rest(800);
        CHECK_FALSE(rig.acts.empty());
    }
}

TEST_CASE("dwell: each of the 4 kinds is done when it is usual, and a drag ends with the dwell after it") {
    struct Case {
        DwellKind kind;
        std::vector<DwellAct> acts;
    };
    const std::vector<Case> cases = {
        {DwellKind::click, {DwellAct::click, DwellAct::click}},
        {DwellKind::double_click, {DwellAct::double_click, DwellAct::double_click}},
        {DwellKind::secondary_click, {DwellAct::secondary_click, DwellAct::secondary_click}},
        {DwellKind::drag, {DwellAct::drag_begin, DwellAct::drag_end}}};
    for (const Case& one : cases) {
        Rig rig(usual(one.kind));
        rig.dwell_once();
        CHECK(rig.dwell.is_dragging() == (one.kind == DwellKind::drag));
        rig.dwell_once();
        REQUIRE(rig.acts.size() == 2);
        CHECK(rig.acts[0].act == one.acts[0]);
        CHECK(rig.acts[1].act == one.acts[1]);
    }
}

TEST_CASE("dwell: what was chosen is done once, or until another choice where choices are kept") {
    for (const uint8_t flags : {uint8_t{0}, k_dwell_keeps_choice}) {
        Rig rig(usual(DwellKind::click, flags));
        rig.dwell.choose(DwellKind::secondary_click);
        CHECK(rig.dwell.next(rig.def) == DwellKind::secondary_click);
        rig.dwell_once();
        rig.dwell_once();
        REQUIRE(rig.acts.size() == 2);
        CHECK(rig.acts[0].act == DwellAct::secondary_click);
        CHECK(rig.acts[1].act == (flags != 0 ? DwellAct::secondary_click : DwellAct::click));
    }
}

TEST_CASE(
    "dwell: a choice made while a drag is held does not keep the drag from ending, and comes after it") {
    Rig rig(usual(DwellKind::drag));
    rig.dwell_once();
    rig.dwell.choose(DwellKind::double_click);
    CHECK(rig.dwell.next(rig.def) == DwellKind::drag);
    rig.dwell_once();
    rig.dwell_once();
    REQUIRE(rig.acts.size() == 3);
    CHECK(rig.acts[1].act == DwellAct::drag_end);
    CHECK(rig.acts[2].act == DwellAct::double_click);
}

TEST_CASE("dwell: while a drag is held that it did not start nothing is done, and after it only on moving") {
    Rig rig(k_def);
    rig.by(300, 0);
    rig.rest(700);
    rig.is_other_held = true;
    for (int i = 0; i < 5; ++i) rig.dwell_once();
    rig.is_other_held = false;
    rig.rest(5000);
    CHECK(rig.acts.empty());
    rig.dwell_once();
    CHECK(rig.acts.size() == 1);
}

TEST_CASE("dwell: its own drag does not end while another button is held") {
    Rig rig(usual(DwellKind::drag));
    rig.dwell_once();
    rig.is_other_held = true;
    rig.dwell_once();
    CHECK(rig.dwell.is_dragging());
    rig.is_other_held = false;
    rig.dwell_once();
    REQUIRE(rig.acts.size() == 2);
    CHECK(rig.acts[1].act == DwellAct::drag_end);
}

TEST_CASE("dwell: paused it does nothing in 10 rests; resumed it waits for a move") {
    Rig rig(k_def);
    rig.by(300, 0);
    rig.rest(700);
    rig.dwell.pause();
    CHECK(rig.dwell.progress(k_def) == 0);
    for (int i = 0; i < 10; ++i) rig.dwell_once();
    rig.dwell.resume();
    rig.rest(5000);
    CHECK(rig.acts.empty());
    rig.dwell_once();
    CHECK(rig.acts.size() == 1);
    rig.by(300, 0);
    rig.rest(400);
    rig.dwell.resume();  // not paused: nothing changes
    rig.rest(400);
    CHECK(rig.acts.size() == 2);
}

TEST_CASE("dwell: pausing lets go of a drag that it began, in the next ms, once") {
    Rig rig(usual(DwellKind::drag));
    rig.dwell_once();
    rig.dwell.pause();
    rig.rest(1);
    REQUIRE(rig.acts.size() == 2);
    CHECK(rig.acts[1].act == DwellAct::drag_end);
    rig.rest(2000);
    rig.dwell.resume();
    CHECK(rig.acts.size() == 2);
}

TEST_CASE("dwell: when everything was let go its drag and the choice are forgotten, a pause is not") {
    Rig rig(usual(DwellKind::click));
    rig.dwell.choose(DwellKind::drag);
    rig.dwell_once();
    rig.dwell.choose(DwellKind::double_click);
    rig.dwell.let_go();
    CHECK_FALSE(rig.dwell.is_dragging());
    rig.dwell_once();
    REQUIRE(rig.acts.size() == 2);
    CHECK(rig.acts[1].act == DwellAct::click);
    rig.dwell.pause();
    rig.dwell.let_go();
    CHECK(rig.dwell.is_paused());
    rig.dwell_once();
    CHECK(rig.acts.size() == 2);
}

TEST_CASE("dwell: a rest of 0 ms in a broken record is 200 ms") {
    Rig rig({DwellKind::click, 0, 0, 10, 20});
    rig.by(300, 0);
    rig.rest(199);
    CHECK(rig.acts.empty());
    rig.rest(1);
    CHECK(rig.acts.size() == 1);
}

TEST_CASE("dwell: jumps of 32,767 counts are out, on either side") {
    Rig rig(k_def);
    rig.by(32767, 32767);
    rig.rest(400);
    rig.by(-32768, -32768);
    rig.rest(799);
    CHECK(rig.acts.empty());
    rig.rest(1);
    CHECK(rig.acts.size() == 1);
}

TEST_CASE("dwell: a record of 5 bytes comes back as it went, for each kind and flag") {
    for (unsigned kind = 0; kind < 4; ++kind) {
        for (uint8_t flags = 0; flags < 2; ++flags) {
            const DwellDef def = {static_cast<DwellKind>(kind), flags, 0x1234, 0x56, 0x78};
            uint8_t bytes[k_dwell_bytes];
            put_dwell(bytes, def);
            CHECK(bytes[0] == kind + 16u * flags);
            CHECK(bytes[1] == 0x34);  // low byte first
            CHECK(bytes[2] == 0x12);
            const DwellDef back = get_dwell(bytes);
            CHECK(back.usual == def.usual);
            CHECK(back.flags == flags);
            CHECK(back.rest_ms == def.rest_ms);
            CHECK(back.radius_counts == def.radius_counts);
            CHECK(back.arm_counts == def.arm_counts);
        }
    }
}

}  // namespace
}  // namespace fettle::engine
