#include <doctest/doctest.h>

#include <initializer_list>

#include "app/profile_file.hpp"
#include "app/words/device_words.hpp"
#include "core/engine/report.hpp"
#include "core/profile/image_compile.hpp"
#include "tests/app/rig.hpp"

namespace fettle::app::test {
namespace {

using engine::Event;
using engine::EventKind;

Event event(EventKind kind, std::initializer_list<int> data) {
    Event made{};
    made.kind = kind;
    std::uint8_t* to = made.data;
    for (const int byte : data) *to++ = static_cast<std::uint8_t>(byte);
    return made;
}

EventNames volunteer() {
    const auto file = open_profile(demo_profile("volunteer"));
    REQUIRE(file);
    return names_of(file->profile, profile::compile(file->profile, strokes_of(*file)).value().image);
}

}  // namespace

TEST_CASE("event words: 24 kinds have words and a name, whatever their bytes are") {
    const EventNames none, names = volunteer();
    for (int kind = 1; kind <= static_cast<int>(EventKind::snapshot); ++kind)
        for (int byte = 0; byte < 256; ++byte) {
            Event any = event(static_cast<EventKind>(kind), {});
            for (auto& data : any.data) data = static_cast<std::uint8_t>(byte);
            for (const auto* known : {&none, &names}) {
                const EventLine line = event_line(any, *known);
                const bool is_trial_unknown = any.kind == EventKind::trial && byte > 6;
                if (line.head.empty() || (line.words.empty() && !is_trial_unknown) || has(line.words, "_") ||
                    line.words.ends_with(" ")) {
                    CAPTURE(kind);
                    CAPTURE(byte);
                    CAPTURE(line.words);
                    CHECK(false);
                }
            }
            CHECK(event_name(any.kind) != "unknown");
        }
    CHECK(event_words(event(EventKind::none, {})).empty());
    CHECK(event_words(event(static_cast<EventKind>(200), {})).empty());
    CHECK(event_name(static_cast<EventKind>(200)) == "unknown");
}

TEST_CASE(
    "event words: without a profile, inputs, modes and actions are numbered from 1 as read numbers them") {
    CHECK(event_words(event(EventKind::level, {0, 1})) == "level    input 1 down");
    CHECK(event_words(event(EventKind::press, {2, 0})) == "press    input 3: accepted");
    CHECK(event_words(event(EventKind::gesture, {2, 1, 3, 7})) ==
          "gesture  input 3: long press in mode 4: action 7");
    CHECK(event_words(event(EventKind::gesture, {2, 0, 0, 0})) ==
          "gesture  input 3: short press in mode 1: nothing");
    CHECK(event_words(event(EventKind::mode, {1, 0})) == "mode     mode 2, by a press");
    CHECK(event_words(event(EventKind::variant, {0})) == "variant  variant base");
    CHECK(event_words(event(EventKind::variant, {1})) == "variant  variant 2");
}

TEST_CASE("event words: with the profile, by their names; every action of the volunteer has words") {
    const EventNames names = volunteer();
    CHECK(event_words(event(EventKind::level, {0, 1}), names) == "level    up down");
    CHECK(event_words(event(EventKind::mode, {1, 0}), names) == "mode     mode near, by a press");
    CHECK(event_words(event(EventKind::variant, {1}), names) == "variant  variant tired");
    CHECK(event_words(event(EventKind::text, {0, 1}), names) == "text     thanks begins");
    REQUIRE(names.actions.size() > 20);
    for (const auto& action : names.actions) CHECK_FALSE(has(action, "action "));
    // Beyond what the profile has, numbers again.
    CHECK(names.input(99) == "input 100");
    CHECK(names.action(255) == "action 255");
}

TEST_CASE("event words: reports as a computer reads them") {
    // Source: HID Usage Tables, page 07: 06 is C, modifiers bit 0 left Control; page 0C: E9 is volume
    // increment.
    CHECK(event_words(event(EventKind::report, {0, 8, 1, 0, 6})) == "report   keyboard: Control + c");
    CHECK(event_words(event(EventKind::report, {0, 8})) == "report   keyboard: all released");
    CHECK(event_words(event(EventKind::report, {0, 8, 0, 0, 1, 1, 1, 1, 1, 1})) ==
          "report   keyboard: more than six keys");
    CHECK(event_words(event(EventKind::report, {0, 8, 0, 0, 0xFF})) == "report   keyboard: (a key)");
    CHECK(event_words(event(EventKind::report, {1, 8, 1, 1, 0xFD, 0xFF, 2, 0, 0xFF, 1})) ==
          "report   pointer: x -3, y +2, primary button down, wheel -1, pan +1");
    CHECK(event_words(event(EventKind::report, {1, 3, 0, 5, 0xFF})) ==
          "report   pointer: x +5, y -1, no button");
    CHECK(event_words(event(EventKind::report, {1, 3, 2, 0xE9, 0})) == "report   consumer: volume up");
    CHECK(event_words(event(EventKind::report, {1, 3, 2, 0, 0})) == "report   consumer: released");
}

TEST_CASE("event words: what is held, the lights, a state, a frame") {
    CHECK(event_words(event(EventKind::held, {0, 0, 0, 0, 0})) == "held     nothing");
    CHECK(event_words(event(EventKind::held, {2, 1, 1, 4, 2})) ==
          "held     latched Shift; locked Control; dragging with the primary button; held by presses: Alt; "
          "held by "
          "presses: secondary button");
    CHECK(event_words(event(EventKind::leds, {2})) == "lights   of the computer's keyboard: Caps Lock");
    CHECK(event_words(event(EventKind::leds, {0})) == "lights   of the computer's keyboard: off");
    CHECK(event_words(event(EventKind::snapshot, {0, 0, 0xE8, 3, 0, 0, 5, 0, 0})) ==
          "state    mode 1, variant base, pointer speed 1000 permille, input 1 down, input 3 down");
    CHECK(event_words(event(EventKind::ir_frame, {1, 0xFF, 0x18, 0x61, 0, 0})) ==
          "infrared nec  address 0x61  command 0x18");
}
}  // namespace fettle::app::test
