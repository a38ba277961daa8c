// Texts: pace, Caps Lock, busy storage, cut short.
// Usages. Source: HID Usage Tables, page 0x07: 04 a, 05 b, 06 c, 1E 1/!, 28 enter.

#include <doctest/doctest.h>

#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {
constexpr std::uint8_t k_text_typed = 0, k_text_begins = 1, k_text_cut = 2;

/// Switch 1 types text 0, switch 2 text 1, switch 3 lets everything go.
struct Texts {
    Profile p;
    std::uint8_t first, second, letgo;
    Texts() {
        // "aB1" enter; ctrl+c "b".
        p.texts = {{0x04, 0x85, 0x1E, 0x28}, {k_stroke_modified, 0x01, 0x06, 0x05}};
        first = p.add_switch(1);
        second = p.add_switch(2);
        letgo = p.add_switch(3);
        p.assign(0, first, text(0));
        p.assign(0, second, text(1));
        p.assign(0, letgo, simple(ActionKind::release_all));
    }
};
}  // namespace

TEST_CASE("typing: 4 strokes come in order, with Shift where it belongs, at least 20 ms apart") {
    Texts t;
    Rig rig(t.p);
    rig.press(t.first, 30);
    rig.run(200);
    const std::vector<Typed> typed = rig.take_typed();
    REQUIRE(typed.size() == 4);
    const int usages[] = {0x04, 0x05, 0x1E, 0x28};
    const int modifiers[] = {0, 2, 0, 0};
    for (std::size_t i = 0; i < 4; ++i) {
        CHECK(int{typed[i].usage} == usages[i]);
        CHECK(int{typed[i].modifiers} == modifiers[i]);
        if (i > 0) CHECK(typed[i].ms - typed[i - 1].ms >= 20);
        if (i > 0) CHECK(typed[i].ms - typed[i - 1].ms <= 24);
    }
    CHECK(rig.count(EventKind::text, 0, k_text_begins) == 1);
    CHECK(rig.count(EventKind::text, 0, k_text_typed) == 1);
}

TEST_CASE("typing: a stroke with ctrl is found behind the first text, and the next one stands alone") {
    Texts t;
    Rig rig(t.p);
    rig.press(t.second, 30);
    rig.run(200);
    CHECK(rig.typed() == "01+06 05");
}

TEST_CASE("typing: a pace of 500 ms is kept, and the text goes on long after its press of 30 ms") {
    Texts t;
    t.p.stroke_gap_ms = 500;
    Rig rig(t.p);
    rig.press(t.first, 30);
    rig.run(1600);
    const std::vector<Typed> typed = rig.take_typed();
    REQUIRE(typed.size() == 4);
    CHECK(typed[3].ms - typed[0].ms >= 1500);
}

TEST_CASE("typing: with Caps Lock on, letters come with Shift turned round and other keys as they are") {
    Texts t;
    Rig rig(t.p);
    rig.leds = k_led_caps;
    rig.press(t.first, 30);
    rig.run(200);
    CHECK(rig.typed() == "02+04 05 1E 28");
    rig.press(t.second, 30);
    rig.run(200);
    CHECK(rig.typed() == "01+06 02+05");  // ctrl+c is no letter that Caps Lock changes
    rig.leds = 0;
    rig.press(t.first, 30);
    rig.run(200);
    CHECK(rig.typed() == "04 02+05 1E 28");
    CHECK(rig.count(EventKind::leds) == 2);
}

TEST_CASE("typing: a computer that reads every 30 ms loses none of 4 strokes") {
    Texts t;
    Rig rig(t.p);
    rig.computer.interval_ms = 30;
    rig.press(t.first, 30);
    rig.run(1000);
    CHECK(rig.typed() == "04 02+05 1E 28");
}

TEST_CASE("typing: a storage that answers every 5th time only delays") {
    Texts t;
    Rig rig(t.p);
    int asked = 0;
    rig.stored().is_busy = [&] { return ++asked % 5 != 0; };
    rig.press(t.first, 30);
    rig.run(3000);
    CHECK(rig.typed() == "04 02+05 1E 28");
}

TEST_CASE("typing: another text cuts the first short and is typed whole") {
    Texts t;
    t.p.stroke_gap_ms = 100;
    Rig rig(t.p);
    rig.press(t.first, 30);
    rig.run(80);
    rig.press(t.second, 30);
    rig.run(500);
    CHECK(rig.typed() == "04 02+05 01+06 05");
    CHECK(rig.count(EventKind::text, 0, k_text_cut) == 1);
    CHECK(rig.count(EventKind::text, 1, k_text_typed) == 1);
}

TEST_CASE("typing: release everything cuts a text short within a tick") {
    Texts t;
    t.p.stroke_gap_ms = 100;
    Rig rig(t.p);
    rig.press(t.first, 30);
    rig.run(80);
    rig.press(t.letgo, 30);
    rig.run(1000);
    CHECK(rig.typed() == "04 02+05");
    CHECK(rig.count(EventKind::text, 0, k_text_cut) == 1);
    CHECK(int{rig.engine.state().typing} == 0);
}

TEST_CASE("typing: the state names the text that is typed, plus 1") {
    Texts t;
    Rig rig(t.p);
    rig.press(t.second, 10);
    CHECK(int{rig.engine.state().typing} == 2);
    rig.run(300);
    CHECK(int{rig.engine.state().typing} == 0);
    rig.typed();
}

TEST_CASE("typing: a text that there is not is refused") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, text(3));
    Rig rig(p);
    rig.press(in, 30);
    CHECK(rig.action_story() == "refused 1");
}

TEST_CASE("typing: Caps Lock turns round Shift for the 26 letters alone or with Shift, and nothing else") {
    for (int usage = 0; usage < 0x80; ++usage) {
        for (const int modifiers : {0x00, 0x02, 0x20, 0x01, 0x03, 0x40, 0x04}) {
            CAPTURE(usage);
            CAPTURE(modifiers);
            const Stroke in{static_cast<std::uint8_t>(modifiers), static_cast<std::uint8_t>(usage), 1};
            const Stroke out = against_caps_lock(in);
            const bool is_letter = usage >= 0x04 && usage <= 0x1D;
            const bool is_plain = (modifiers & ~0x22) == 0;
            const int expected = is_letter && is_plain ? (modifiers == 0 ? 0x02 : 0x00) : modifiers;
            CHECK(int{out.modifiers} == expected);
            CHECK(int{out.usage} == usage);
        }
    }
}
