// Each row of the case table on top of tube.cpp.

#include "tests/engine/tube_rig.hpp"

namespace fettle::engine {
namespace {

using tube_test::Rig;
using tube_test::usual;

TEST_CASE("tube: a record of 12 bytes comes back as it went, low byte first") {
    const TubeDef def = {{1, 2, 3, 4}, {5, 6, 7, 8}, 0x1234, 9, 10};
    uint8_t bytes[k_tube_bytes];
    put_tube(bytes, def);
    CHECK(bytes[8] == 0x34);
    CHECK(bytes[9] == 0x12);
    const TubeDef back = get_tube(bytes);
    uint8_t again[k_tube_bytes];
    put_tube(again, back);
    CHECK(std::equal(bytes, bytes + k_tube_bytes, again));
    CHECK(back.puff.hard_off == 4);
    CHECK(back.sip.soft_on == 5);
    CHECK(back.decide_ms == 0x1234);
    CHECK(back.quiet == 9);
    CHECK(back.follow_ms == 10);
}

TEST_CASE("tube: a soft puff of 500 ms is a press from 150 ms on, and ends with the breath") {
    Rig rig;
    rig.begin();
    rig.breathe(99, 50);
    rig.breathe(100, 1);
    CHECK(rig.tube.state() == TubeState::deciding);
    rig.breathe(100, 499);
    rig.breathe(0, 100);
    CHECK(rig.take() == "puff200 -550 ");
}

TEST_CASE("tube: a soft sip is one between 60 and 100 permille only once 100 were reached") {
    Rig rig;
    rig.begin();
    rig.breathe(-61, 1000);
    CHECK(rig.take().empty());
    rig.breathe(-100, 1);
    rig.breathe(-60, 1000);
    CHECK(rig.take() == "sip1150 ");
    rig.breathe(-59, 1);
    CHECK(rig.take() == "-2001 ");
}

TEST_CASE("tube: a hard puff that takes 149 ms to get there is never a soft press, neither up nor down") {
    Rig rig;
    rig.begin();
    rig.breathe(100, 149);
    rig.breathe(400, 200);
    rig.breathe(299, 300);
    CHECK(rig.tube.state() == TubeState::spent);
    rig.breathe(0, 300);
    CHECK(rig.take() == "PUFF149 -349 ");
}

TEST_CASE("tube: hard in the very ms in which soft would be known is hard; a ms later it stays soft") {
    for (const unsigned rise : {150u, 151u}) {
        Rig rig;
        rig.begin();
        rig.breathe(200, rise);
        rig.breathe(900, 300);
        rig.breathe(0, 300);
        CHECK(rig.take() == (rise == 150 ? "PUFF150 -450 " : "puff150 -451 "));
    }
}

TEST_CASE("tube: a soft puff of 40 ms is given when it is over, for 40 ms") {
    Rig rig;
    rig.begin();
    rig.breathe(200, 40);
    CHECK(rig.take().empty());
    rig.breathe(0, 300);
    CHECK(rig.take() == "puff40 -80 ");
}

TEST_CASE("tube: a puff that is over in the ms in which it would be known comes then, for 150 ms") {
    Rig rig;
    rig.begin();
    rig.breathe(200, 150);
    rig.breathe(0, 300);
    CHECK(rig.take() == "puff150 -300 ");
}

TEST_CASE("tube: a new breath cuts an echo short, one on the other side too; both are heard") {
    Rig rig;
    rig.begin();
    rig.breathe(200, 100);
    rig.breathe(0, 30);
    rig.breathe(-200, 400);
    rig.breathe(0, 200);
    CHECK(rig.take() == "puff100 -130 sip280 -530 ");
    rig.begin();
    rig.breathe(200, 100);
    rig.breathe(-200, 400);  // from puff to sip within a ms: the puff is given for that ms
    rig.breathe(0, 200);
    CHECK(rig.take() == "puff100 -101 sip251 -500 ");
}

TEST_CASE("tube: a hard sip that weakens to 75 steps stays hard, below them it ends and may be hard again") {
    Rig rig;
    rig.begin();
    rig.breathe(-500, 100);
    rig.breathe(-300, 100);
    rig.breathe(-299, 100);
    rig.breathe(-399, 100);
    rig.breathe(-400, 100);
    rig.breathe(0, 100);
    CHECK(rig.take() == "SIP0 -200 SIP400 -500 ");
}

TEST_CASE("tube: a side with soft only is soft at once, one with hard only is hard at its threshold") {
    TubeDef def = usual();
    def.puff.hard_on = def.puff.hard_off = 0;
    def.sip.soft_on = def.sip.soft_off = 0;
    Rig rig(def);
    rig.begin();
    rig.breathe(100, 20);
    rig.breathe(900, 20);
    rig.breathe(59, 20);
    CHECK(rig.take() == "puff0 -40 ");
    rig.begin();
    rig.breathe(-399, 20);
    rig.breathe(-400, 20);
    rig.breathe(-299, 20);
    CHECK(rig.take() == "SIP20 -40 ");
}

TEST_CASE("tube: with 0 ms to decide a hard puff is a soft press first only if soft was reached first") {
    TubeDef def = usual();
    def.decide_ms = 0;
    Rig rig(def);
    rig.begin();
    rig.breathe(500, 100);
    rig.breathe(0, 100);
    rig.ramp(0, 500, 50);
    rig.breathe(0, 100);
    CHECK(rig.take() == "PUFF0 -100 puff209 -250 ");
}

TEST_CASE("tube: a side without levels hears nothing up to 1,000 permille, the other side all") {
    TubeDef def = usual();
    def.sip = {0, 0, 0, 0};
    Rig rig(def);
    rig.begin();
    rig.breathe(-1000, 1000);
    rig.breathe(0, 10);
    CHECK(rig.take().empty());
    rig.breathe(500, 10);
    rig.breathe(0, 10);
    CHECK(rig.take() == "PUFF1010 -1020 ");
}

TEST_CASE("tube: hard puffs that rise within 20 to 140 ms give 25 hard presses and no soft one") {
    Rig rig;
    rig.begin();
    unsigned hard = 0;
    for (int rise = 20; rise <= 140; rise += 5) {
        rig.ramp(0, 600, rise);
        rig.breathe(600, 100);
        rig.ramp(600, 0, 200);
        rig.breathe(0, 300);
        const std::string said = rig.take();
        CHECK(said.find("puff") == std::string::npos);
        if (said.find("PUFF") != std::string::npos) ++hard;
    }
    CHECK(hard == 25);
}

TEST_CASE("tube: at the start it learns an offset of 80 permille in 256 ms and hears nothing meanwhile") {
    Tube tube;
    tube.reset();
    const TubeDef def = usual();
    for (int ms = 0; ms < 255; ++ms) CHECK(tube.tick(static_cast<int16_t>(80 + ms % 2), def) == 0);
    CHECK_FALSE(tube.is_ready());
    tube.tick(80, def);
    CHECK(tube.is_ready());
    CHECK(tube.baseline() == 4 * 80 + 2);  // 127 of 256 were 81
    CHECK(tube.tick(179, def) == 0);
    CHECK(tube.state() == TubeState::quiet);
    tube.tick(181, def);
    CHECK(tube.state() == TubeState::deciding);
}

TEST_CASE("tube: negative offsets are learnt to the nearest 1/4 permille, as positive ones are") {
    for (int offset = -90; offset <= 90; offset += 15) {
        Rig rig(usual(), offset);
        CHECK(rig.tube.baseline() == 4 * offset);
    }
}

TEST_CASE("tube: a puff held at power-up for 5 s is neither learnt nor heard; after it the next one is") {
    Tube tube;
    tube.reset();
    const TubeDef def = usual();
    const auto breathe = [&](int permille, int for_ms) {
        uint8_t levels = 0;
        for (int ms = 0; ms < for_ms; ++ms)
            levels = static_cast<uint8_t>(levels | tube.tick(static_cast<int16_t>(permille), def));
        return levels;
    };
    CHECK(breathe(0, 200) == 0);
    CHECK(breathe(300, 5000) == 0);
    CHECK_FALSE(tube.is_ready());
    CHECK(breathe(0, 255) == 0);
    CHECK_FALSE(tube.is_ready());
    CHECK(breathe(0, 1) == 0);
    CHECK(tube.is_ready());
    CHECK(tube.baseline() == 0);
    CHECK(breathe(300, 200) == k_tube_soft_puff);
    CHECK(breathe(0, 1) == 0);
}

TEST_CASE("tube: a drift of 100 permille in 100 s is followed to within 1 permille, and brings no press") {
    Rig rig;
    rig.begin();
    for (int ms = 0; ms < 100000; ++ms) {
        rig.offset = ms / 1000;
        rig.breathe(0, 1);
        CHECK(std::abs(rig.tube.baseline() - 4 * rig.offset) <= 4);
    }
    CHECK(rig.take().empty());
    rig.breathe(99, 300);
    CHECK(rig.take().empty());
    rig.breathe(0, 2000);
    rig.breathe(101, 300);
    CHECK(rig.take() != "");
}

TEST_CASE("tube: the baseline stands still through a breath of 60 s, and where it is not to be followed") {
    for (const uint8_t follow_ms : {uint8_t{64}, uint8_t{0}}) {
        TubeDef def = usual();
        def.follow_ms = follow_ms;
        Rig rig(def);
        rig.breathe(70, 60000);  // more than quiet, less than soft
        CHECK(rig.tube.baseline() == 0);
        rig.breathe(150, 60000);
        CHECK(rig.tube.baseline() == 0);
        rig.breathe(30, 1 + 640);  // the ms in which the breath ends is none of the quiet ones
        CHECK(rig.tube.baseline() == (follow_ms == 0 ? 0 : 10));
        rig.breathe(0, 640);
    }
}

TEST_CASE("tube: 40 permille off on either side are still quiet and followed, 41 are not") {
    for (const int side : {-1, 1}) {
        Rig rig;
        rig.breathe(41 * side, 6400);
        CHECK(rig.tube.baseline() == 0);
        rig.breathe(40 * side, 640);
        CHECK(rig.tube.baseline() == 10 * side);
        rig.breathe(0, 640);
        CHECK(rig.tube.baseline() == 0);
    }
}

TEST_CASE("tube: 63 quiet ms in a row, again and again, never move the baseline by any of its 64") {
    Rig rig;
    for (int i = 0; i < 100; ++i) {
        rig.breathe(20, 63);
        rig.breathe(80, 1);
    }
    CHECK(rig.tube.baseline() == 0);
}

}  // namespace
}  // namespace fettle::engine
