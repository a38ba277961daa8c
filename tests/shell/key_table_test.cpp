#include "app/shell/key_table.hpp"

#define GLFW_INCLUDE_NONE
#include <GLFW/glfw3.h>
#include <doctest/doctest.h>

#include <set>

#include "core/profile/evdev_codes.hpp"

namespace fettle::app {
namespace {

using ui::Key;

std::uint8_t usage(int glfw_key) {
    return key_meaning(glfw_key, 0, "").usage;
}

}  // namespace

TEST_CASE("keys: the ends of every run and the single keys have their usage of page 07") {
    // Source: USB HID Usage Tables 1.4, chapter 10, Keyboard/Keypad page.
    CHECK(usage(GLFW_KEY_A) == 0x04);
    CHECK(usage(GLFW_KEY_Z) == 0x1D);
    CHECK(usage(GLFW_KEY_1) == 0x1E);
    CHECK(usage(GLFW_KEY_9) == 0x26);
    CHECK(usage(GLFW_KEY_0) == 0x27);
    CHECK(usage(GLFW_KEY_ENTER) == 0x28);
    CHECK(usage(GLFW_KEY_SPACE) == 0x2C);
    CHECK(usage(GLFW_KEY_SLASH) == 0x38);
    CHECK(usage(GLFW_KEY_F1) == 0x3A);
    CHECK(usage(GLFW_KEY_F12) == 0x45);
    CHECK(usage(GLFW_KEY_PRINT_SCREEN) == 0x46);
    CHECK(usage(GLFW_KEY_RIGHT) == 0x4F);
    CHECK(usage(GLFW_KEY_UP) == 0x52);
    CHECK(usage(GLFW_KEY_KP_1) == 0x59);
    CHECK(usage(GLFW_KEY_KP_9) == 0x61);
    CHECK(usage(GLFW_KEY_KP_0) == 0x62);
    CHECK(usage(GLFW_KEY_MENU) == 0x65);
    CHECK(usage(GLFW_KEY_F13) == 0x68);
    CHECK(usage(GLFW_KEY_F24) == 0x73);
    CHECK(usage(GLFW_KEY_LEFT_CONTROL) == 0xE0);
    CHECK(usage(GLFW_KEY_RIGHT_SUPER) == 0xE7);
    CHECK(usage(GLFW_KEY_F25) == 0);  // the page has no such key
}

TEST_CASE("keys: no two of the window system's tokens share a usage") {
    std::set<std::uint8_t> seen;
    int count = 0;
    for (int key = GLFW_KEY_SPACE; key <= GLFW_KEY_LAST; ++key) {
        const std::uint8_t one = usage(key);
        if (one == 0) continue;
        CAPTURE(key);
        CHECK(seen.insert(one).second);
        ++count;
    }
    // Source: GLFW 3.3's header names 120 keys; all but F25 have a usage.
    CHECK(count == 119);
}

TEST_CASE("keys: a place without a token has the usage of the kernel's number, 8 below X's") {
    // Source: linux/input-event-codes.h: KEY_MUTE 113, KEY_F13 183; the usages as in the kernel's HID table.
    CHECK(key_meaning(GLFW_KEY_UNKNOWN, 183 + 8, "").usage == 0x68);
    CHECK(key_meaning(GLFW_KEY_UNKNOWN, 0, "").usage == 0);
    CHECK(key_meaning(GLFW_KEY_UNKNOWN, 8, "").usage == 0);
    CHECK(key_meaning(GLFW_KEY_UNKNOWN, 100000, "").usage == 0);
    int checked = 0;
    for (int u = 4; u < 256; ++u) {
        const int code = profile::evdev_code(static_cast<std::uint8_t>(u));
        if (code == 0) continue;
        CAPTURE(u);
        const std::uint8_t back = key_meaning(GLFW_KEY_UNKNOWN, code + 8, "").usage;
        CHECK(profile::evdev_code(back) == code);  // two usages may be one key of the kernel
        ++checked;
    }
    CHECK(checked > 100);
}

TEST_CASE("keys: shortcuts stand where their letter is printed; without a Latin letter the place counts") {
    // A German keyboard prints z where an American one has y: undo goes by the print, the usage by the place.
    CHECK(key_meaning(GLFW_KEY_Y, 0, "z") == KeyMeaning{Key::z, 0x1C});
    CHECK(key_meaning(GLFW_KEY_Z, 0, "y") == KeyMeaning{Key::y, 0x1D});
    CHECK(key_meaning(GLFW_KEY_Z, 0, "z") == KeyMeaning{Key::z, 0x1D});
    CHECK(key_meaning(GLFW_KEY_Z, 0, "я") == KeyMeaning{Key::z, 0x1D});
    CHECK(key_meaning(GLFW_KEY_Z, 0, "") == KeyMeaning{Key::z, 0x1D});
    CHECK(key_meaning(GLFW_KEY_Q, 0, "a") == KeyMeaning{Key::a, 0x14});
    CHECK(key_meaning(GLFW_KEY_A, 0, "q") == KeyMeaning{Key::q, 0x04});
    CHECK(key_meaning(GLFW_KEY_B, 0, "b").key == Key::other);
}

TEST_CASE("keys: plus and minus by what is printed, and those of the number pad") {
    CHECK(key_meaning(GLFW_KEY_RIGHT_BRACKET, 0, "+").key == Key::plus);
    CHECK(key_meaning(GLFW_KEY_SLASH, 0, "-").key == Key::minus);
    CHECK(key_meaning(GLFW_KEY_MINUS, 0, "").key == Key::minus);
    CHECK(key_meaning(GLFW_KEY_MINUS, 0, "ß").key == Key::other);
    CHECK(key_meaning(GLFW_KEY_KP_ADD, 0, "+").key == Key::plus);
    CHECK(key_meaning(GLFW_KEY_KP_SUBTRACT, 0, "-").key == Key::minus);
    CHECK(key_meaning(GLFW_KEY_KP_ENTER, 0, "").key == Key::enter);
}

TEST_CASE("keys: the twelve function keys and the keys that move are the window's own") {
    for (int i = 0; i < 12; ++i) {
        CAPTURE(i);
        const KeyMeaning meaning = key_meaning(GLFW_KEY_F1 + i, 0, "");
        CHECK(static_cast<int>(meaning.key) == static_cast<int>(Key::f1) + i);
        CHECK(meaning.usage == 0x3A + i);
    }
    CHECK(key_meaning(GLFW_KEY_TAB, 0, "").key == Key::tab);
    CHECK(key_meaning(GLFW_KEY_ESCAPE, 0, "").key == Key::escape);
    CHECK(key_meaning(GLFW_KEY_DELETE, 0, "").key == Key::erase);
    CHECK(key_meaning(GLFW_KEY_PAGE_DOWN, 0, "").key == Key::page_down);
}

}  // namespace fettle::app
