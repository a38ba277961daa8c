// What a profile on trial has to prove by use, and what it has proven.

#include <doctest/doctest.h>

#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {
constexpr int k_all = k_proof_clicked | k_proof_let_go | k_proof_mode;
}

TEST_CASE("proof: a profile with click, hold and two modes needs all 3 and has none at first") {
    Profile p;
    p.mode_count = 2;
    const auto clicker = p.add_switch(1);
    const auto changer = p.add_switch(2);
    p.assign_everywhere(clicker, click(1));
    p.assign_everywhere(changer, mode(ModeStyle::next));
    Rig rig(p);
    CHECK(int{rig.engine.proof_needed()} == k_all);
    CHECK(int{rig.engine.proof()} == 0);
    rig.press(clicker, 20);
    CHECK(int{rig.engine.proof() & k_proof_clicked} == 0);  // pressed, but not yet let go
    rig.run(100);
    CHECK(int{rig.engine.proof()} == (k_proof_clicked | k_proof_let_go));
    rig.press(changer, 20);
    CHECK(int{rig.engine.proof() & k_proof_mode} == 0);
    rig.press(changer, 20);
    rig.run(5);
    CHECK(int{rig.engine.proof()} == k_all);
    CHECK(rig.clicked() == "1 0");
}

TEST_CASE("proof: without a pointer no click is asked for, with one mode no change") {
    Profile p;
    p.assign(0, p.add_switch(1), tap_key(0x04));
    CHECK(int{Rig(p).engine.proof_needed()} == k_proof_let_go);
    Profile nothing;
    nothing.add_switch(1);
    CHECK(int{Rig(nothing).engine.proof_needed()} == 0);
}

TEST_CASE("proof: only what presses can reach from the first mode is asked for") {
    Profile p;
    p.mode_count = 3;
    const auto in = p.add_switch(1);
    const auto other = p.add_switch(2);
    p.assign(0, in, tap_key(0x04));
    p.assign(1, in, click(1));  // no way leads here
    p.assign(2, other, mode(ModeStyle::go_to, 1));
    CHECK(int{Rig(p).engine.proof_needed()} == k_proof_let_go);
    p.assign(0, in, mode(ModeStyle::go_to, 2), Gesture::double_press);  // now one does
    CHECK(int{Rig(p).engine.proof_needed()} == k_all);
}

TEST_CASE("proof: a way to a mode by a long press counts, a mode that leads to itself does not") {
    Profile p;
    p.mode_count = 2;
    const auto in = p.add_switch(1);
    p.assign(0, in, mode(ModeStyle::go_to, 0));
    CHECK(int{Rig(p).engine.proof_needed()} == k_proof_let_go);
    p.assign(0, in, mode(ModeStyle::while_held, 1), Gesture::long_press);
    CHECK(int{Rig(p).engine.proof_needed()} == (k_proof_let_go | k_proof_mode));
}

TEST_CASE("proof: while the storage does not answer all is asked for; once it does, what there is") {
    Profile p;
    p.assign(0, p.add_switch(1), tap_key(0x04));
    Rig rig(p);
    int asked = 0;
    rig.storage_is_busy = [&] { return ++asked < 40; };
    rig.load(p);
    CHECK(int{rig.engine.proof_needed()} == k_all);
    rig.run(50);
    CHECK(int{rig.engine.proof_needed()} == k_proof_let_go);
}

TEST_CASE("proof: a host's click that was not read is none; a drag that was ended is one") {
    Profile p;
    const auto dragger = p.add_switch(1);
    p.assign(0, dragger, drag(1));
    Rig rig(p);
    rig.computer.is_reading = false;
    rig.press(dragger, 20);
    rig.press(dragger, 20);
    rig.run(200);
    CHECK(int{rig.engine.proof() & k_proof_clicked} == 0);
    rig.computer.is_reading = true;
    rig.run(200);
    CHECK(int{rig.engine.proof() & k_proof_clicked} == k_proof_clicked);
    rig.take_clicks();
}

TEST_CASE("proof: let go is not reached while another press still holds a key") {
    Profile p;
    const auto first = p.add_switch(1);
    const auto second = p.add_switch(2);
    p.assign(0, first, hold_key(0x04));
    p.assign(0, second, hold_key(0x05));
    Rig rig(p);
    rig.down(first);
    rig.run(10);
    rig.press(second, 50);
    rig.run(50);
    CHECK(int{rig.engine.proof()} == 0);
    rig.up(first);
    rig.run(10);
    CHECK(int{rig.engine.proof()} == k_proof_let_go);
    rig.typed();
}

TEST_CASE("proof: another profile begins without proof, a variant keeps it") {
    Profile p;
    const auto in = p.add_switch(1);
    p.assign(0, in, click(1));
    Rig rig(p);
    rig.press(in, 20);
    rig.run(200);
    CHECK(int{rig.engine.proof()} == (k_proof_clicked | k_proof_let_go));
    rig.load(p, Cause::press, true, 1);
    rig.run(5);
    CHECK(int{rig.engine.proof()} == (k_proof_clicked | k_proof_let_go));
    rig.load(p);
    rig.run(5);
    CHECK(int{rig.engine.proof()} == 0);
    rig.take_clicks();
}

TEST_CASE("wishes: keep, revert, extend and variants come out once for each press") {
    Profile p;
    p.variant_count = 3;
    const ActionDef actions[] = {simple(ActionKind::keep), simple(ActionKind::revert),
                                 simple(ActionKind::extend), variant(false, 2), variant(true)};
    const int wishes[] = {k_wish_keep, k_wish_revert, k_wish_extend, k_wish_variant, k_wish_variant};
    for (std::uint8_t i = 0; i < 5; ++i)
        p.assign(0, p.add_switch(static_cast<std::uint8_t>(i + 1)), actions[i]);
    Rig rig(p);
    for (std::uint8_t i = 0; i < 5; ++i) {
        CAPTURE(i);
        rig.press(i, 20);
        CHECK(int{rig.take_wishes()} == wishes[i]);
        rig.run(20);
        CHECK(int{rig.take_wishes()} == 0);
        if (i == 3) CHECK(int{rig.wished_variant} == 2);
        if (i == 4) CHECK(int{rig.wished_variant} == 1);
    }
    rig.load(p, Cause::press, true, 2);
    rig.press(4, 20);
    CHECK(int{rig.take_wishes()} == k_wish_variant);
    CHECK(int{rig.wished_variant} == 0);  // after the last comes the first
}

TEST_CASE("wishes: a variant that there is not is refused") {
    Profile p;
    p.assign(0, p.add_switch(1), variant(false, 3));
    Rig rig(p);
    rig.press(0, 20);
    CHECK(rig.action_story() == "refused 1");
}
