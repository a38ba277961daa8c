// Whatever hands, hosts and storages do: afterwards nothing is held, and the same inputs give the same bytes.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <map>
#include <random>

#include "core/sim/ir_encode.hpp"
#include "tests/engine/rig.hpp"

using namespace fettle::engine;
using namespace fettle::engine::testing;

namespace {

/// One of the many profiles that there could be: every kind of action, rules of all sorts, three modes.
class Dice {
public:
    explicit Dice(std::uint32_t seed) : random_(seed) {}
    std::uint32_t below(std::uint32_t n) { return static_cast<std::uint32_t>(random_() % n); }
    std::uint8_t u8(std::uint32_t n) { return static_cast<std::uint8_t>(below(n)); }
    bool is_one_in(std::uint32_t n) { return below(n) == 0; }

    ActionDef action() {
        const Direction any = static_cast<Direction>(below(8));
        const Direction straight = static_cast<Direction>(2 * below(4));
        switch (below(20)) {
            case 0: return tap_key(static_cast<std::uint8_t>(4 + below(20)), u8(256));
            case 1:
            case 2: return hold_key(static_cast<std::uint8_t>(4 + below(20)), u8(4));
            case 3: return repeat_key(static_cast<std::uint8_t>(4 + below(20)), u8(2));
            case 4: return latch(static_cast<std::uint8_t>(1 << below(8)), static_cast<LatchStyle>(below(3)));
            case 5: return hold_button(static_cast<std::uint8_t>(1 + below(7)));
            case 6: return is_one_in(2) ? click(1) : double_click(2);
            case 7: return drag(static_cast<std::uint8_t>(1 + below(3)));
            case 8:
            case 9: return move(any);
            case 10: return scroll(straight, static_cast<std::uint8_t>(1 + below(3)), u8(3));
            case 11:
            case 12: return mode(static_cast<ModeStyle>(below(3)), u8(3));
            case 13: return consumer(static_cast<std::uint16_t>(0xE0 + below(16)), is_one_in(2));
            case 14: return text(u8(2));
            case 15: return grid_move(straight, u8(3));
            case 16: return grid_pick();
            case 17: return jump(any, static_cast<std::uint16_t>(1 + below(2000)));
            case 18:
                return scale(static_cast<ScaleStyle>(below(2)), static_cast<std::uint16_t>(50 + below(3000)));
            default: return is_one_in(3) ? simple(ActionKind::release_all) : variant(is_one_in(2), u8(2));
        }
    }

    RuleDef rule() {
        RuleDef r = plain_rule();
        if (is_one_in(3)) r.flags = k_rule_act_on_release;
        if (is_one_in(3)) r.acceptance_ms = static_cast<std::uint16_t>(below(200));
        if (is_one_in(3)) r.debounce_ms = static_cast<std::uint16_t>(below(200));
        if (is_one_in(3)) r.bridge_ms = static_cast<std::uint16_t>(below(100));
        if (is_one_in(3)) r.refractory_ms = static_cast<std::uint16_t>(below(400));
        if (is_one_in(3)) r.guard_ms = static_cast<std::uint16_t>(below(100));
        r.long_ms = static_cast<std::uint16_t>(100 + below(400));
        r.double_ms = static_cast<std::uint16_t>(100 + below(300));
        r.longest_hold_ds = static_cast<std::uint16_t>(5 + below(40));
        return r;
    }

    Profile profile() {
        Profile p;
        p.mode_count = 3;
        p.variant_count = 2;
        p.rules = {rule(), rule(), plain_rule()};
        p.repeats = {{300, 50}, {0, 20}};
        p.texts = {{0x04, 0x85, 0x06}, {k_stroke_modified, 0x05, 0x07}};
        p.grid_rows = 2;
        p.grid_columns = 3;
        p.grid = {4, 5, k_stroke_modified, 1, 6, k_stroke_none, 0x88, 9};
        for (std::uint8_t line = 1; line <= 5; ++line) p.add_switch(line, u8(3), is_one_in(4));
        p.add_axis(0, false, 128, 64, u8(3));
        p.add_axis(0, true, 128, 64, u8(3));
        p.add_remote(Protocol::nec, 4, 1);
        p.add_remote(Protocol::sirc12, 4, 1);
        for (std::uint8_t m = 0; m < 3; ++m) {
            for (std::uint8_t i = 0; i < 9; ++i) {
                if (!is_one_in(6)) p.assign(m, i, action());
                if (is_one_in(8)) p.assign(m, i, action(), Gesture::long_press);
                if (is_one_in(8)) p.assign(m, i, action(), Gesture::double_press);
            }
        }
        return p;
    }

private:
    std::mt19937 random_;
};

/// Some seconds of anything that can happen. Ends with hands off and everything let go.
void live(Rig& rig, Dice& dice, const Profile& profile, int steps) {
    for (int i = 0; i < steps; ++i) {
        switch (dice.below(14)) {
            case 0: rig.axis(0, static_cast<std::int16_t>(static_cast<int>(dice.below(2001)) - 1000)); break;
            case 1:
                rig.send(make_ir_frame(dice.is_one_in(2) ? Protocol::nec : Protocol::sirc12, 4, 1));
                break;
            case 2: rig.leds = dice.u8(8); break;
            case 3: rig.computer.interval_ms = 1 + dice.below(20); break;
            case 4: rig.computer.is_reading = dice.is_one_in(2); break;
            case 5:
                if (dice.is_one_in(4)) rig.load(profile, Cause::profile);
                break;
            case 6:
                if (dice.is_one_in(2)) rig.load(profile, Cause::press, true, dice.u8(2));
                break;
            case 7: rig.engine.go_to_mode(dice.u8(4), rig.now_us()); break;
            case 8:
                if (dice.is_one_in(4)) rig.command(k_command_release_all);
                break;
            case 9:
                if (!dice.is_one_in(4)) break;
                rig.computer.reset();
                rig.command(k_command_cable_lost);
                break;
            case 10: rig.standing_commands = dice.is_one_in(3) ? k_command_suspended : 0; break;
            default: rig.edge(static_cast<std::uint8_t>(1 + dice.below(5)), dice.is_one_in(2)); break;
        }
        rig.run(dice.below(dice.is_one_in(3) ? 400 : 30));
    }
}

/// Hands off: every switch open, the stick in the middle, the computer reading.
void hands_off(Rig& rig) {
    const Setup& setup = rig.engine.setup();
    for (std::uint8_t i = 0; i < setup.input_count; ++i)
        if (setup.input(i).source == Source::switch_line) rig.up(i);
    rig.axis(0, 0);
    rig.standing_commands = 0;
    rig.computer.is_reading = true;
    rig.computer.interval_ms = 1;
    rig.storage_is_busy = nullptr;
    rig.stored().is_busy = nullptr;
}

/// Nothing is promised about what came out; take note of it all.
void take_all(Rig& rig) {
    rig.take_typed();
    rig.take_clicks();
    rig.played();
    rig.moved();
    rig.scrolled();
    rig.take_wishes();
}

bool is_silent(const Rig& rig) {
    return !rig.engine.holds_anything() && !rig.computer.holds_anything() && !rig.computer.is_waiting() &&
           !rig.computer.was_handed_two;
}

}  // namespace

TEST_CASE(
    "property: any life of 40 steps, then hands off and release everything: nothing is held, for good") {
    CHECK(rc::check([](std::uint32_t seed) {
        Dice dice(seed);
        const Profile profile = dice.profile();
        Rig rig(profile);
        rig.is_end_checked = false;
        live(rig, dice, profile, 40);
        hands_off(rig);
        rig.run(5000);  // texts, repeats and waits run out
        rig.command(k_command_release_all);
        rig.run(20);
        RC_ASSERT(is_silent(rig));
        take_all(rig);
        rig.run(3000);
        RC_ASSERT(is_silent(rig));
        RC_ASSERT(rig.typed().empty() && rig.clicked().empty() && rig.moved() == "0 0");
        RC_ASSERT(rig.count(EventKind::fault) == 0u);
    }));
}

TEST_CASE("property: hands off alone leaves nothing but what was latched, locked, dragged or chosen") {
    CHECK(rc::check([](std::uint32_t seed) {
        Dice dice(seed);
        const Profile profile = dice.profile();
        Rig rig(profile);
        rig.is_end_checked = false;
        live(rig, dice, profile, 25);
        hands_off(rig);
        rig.run(8000);
        const HeldState held = rig.engine.state().held;
        RC_ASSERT(held.press_buttons == 0);
        RC_ASSERT(rig.computer.buttons == held.dragged);
        RC_ASSERT(rig.computer.keys.empty());
        RC_ASSERT(rig.computer.media == 0);
        RC_ASSERT(rig.computer.modifiers == (held.locked | held.press_modifiers));
        if (held.dragged == 0) RC_ASSERT(held.press_modifiers == 0);
        take_all(rig);
        rig.run(2000);
        RC_ASSERT(rig.typed().empty() && rig.clicked().empty() && rig.moved() == "0 0");
    }));
}

TEST_CASE(
    "property: a silent remote, a storage that refuses at random: every begin has its end, nothing sticks") {
    CHECK(rc::check([](std::uint32_t seed) {
        Dice dice(seed);
        const Profile profile = dice.profile();
        Rig rig(profile);
        rig.is_end_checked = false;
        std::mt19937 storage(seed ^ 0x9E3779B9u);
        rig.storage_is_busy = [&] { return storage() % 3 == 0; };
        rig.stored().is_busy = rig.storage_is_busy;
        live(rig, dice, profile, 30);
        hands_off(rig);
        rig.run(8000);
        std::map<int, int> open;
        for (const Event& e : rig.of(EventKind::action)) {
            const auto phase = static_cast<ActionPhase>(e.data[2]);
            if (phase == ActionPhase::begin) RC_ASSERT(open[e.data[0]]++ == 0);
            if (phase == ActionPhase::end) RC_ASSERT(open[e.data[0]]-- == 1);
        }
        for (const auto& [input, count] : open) RC_ASSERT(count == 0);
        rig.command(k_command_release_all);
        rig.run(20);
        RC_ASSERT(is_silent(rig));
    }));
}

TEST_CASE("property: a busy storage only delays: the same gestures get the same actions in the same order") {
    // Presses of one key at a time, far enough apart that waiting never meets the next one.
    CHECK(rc::check([](std::uint32_t seed) {
        std::vector<std::vector<int>> stories;
        for (const bool is_refusing : {false, true}) {
            Dice dice(seed);
            const Profile profile = dice.profile();
            Rig rig(profile);
            rig.is_end_checked = false;
            std::mt19937 storage(seed ^ 0x51u);
            if (is_refusing) rig.stored().is_busy = [&] { return storage() % 2 == 0; };
            for (int i = 0; i < 20; ++i) {
                const std::uint8_t in = dice.u8(5);
                rig.press(in, 20 + dice.below(700));
                rig.run(900);
            }
            rig.stored().is_busy = nullptr;
            std::vector<int> story;
            for (const Event& e : rig.of(EventKind::gesture))
                for (int b = 0; b < 4; ++b) story.push_back(e.data[b]);
            stories.push_back(story);
        }
        RC_ASSERT(stories[0] == stories[1]);
    }));
}

TEST_CASE("property: recorded inputs played again give the same reports and events, byte for byte") {
    CHECK(rc::check([](std::uint32_t seed) {
        Dice dice(seed);
        const Profile profile = dice.profile();
        Rig rig(profile);
        rig.is_end_checked = false;
        rig.load(profile, Cause::profile);  // where the replay begins too
        const std::uint32_t from = rig.now_us();
        Engine again = rig.engine;
        rig.forget_events();
        rig.is_recording = true;
        for (int i = 0; i < 60; ++i) {
            if (dice.is_one_in(5)) rig.send(make_ir_frame(Protocol::nec, 4, 1));
            rig.edge(static_cast<std::uint8_t>(1 + dice.below(5)), dice.is_one_in(2));
            if (dice.is_one_in(6)) rig.axis(0, static_cast<std::int16_t>(dice.below(1000)));
            rig.run(dice.below(200));
        }
        const std::vector<Event> first = rig.events;
        rig.forget_events();
        RC_ASSERT(rig.record.empty() || rig.record.front().in.now_us == from + 1000);
        for (const Tick& tick : rig.record) {
            TickInputs in = tick.in;
            in.edges = tick.edges.data();
            TickOutputs out;
            again.tick(in, out);
            for (int e = 0; e < 2; ++e) {
                RC_ASSERT(out.reports[e].size == tick.out.reports[e].size);
                RC_ASSERT(
                    std::equal(out.reports[e].bytes, out.reports[e].bytes + 8, tick.out.reports[e].bytes));
            }
            RC_ASSERT(out.wishes == tick.out.wishes);
        }
        RC_ASSERT(rig.events.size() == first.size());
        for (std::size_t i = 0; i < first.size(); ++i) {
            RC_ASSERT(rig.events[i].at_us == first[i].at_us);
            RC_ASSERT(rig.events[i].kind == first[i].kind);
            RC_ASSERT(std::equal(first[i].data, first[i].data + k_event_data_bytes, rig.events[i].data));
        }
    }));
}

TEST_CASE("size: one engine takes at most 700 bytes") {
    CHECK(sizeof(Engine) <= k_engine_bytes_max);
}
