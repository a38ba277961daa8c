#include "app/shell/key_queue.hpp"

#include <doctest/doctest.h>

namespace fettle::app {
namespace {

constexpr KeyMeaning k_space{ui::Key::space, 0x2C};
constexpr KeyMeaning k_letter{ui::Key::a, 0x04};

}  // namespace

TEST_CASE("key queue: 10 presses between two frames are 20 events in their order, then nothing") {
    KeyQueue queue;
    for (int i = 0; i < 10; ++i) {
        queue.on_key(k_space, KeyChange::down, {});
        queue.on_character(U' ');
        queue.on_key(k_space, KeyChange::up, {});
    }
    CHECK_FALSE(queue.is_empty());
    const auto events = queue.take();
    REQUIRE(events.size() == 20);
    for (std::size_t i = 0; i < events.size(); ++i) {
        CAPTURE(i);
        CHECK(events[i].is_down == (i % 2 == 0));
        CHECK(events[i].key == ui::Key::space);
        CHECK(events[i].usage == 0x2C);
        CHECK(events[i].text == (i % 2 == 0 ? " " : ""));
        CHECK_FALSE(events[i].is_repeat);
    }
    CHECK(queue.is_empty());
    CHECK(queue.take().empty());
}

TEST_CASE("key queue: modifiers and repeats stand with their event") {
    KeyQueue queue;
    queue.on_key(k_letter, KeyChange::down, {true, false, true});
    queue.on_key(k_letter, KeyChange::repeat, {false, true, false});
    const auto events = queue.take();
    REQUIRE(events.size() == 2);
    CHECK(events[0].shift);
    CHECK_FALSE(events[0].control);
    CHECK(events[0].alt);
    CHECK(events[1].is_repeat);
    CHECK(events[1].is_down);
    CHECK(events[1].control);
}

TEST_CASE("key queue: what a key types is UTF-8 of 1 to 4 bytes and belongs to that key") {
    // Source: RFC 3629, section 7: U+0041 41; U+00DF C3 9F is computed by its table; U+2262 E2 89 A2;
    // U+233B4 F0 A3 8E B4.
    const std::pair<char32_t, std::string> rows[] = {
        {U'A', "A"}, {0xDF, "\xC3\x9F"}, {0x2262, "\xE2\x89\xA2"}, {0x233B4, "\xF0\xA3\x8E\xB4"}};
    for (const auto& row : rows) {
        KeyQueue queue;
        queue.on_key(k_letter, KeyChange::down, {});
        queue.on_character(row.first);
        const auto events = queue.take();
        REQUIRE(events.size() == 1);
        CHECK(events[0].text == row.second);
        CHECK(events[0].key == ui::Key::a);
    }
}

TEST_CASE(
    "key queue: a character without its key is a press of its own, down and up, so that nothing is held") {
    KeyQueue queue;
    queue.on_character(U'é');
    queue.on_key(k_space, KeyChange::down, {});
    queue.on_character(U' ');
    queue.on_key(k_space, KeyChange::up, {});
    queue.on_character(U' ');
    const auto events = queue.take();
    REQUIRE(events.size() == 6);
    CHECK(events[0].text == "é");
    CHECK(events[0].is_down);
    CHECK_FALSE(events[1].is_down);
    CHECK(events[1].text.empty());
    CHECK(events[4].key == ui::Key::space);
    CHECK(events[4].is_down);
    CHECK(events[5].key == ui::Key::space);
    CHECK_FALSE(events[5].is_down);
}

TEST_CASE("key queue: two characters of one key: the second is not lost either") {
    KeyQueue queue;
    queue.on_key(k_letter, KeyChange::down, {});
    queue.on_character(U'´');
    queue.on_character(U'a');
    const auto events = queue.take();
    REQUIRE(events.size() == 3);
    CHECK(events[0].text == "´");
    CHECK(events[1].text == "a");
}

TEST_CASE("key queue: what is no character is left out: surrogates, beyond U+10FFFF") {
    KeyQueue queue;
    queue.on_character(0xD800);
    queue.on_character(0x110000);
    CHECK(queue.is_empty());
}

}  // namespace fettle::app
