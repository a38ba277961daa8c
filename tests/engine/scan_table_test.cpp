// Each row of the case table on top of scan.cpp.

#include "tests/engine/scan_rig.hpp"

namespace fettle::engine {
namespace {

using scan_test::Acted;
using scan_test::automatic;
using scan_test::hold;
using scan_test::Rig;
using scan_test::two_switch;

TEST_CASE("scan: a record of 7 bytes comes back as it went, for each style and flag") {
    for (unsigned style = 0; style < 3; ++style) {
        for (uint8_t flags = 0; flags < 4; ++flags) {
            const ScanDef def = {static_cast<ScanStyle>(style), flags, 0x1234, 0x2345, 7, 9};
            uint8_t bytes[k_scan_bytes];
            put_scan(bytes, def);
            CHECK(bytes[1] == 0x34);  // low byte first
            CHECK(bytes[4] == 0x23);
            const ScanDef back = get_scan(bytes);
            CHECK(back.style == def.style);
            CHECK(back.flags == flags);
            CHECK(back.period_ms == def.period_ms);
            CHECK(back.first_extra_ms == def.first_extra_ms);
            CHECK(back.rounds == 7);
            CHECK(back.row_rounds == 9);
        }
    }
}

TEST_CASE("scan: at rest 60 s of silence, releases and ways out bring nothing; a press offers item 0") {
    Rig rig(automatic(), ScanKind::list, 5);
    CHECK(rig.run(60000) == 0);
    rig.tick(k_scan_release);
    rig.tick(k_scan_leave);
    CHECK(rig.scan.state() == ScanState::resting);
    CHECK(rig.tick(k_scan_press).is_changed);
    CHECK(rig.scan.state() == ScanState::top);
    CHECK(rig.scan.item() == 0);
    CHECK(rig.scan.left_ms(rig.def) == 1000);
    CHECK(rig.acts.empty());
}

TEST_CASE("scan: with 0 items a press offers nothing") {
    Rig rig(automatic(), ScanKind::list, 0);
    rig.press();
    CHECK(rig.scan.state() == ScanState::resting);
    CHECK_FALSE(rig.scan.start(0, rig.def));
}

TEST_CASE("scan: an action that starts it is as a press, and does nothing while it offers already") {
    Rig rig(automatic(), ScanKind::list, 5);
    CHECK(rig.scan.start(5, rig.def));
    rig.run(1500);
    CHECK(rig.scan.item() == 1);
    CHECK(rig.scan.start(5, rig.def));
    CHECK(rig.scan.item() == 1);
}

TEST_CASE("scan automatic: 3 rounds of 5 items of 1 s, then it rests, 15,000 ms after the press") {
    Rig rig(automatic(), ScanKind::list, 5);
    rig.press();
    for (unsigned ms = 1; ms < 15000; ++ms) {
        rig.tick();
        CHECK(rig.scan.item() == ms / 1000 % 5);
    }
    CHECK(rig.acts.empty());
    rig.tick();
    CHECK(rig.acts == std::vector<Acted>{{15000, ScanAct::rest, 0, 0}});
}

TEST_CASE("scan automatic: with 0 rounds it goes on for 1,000 rounds and more") {
    Rig rig({ScanStyle::automatic, 0, 200, 0, 0, 0}, ScanKind::list, 5);
    rig.press();
    rig.run(1000 * 1000);
    CHECK(rig.scan.state() == ScanState::top);
    CHECK(rig.scan.item() == 0);
    CHECK(rig.acts.empty());
}

TEST_CASE("scan automatic: the first item is on show 400 ms longer in every round") {
    Rig rig({ScanStyle::automatic, 0, 1000, 400, 3, 2}, ScanKind::list, 3);
    rig.press();
    for (unsigned ms = 1; ms < 3 * 3400; ++ms) {
        rig.tick();
        const unsigned in_round = ms % 3400;
        CHECK(rig.scan.item() == (in_round < 1400 ? 0 : in_round < 2400 ? 1 : 2));
    }
}

TEST_CASE("scan automatic: a press takes the item on show; then it rests, or begins anew where it is to") {
    for (const uint8_t flags : {uint8_t{0}, k_scan_again}) {
        Rig rig(automatic(flags), ScanKind::list, 5);
        rig.tap();
        rig.run(2500);
        rig.press();
        CHECK(rig.acts == std::vector<Acted>{{2502, ScanAct::item, 0, 2}});
        CHECK(rig.scan.state() == (flags != 0 ? ScanState::top : ScanState::resting));
        CHECK(rig.scan.item() == 0);
        CHECK(rig.scan.left_ms(rig.def) == (flags != 0 ? 1000 : 0));
        rig.let_go();
        CHECK(rig.acts.size() == 1);
    }
}

TEST_CASE("scan automatic: a press in the very ms in which the item would change takes the one on show") {
    Rig rig(automatic(), ScanKind::list, 5);
    rig.press();
    rig.run(999);
    rig.press();
    REQUIRE(rig.acts.size() == 1);
    CHECK(rig.acts[0].item == 0);
}

TEST_CASE("scan of rows: a press takes the row, the next one its cell, told with its row") {
    Rig rig(automatic(), ScanKind::rows, 5);
    rig.tap();
    rig.run(3100);
    rig.press();
    CHECK(rig.scan.state() == ScanState::cells);
    CHECK(rig.scan.row() == 3);
    CHECK(rig.scan.item() == 0);
    rig.run(2500);
    rig.press();
    CHECK(rig.acts == std::vector<Acted>{{3102, ScanAct::row, 3, 0}, {5603, ScanAct::item, 3, 2}});
    CHECK(rig.scan.row() == 0);
}

TEST_CASE("scan of rows: 2 rounds of a wrong row lead back to the first row, 3 rounds of rows to rest") {
    Rig rig(automatic(), ScanKind::rows, 5);
    rig.press();
    rig.run(1500);
    rig.press();
    rig.run(2 * 6 * 1000);
    CHECK(rig.scan.state() == ScanState::top);
    CHECK(rig.scan.item() == 0);
    rig.run(3 * 5 * 1000);
    CHECK(rig.acts == std::vector<Acted>{{1501, ScanAct::row, 1, 0},
                                         {13501, ScanAct::back, 1, 0},
                                         {28501, ScanAct::rest, 0, 0}});
}

TEST_CASE("scan of rows: the item past the last cell leads back to the first row, and takes nothing") {
    Rig rig(automatic(k_scan_back_item | k_scan_again), ScanKind::rows, 5);
    rig.press();
    rig.run(1500);
    rig.press();
    rig.run(6500);
    CHECK(rig.scan.item() == 6);
    rig.press();
    CHECK(rig.acts.back() == Acted{8002, ScanAct::back, 1, 0});
    CHECK(rig.scan.state() == ScanState::top);
    CHECK(rig.scan.item() == 0);
}

TEST_CASE("scan: the rows, a list and directions have no way back at their end") {
    for (const ScanKind kind : {ScanKind::list, ScanKind::rows, ScanKind::directions}) {
        Rig rig(automatic(k_scan_back_item), kind, 3);
        rig.press();
        rig.run(3000);
        CHECK(rig.scan.item() == 0);
    }
}

TEST_CASE("scan: the way out leads from the cells to the rows, from the rows to rest") {
    Rig rig(automatic(k_scan_again), ScanKind::rows, 5);
    rig.press();
    rig.run(2000);
    rig.press();
    rig.tick(k_scan_leave);
    CHECK(rig.scan.state() == ScanState::top);
    rig.tick(k_scan_leave);
    CHECK(rig.scan.state() == ScanState::resting);
    CHECK(rig.acts == std::vector<Acted>{{2001, ScanAct::row, 2, 0},
                                         {2002, ScanAct::back, 2, 0},
                                         {2003, ScanAct::rest, 0, 0}});
}

TEST_CASE(
    "scan of directions: a press begins, the next one ends; 1 begin and 1 end, whatever comes between") {
    Rig rig(automatic(), ScanKind::directions, 8);
    rig.press();
    rig.run(5500);
    rig.press();
    CHECK(rig.scan.state() == ScanState::moving);
    CHECK(rig.scan.item() == 5);
    CHECK(rig.run(20000) == 0);
    rig.let_go();
    rig.press();
    CHECK(rig.acts ==
          std::vector<Acted>{{5501, ScanAct::begin_motion, 0, 5}, {25503, ScanAct::end_motion, 0, 5}});
    CHECK(rig.scan.state() == ScanState::resting);
}

TEST_CASE("scan of directions: the way out and the second switch end a motion too") {
    for (const uint8_t how : {k_scan_leave, k_scan_pick}) {
        Rig rig(two_switch(k_scan_again), ScanKind::directions, 8);
        rig.press();
        rig.tick(k_scan_pick);
        CHECK(rig.is_moving);
        rig.tick(how);
        CHECK_FALSE(rig.is_moving);
        CHECK(rig.scan.state() == (how == k_scan_pick ? ScanState::top : ScanState::resting));
    }
}

TEST_CASE("scan two-switch: each press of the first moves on, the second takes; 60 s change nothing") {
    Rig rig(two_switch(), ScanKind::rows, 5);
    rig.press();
    CHECK(rig.run(60000) == 0);
    rig.press();
    rig.press();
    CHECK(rig.scan.item() == 2);
    rig.tick(k_scan_pick);
    rig.press();
    rig.tick(k_scan_pick);
    REQUIRE(rig.acts.size() == 2);
    CHECK(rig.acts[0].act == ScanAct::row);
    CHECK(rig.acts[0].row == 2);
    CHECK(rig.acts[1] == Acted{60005, ScanAct::item, 2, 1});
}

TEST_CASE("scan two-switch: 15 presses past 5 items are 3 rounds, and it rests") {
    Rig rig(two_switch(), ScanKind::list, 5);
    for (unsigned i = 0; i < 15; ++i) rig.press();
    CHECK(rig.scan.state() == ScanState::top);
    rig.press();
    REQUIRE(rig.acts.size() == 1);
    CHECK(rig.acts[0].act == ScanAct::rest);
}

TEST_CASE("scan hold: held it moves on each second, letting go takes the item on show") {
    Rig rig(hold(), ScanKind::list, 5);
    rig.press();
    rig.run(3500);
    rig.let_go();
    CHECK(rig.acts == std::vector<Acted>{{3501, ScanAct::item, 0, 3}});
}

TEST_CASE(
    "scan hold: after a row was taken its cells wait for the next press, which does not skip the first") {
    Rig rig(hold(k_scan_again), ScanKind::rows, 5);
    rig.press();
    rig.run(1500);
    rig.let_go();
    CHECK(rig.run(60000) == 0);
    CHECK(rig.scan.left_ms(rig.def) == 0);
    rig.press();
    rig.run(2500);
    rig.let_go();
    rig.tap();
    CHECK(rig.acts == std::vector<Acted>{{1501, ScanAct::row, 1, 0},
                                         {64003, ScanAct::item, 1, 2},
                                         {64005, ScanAct::row, 0, 0}});
}

TEST_CASE("scan hold: held through 3 rounds it rests, and letting go then takes nothing") {
    Rig rig(hold(), ScanKind::list, 5);
    rig.press();
    rig.run(15500);
    rig.let_go();
    CHECK(rig.acts == std::vector<Acted>{{15000, ScanAct::rest, 0, 0}});
}

TEST_CASE("scan hold: the press that stops a motion moves on nothing, and its release takes nothing") {
    Rig rig(hold(k_scan_again), ScanKind::directions, 8);
    rig.press();
    rig.run(1500);
    rig.let_go();
    CHECK(rig.is_moving);
    rig.press();
    CHECK_FALSE(rig.is_moving);
    CHECK(rig.run(5000) == 0);
    rig.let_go();
    CHECK(rig.acts.size() == 2);
    CHECK(rig.scan.state() == ScanState::top);
}

TEST_CASE("scan hold: a way out while held takes nothing when the switch goes up") {
    Rig rig(hold(), ScanKind::rows, 5);
    rig.tap();
    rig.press();
    rig.tick(k_scan_leave);
    CHECK(rig.run(5000) == 0);
    rig.let_go();
    CHECK(rig.acts.size() == 2);
    CHECK(rig.acts[1].act == ScanAct::back);
    CHECK(rig.scan.state() == ScanState::top);
}

TEST_CASE("scan hold: a press that begins and ends in one ms takes the first item") {
    Rig rig(hold(), ScanKind::list, 5);
    rig.tick(k_scan_press | k_scan_release);
    CHECK(rig.acts == std::vector<Acted>{{0, ScanAct::item, 0, 0}});
}

TEST_CASE(
    "scan: a list that shrinks to 2 while item 3 is on show offers item 0, and hears no press in that ms") {
    Rig rig(automatic(), ScanKind::list, 5);
    rig.press();
    rig.run(3500);
    rig.top_count = 2;
    rig.press();
    CHECK(rig.scan.item() == 0);
    CHECK(rig.scan.left_ms(rig.def) == 1000);
    CHECK(rig.acts.empty());
    rig.top_count = 0;
    rig.tick();
    CHECK(rig.acts == std::vector<Acted>{{3502, ScanAct::rest, 0, 0}});
}

TEST_CASE("scan: a row with 0 cells leads back at once, unless it has a way back to offer") {
    for (const uint8_t flags : {uint8_t{0}, k_scan_back_item}) {
        Rig rig(automatic(flags), ScanKind::rows, 5);
        rig.cell_count = 0;
        rig.press();
        rig.press();
        rig.tick();
        CHECK(rig.scan.state() == (flags == 0 ? ScanState::top : ScanState::cells));
    }
}

TEST_CASE("scan: reset in the middle of anything rests, and a switch that is still held takes nothing") {
    Rig rig(hold(k_scan_again), ScanKind::rows, 5);
    rig.press();
    rig.run(500);
    rig.scan.reset();
    CHECK(rig.run(5000) == 0);
    rig.let_go();
    CHECK(rig.acts.empty());
    CHECK(rig.scan.state() == ScanState::resting);
}

}  // namespace
}  // namespace fettle::engine
