// Power-up, profile loads, cable, suspend, release everything.

#include <doctest/doctest.h>

#include "core/sim/ir_encode.hpp"
#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {

void collect(void* owner, const Event& event) {
    static_cast<std::vector<Event>*>(owner)->push_back(event);
}

struct Hands {
    Profile p;
    std::uint8_t key, button, dragger, locker, mover, letgo;
    Hands() {
        p.mode_count = 2;
        key = p.add_switch(1);
        button = p.add_switch(2);
        dragger = p.add_switch(3);
        locker = p.add_switch(4);
        mover = p.add_switch(5);
        letgo = p.add_switch(6);
        p.assign_everywhere(key, hold_key(0x04));
        p.assign_everywhere(button, hold_button(2));
        p.assign_everywhere(dragger, drag(1));
        p.assign_everywhere(locker, latch(0x01, LatchStyle::lock));
        p.assign_everywhere(mover, move(Direction::right));
        p.assign_everywhere(letgo, simple(ActionKind::release_all));
    }
    /// Everything that can be held is held.
    void hold_all(Rig& rig) const {
        rig.press(dragger, 10);
        rig.press(locker, 10);
        rig.run(20);
        rig.down(key);
        rig.down(button);
        rig.down(mover);
        rig.run(400);
        CHECK(rig.computer.keys.size() == 1);
        CHECK(int{rig.computer.buttons} == 3);
        CHECK(int{rig.computer.modifiers} == 1);
        forget(rig);
    }
    void up_all(Rig& rig) const {
        for (const std::uint8_t in : {key, button, mover}) rig.up(in);
        rig.run(20);
    }
    static void forget(Rig& rig) {
        rig.take_typed();
        rig.take_clicks();
        rig.moved();
        rig.forget_events();
        rig.record.clear();
    }
    /// What the reports since `forget` say: nothing held, one report of each kind that changes anything.
    static void is_released_in_one(const Rig& rig) {
        for (const Endpoint endpoint : {Endpoint::keyboard, Endpoint::pointer}) {
            int reports = 0;
            for (const Tick& tick : rig.record) {
                const Report& report = tick.out.reports[static_cast<int>(endpoint)];
                if (report.size == 0 || report.bytes[0] == k_consumer_report_id) continue;
                ++reports;
                const int first = endpoint == Endpoint::keyboard ? 0 : 1;
                for (int i = first; i < report.size; ++i) CHECK(int{report.bytes[i]} == 0);
            }
            CHECK(reports == 1);
        }
        CHECK_FALSE(rig.computer.holds_anything());
    }
};

}  // namespace

TEST_CASE("power: a switch and a stick that are down in the first tick are ignored until they were up") {
    Profile p;
    p.assign(0, p.add_switch(1), hold_key(0x04));
    p.assign(0, p.add_axis(0, false, 128, 64), hold_key(0x05));
    const Stored stored(p);
    const_cast<Stored&>(stored).setup.storage.owner = const_cast<Stored*>(&stored);
    std::vector<Event> events;
    Engine engine;
    engine.start(EventSink{&events, collect});
    engine.load(&stored.setup, 0, Cause::start, 0, false);
    const Edge closed{500, 1, 1};
    const Edge opened{2000500, 1, 0};
    const Edge again{2100500, 1, 1};
    int keyboard_reports_with_a_key = 0;
    for (std::uint32_t ms = 1; ms <= 2200; ++ms) {
        TickInputs in{};
        in.now_us = ms * 1000;
        if (ms == 1) in.edges = &closed;
        if (ms == 2001) in.edges = &opened;
        if (ms == 2101) in.edges = &again;
        in.edge_count = in.edges != nullptr ? 1 : 0;
        in.axes[0] = ms <= 2000 ? 900 : 0;
        in.taken = 3;
        TickOutputs out;
        engine.tick(in, out);
        if (out.reports[0].size != 0 && out.reports[0].bytes[2] != 0) ++keyboard_reports_with_a_key;
        if (ms < 2101) CHECK_FALSE(engine.holds_anything());
        if (ms == 1) CHECK(engine.state().inputs_down == 3);
    }
    CHECK(keyboard_reports_with_a_key == 1);
}

TEST_CASE(
    "power: lines that closed before the profile was there are ignored too, when it comes 30 ms later") {
    Profile p;
    p.assign(0, p.add_switch(1), hold_key(0x04));
    const Stored stored(p);
    Engine engine;
    engine.start(EventSink{nullptr, nullptr});
    CHECK_FALSE(engine.is_loaded());
    const Edge closed{10500, 1, 1};
    for (std::uint32_t ms = 1; ms <= 200; ++ms) {
        TickInputs in{};
        in.now_us = ms * 1000;
        if (ms == 11) in.edges = &closed;
        in.edge_count = in.edges != nullptr ? 1 : 0;
        in.taken = 3;
        TickOutputs out;
        engine.tick(in, out);
        if (ms == 30) engine.load(&stored.setup, in.now_us, Cause::start, 0, false);
        CHECK_FALSE(engine.holds_anything());
    }
    CHECK(engine.state().inputs_down == 1);
}

TEST_CASE(
    "load: another profile ends all that is held in one report of each kind and says that a drag was "
    "broken") {
    Hands h;
    Rig rig(h.p);
    h.hold_all(rig);
    rig.is_recording = true;
    Profile other;
    other.add_switch(8);
    rig.load(other);
    rig.run(100);
    Hands::is_released_in_one(rig);
    CHECK(rig.count(EventKind::drag_broken, 1, static_cast<std::uint8_t>(Cause::profile)) == 1);
    CHECK(rig.count(EventKind::released) == 1);
    Hands::forget(rig);
    rig.is_end_checked = false;  // the switches of the old profile are still down
}

TEST_CASE("load: inputs that are down stay ignored in the new profile until they were up") {
    Hands h;
    Rig rig(h.p);
    rig.down(h.key);
    rig.run(50);
    rig.typed();
    rig.load(h.p);
    rig.run(500);
    CHECK(rig.typed() == "");
    CHECK(rig.engine.state().inputs_down == (1u << h.key));
    rig.up(h.key);
    rig.run(50);
    rig.press(h.key, 50);
    rig.run(20);
    CHECK(rig.typed() == "04");
}

TEST_CASE("load: mode, scale and text go back to the start with another profile, and are told") {
    Profile p;
    p.mode_count = 2;
    p.texts = {{0x04, 0x05}};
    p.stroke_gap_ms = 500;
    const auto changer = p.add_switch(1);
    const auto slower = p.add_switch(2);
    const auto typer = p.add_switch(3);
    p.assign_everywhere(changer, mode(ModeStyle::next));
    p.assign_everywhere(slower, scale(ScaleStyle::toggle, 500));
    p.assign_everywhere(typer, text(0));
    Rig rig(p);
    rig.press(changer, 10);
    rig.press(slower, 10);
    rig.press(typer, 10);
    rig.run(20);
    rig.forget_events();
    rig.load(p);
    CHECK(int{rig.engine.state().mode} == 0);
    CHECK(rig.engine.state().scale_permille == 1000);
    CHECK(rig.count(EventKind::mode, 0, static_cast<std::uint8_t>(Cause::profile)) == 1);
    CHECK(rig.count(EventKind::scale) == 1);
    CHECK(rig.count(EventKind::text, 0, 2) == 1);
    CHECK(rig.count(EventKind::snapshot) == 1);
    rig.run(1000);
    CHECK(rig.typed() == "04");
}

TEST_CASE("load: a variant keeps mode, lock and drag, ends what presses hold") {
    Hands h;
    h.p.variant_count = 2;
    Rig rig(h.p);
    rig.engine.go_to_mode(1, rig.now_us());
    h.hold_all(rig);
    rig.load(h.p, Cause::press, true, 1);
    rig.run(50);
    CHECK(int{rig.engine.state().mode} == 1);
    CHECK(int{rig.engine.state().variant} == 1);
    CHECK(rig.computer.keys.empty());
    CHECK(int{rig.computer.buttons} == 1);
    CHECK(int{rig.computer.modifiers} == 1);
    CHECK(rig.count(EventKind::released) == 0);
    CHECK(rig.count(EventKind::drag_broken) == 0);
    Hands::forget(rig);
    rig.run(300);
    CHECK(rig.moved() == "0 0");
    h.up_all(rig);
    rig.press(h.letgo, 10);
    rig.run(20);
    rig.take_clicks();
}

TEST_CASE(
    "load: a remote's button that is held over a load is ignored until it was let go, under its new number") {
    // SIRC repeats whole frames: without care the next one would be a press in the new profile.
    for (const int how : {0, 1, 2, 3}) {
        CAPTURE(how);
        const std::size_t shift = how % 2 == 0 ? 0 : 3;
        const bool is_in_place = how >= 2;  // the same Setup, filled anew
        Profile first;
        first.assign(0, first.add_remote(Protocol::sirc12, 4, 1), tap_key(0x04));
        Profile second;
        for (std::size_t i = 0; i < shift; ++i) second.add_switch(static_cast<std::uint8_t>(i + 1));
        second.assign(0, second.add_remote(Protocol::sirc12, 4, 1), tap_key(0x05));
        Rig rig(first);
        const IrFrame frame = make_ir_frame(Protocol::sirc12, 4, 1);
        for (int i = 0; i < 12; ++i) {
            rig.send(frame);
            rig.run(45);
            if (i == 5 && is_in_place) {
                const Storage storage = rig.stored().setup.storage;
                second.build(rig.stored().setup, rig.stored().image);
                rig.stored().setup.storage = storage;
                rig.engine.load(&rig.stored().setup, rig.now_us(), Cause::profile, 0, false);
            } else if (i == 5) {
                rig.load(second);
            }
        }
        CHECK(rig.engine.state().inputs_down == (1u << shift));
        rig.run(400);
        CHECK(rig.engine.state().inputs_down == 0);
        CHECK(rig.typed() == "04");
        rig.send(frame);
        rig.run(400);
        CHECK(rig.typed() == "05");
    }
}

TEST_CASE("release everything: pressed on the device it ends all in one report of each kind") {
    Hands h;
    Rig rig(h.p);
    h.hold_all(rig);
    rig.is_recording = true;
    rig.press(h.letgo, 50);
    rig.run(50);
    Hands::is_released_in_one(rig);
    CHECK(rig.count(EventKind::released, static_cast<std::uint8_t>(Cause::press), 0) == 1);
    CHECK(rig.count(EventKind::drag_broken) == 1);
    Hands::forget(rig);
    rig.run(500);
    CHECK(rig.moved() == "0 0");  // those that are still down are not heard
    h.up_all(rig);
    rig.press(h.key, 20);
    rig.run(20);
    CHECK(rig.typed() == "04");
}

TEST_CASE("release everything: by the host's command it does the same, once") {
    Hands h;
    Rig rig(h.p);
    h.hold_all(rig);
    rig.is_recording = true;
    rig.command(k_command_release_all);
    rig.run(50);
    Hands::is_released_in_one(rig);
    CHECK(rig.count(EventKind::released, static_cast<std::uint8_t>(Cause::host), 0) == 1);
    CHECK(rig.count(EventKind::released) == 1);
    Hands::forget(rig);
    h.up_all(rig);
}

TEST_CASE("cable: a lost cable ends all; the computer that comes back is told that nothing is down") {
    Hands h;
    Rig rig(h.p);
    h.hold_all(rig);
    rig.computer.reset();
    rig.command(k_command_cable_lost);
    rig.run(300);
    CHECK_FALSE(rig.computer.holds_anything());
    CHECK(rig.count(EventKind::drag_broken, 1, static_cast<std::uint8_t>(Cause::cable)) == 1);
    Hands::forget(rig);
    rig.run(300);
    CHECK(rig.moved() == "0 0");
    h.up_all(rig);
}

TEST_CASE("suspend: while the host sleeps all is let go, presses do nothing, and nothing comes afterwards") {
    Hands h;
    Rig rig(h.p);
    h.hold_all(rig);
    rig.standing_commands = k_command_suspended;
    rig.computer.is_reading = false;
    rig.run(100);
    h.up_all(rig);
    rig.press(h.key, 100);
    rig.press(h.button, 100);
    rig.down(h.mover);
    rig.run(600);
    CHECK(rig.count(EventKind::drag_broken, 1, static_cast<std::uint8_t>(Cause::suspend)) == 1);
    CHECK(rig.count(EventKind::action, h.key, 1) >= 1);
    rig.standing_commands = 0;
    rig.computer.is_reading = true;
    rig.run(50);
    CHECK_FALSE(rig.computer.holds_anything());
    CHECK(rig.typed() == "");
    CHECK(rig.moved() == "0 0");
    rig.up(h.mover);
    rig.run(20);
    rig.take_clicks();
    rig.press(h.key, 20);
    rig.run(20);
    CHECK(rig.typed() == "04");
}

TEST_CASE("snapshot: mode, variant, scale, LEDs, flags and inputs are told as the state has them") {
    Hands h;
    Rig rig(h.p);
    rig.leds = 5;
    rig.down(h.mover);
    rig.run(10);
    rig.forget_events();
    rig.engine.snapshot(rig.now_us(), true);
    const std::vector<Event> told = rig.of(EventKind::snapshot);
    REQUIRE(told.size() == 1);
    const std::uint8_t expected[] = {0, 0, 0xE8, 0x03, 5, k_snapshot_on_trial, 1u << 4, 0, 0};
    for (std::size_t i = 0; i < sizeof expected; ++i) CHECK(int{told[0].data[i]} == int{expected[i]});
    CHECK(rig.count(EventKind::held) == 1);
    rig.up(h.mover);
    rig.run(10);
    rig.moved();
}

TEST_CASE("longest hold: after 2 s a held key is let go, told, and ignored until the switch was really up") {
    Profile p;
    p.mode_count = 2;
    p.rules[0].longest_hold_ds = 20;
    const auto key = p.add_switch(1);
    const auto holder = p.add_switch(2);
    p.assign_everywhere(key, hold_key(0x04));
    p.assign_everywhere(holder, mode(ModeStyle::while_held, 1));
    Rig rig(p);
    rig.down(key);
    rig.down(holder);
    rig.run(1990);
    CHECK(rig.computer.keys.size() == 1);
    CHECK(int{rig.engine.state().mode} == 1);
    rig.run(120);
    CHECK(rig.computer.keys.empty());
    CHECK(int{rig.engine.state().mode} == 0);
    CHECK(rig.count(EventKind::press, key, static_cast<std::uint8_t>(PressOutcome::hold_limit)) == 1);
    CHECK(rig.count(EventKind::mode, 0, static_cast<std::uint8_t>(Cause::hold_limit)) == 1);
    rig.run(5000);
    rig.up(key);
    rig.up(holder);
    rig.run(20);
    CHECK(rig.count(EventKind::press, key, static_cast<std::uint8_t>(PressOutcome::really_up)) == 1);
    CHECK(rig.typed() == "04");
    rig.press(key, 20);
    rig.run(20);
    CHECK(rig.typed() == "04");
}
