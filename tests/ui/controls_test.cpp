#include <doctest/doctest.h>
#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"
#include "tests/ui/bench.hpp"

namespace fettle::app::test {
namespace {

/// Where vertices of a colour were drawn.
ui::Rect reach_of(ui::Color color) {
    float x = 1e9f, y = 1e9f, right = -1e9f, bottom = -1e9f;
    const ImDrawData* data = ImGui::GetDrawData();
    for (int i = 0; i < data->CmdListsCount; ++i)
        for (const ImDrawVert& v : data->CmdLists[i]->VtxBuffer) {
            if (v.col != ui::to_im(color)) continue;
            x = std::min(x, v.pos.x);
            y = std::min(y, v.pos.y);
            right = std::max(right, v.pos.x);
            bottom = std::max(bottom, v.pos.y);
        }
    return {x, y, right - x, bottom - y};
}

TEST_CASE(
    "ring: it is there from the first frame on, 3 px a per cent hundred thick round the control, in the "
    "window") {
    for (const int percent : {100, 300}) {
        CAPTURE(percent);
        Bench bench(
            [](ui::Ui& ui) {
                ui.panel("content", {0, 0, 1280, 800});
                (void)ui.button("a", "A");
                ui.end_panel();
            },
            percent);
        bench.frame();
        bench.frame();
        const ui::Rect control = bench.find("a")->rect;
        const ui::Rect ring = reach_of(ui::theme(ui::ThemeName::dark).focus);
        const float thick = 3.0f * static_cast<float>(percent) / 100.0f;
        CHECK(ring.x <= control.x);
        CHECK(ring.y <= control.y);
        CHECK(ring.x >= 0);
        CHECK(ring.y >= 0);
        CHECK(ring.w >= control.w + 2 * thick - 1.5f);
        CHECK(ring.h >= control.h + 2 * thick - 1.5f);
    }
}

TEST_CASE(
    "ring: a control that was scrolled away, and one higher than its panel, are brought back by moving") {
    Bench bench([](ui::Ui& ui) {
        ui.panel("content", {0, 0, 600, 300});
        for (int i = 0; i < 20; ++i) (void)ui.button("b" + std::to_string(i), "Button");
        (void)ui.canvas("tall", "Tall", "nothing", 500);
        (void)ui.button("last", "Last");
        ui.end_panel();
    });
    bench.settle();
    for (int i = 0; i < 19; ++i) bench.press(ui::Key::down);
    CHECK(bench.ui.navigator().focus() == "b19");
    const ui::Rect seen = bench.find("b19")->rect;
    CHECK(seen.y >= 0);
    CHECK(seen.bottom() <= 300);
    bench.press(ui::Key::tab);
    CHECK(bench.ui.navigator().focus() == "tall");
    CHECK(bench.find("tall")->rect.y >= 0);
    CHECK(bench.find("tall")->rect.y < 100);
    for (int i = 0; i < 6 && bench.ui.navigator().focus() != "last"; ++i) bench.press(ui::Key::down);
    CHECK(bench.ui.navigator().focus() == "last");
    CHECK(bench.find("last")->rect.bottom() <= 300);
}

TEST_CASE("hold: down as long as Space is, once tapped by its number, not held by a repeated key") {
    int frames_down = 0;
    int taps = 0;
    Bench bench([&](ui::Ui& ui) {
        ui.panel("content", ui.room());
        const ui::Held held = ui.hold("h", "Hand", false);
        frames_down += held.is_down ? 1 : 0;
        taps += held.was_tapped ? 1 : 0;
        ui.end_panel();
    });
    bench.settle();
    bench.key_down(ui::Key::space);
    for (int i = 0; i < 10; ++i) bench.frame();
    bench.key_up(ui::Key::space);
    bench.settle();
    CHECK(frames_down == 10);
    CHECK(taps == 0);
    bench.options.shows_call_list = true;
    bench.settle();
    bench.type(std::to_string(bench.find("h")->number));
    CHECK(taps == 1);
    CHECK(frames_down == 10);
}

TEST_CASE("keys: a held Enter that repeats 20 times works a button once") {
    int worked = 0;
    Bench bench([&](ui::Ui& ui) {
        ui.panel("content", ui.room());
        worked += ui.button("b", "B") ? 1 : 0;
        ui.end_panel();
    });
    bench.settle();
    for (int i = 0; i < 21; ++i) {
        ui::KeyEvent key = key_event(ui::Key::enter);
        key.is_repeat = i > 0;
        bench.input.keys.push_back(key);
        bench.frame();
    }
    bench.settle();
    CHECK(worked == 1);
}

TEST_CASE("lamp: lit for 16 ms it stays lit 350 ms, set to 1000 ms it stays 1000 ms") {
    for (const int lit_ms : {350, 1000}) {
        bool is_on = false;
        bool shines = false;
        Bench bench([&](ui::Ui& ui) { shines = ui.lamp("l", is_on); });
        bench.options.lit_ms = lit_ms;
        bench.frame();
        is_on = true;
        bench.frame();
        is_on = false;
        int shone_ms = 0;
        for (int i = 0; i < 200; ++i) {
            bench.frame();
            shone_ms += shines ? 16 : 0;
        }
        CHECK(shone_ms >= lit_ms - 16);
        CHECK(shone_ms <= lit_ms + 16);
    }
}

TEST_CASE(
    "key catcher: it gives Control + C as one, Shift alone when it goes up, Escape twice leaves with "
    "nothing") {
    std::vector<ui::KeyEvent> caught;
    Bench bench([&](ui::Ui& ui) {
        ui.panel("content", ui.room());
        if (auto key = ui.key_catcher("k", "Key")) caught.push_back(*key);
        ui.end_panel();
    });
    bench.settle();
    const auto put = [&](std::uint8_t usage, ui::Key key, bool is_down, bool control = false) {
        ui::KeyEvent event = key_event(key, is_down);
        event.usage = usage;
        event.control = control;
        bench.input.keys.push_back(event);
        bench.settle();
    };
    // HID usage tables, keyboard page: left Control 0xE0, left Shift 0xE1, C 0x06.
    bench.press(ui::Key::enter);
    put(0xE0, ui::Key::other, true);
    put(0x06, ui::Key::c, true, true);
    put(0x06, ui::Key::c, false, true);
    put(0xE0, ui::Key::other, false);
    REQUIRE(caught.size() == 1);
    CHECK(caught[0].usage == 0x06);
    CHECK(caught[0].control);
    bench.press(ui::Key::enter);
    put(0xE1, ui::Key::other, true);
    CHECK(caught.size() == 1);
    put(0xE1, ui::Key::other, false);
    REQUIRE(caught.size() == 2);
    CHECK(caught[1].usage == 0xE1);
    bench.press(ui::Key::enter);
    bench.press(ui::Key::escape);
    bench.press(ui::Key::escape);
    CHECK(caught.size() == 2);
    bench.press(ui::Key::tab);
    CHECK(bench.ui.navigator().focus() == "k");
}

TEST_CASE("text: a word of 200 letters breaks, no control of 300 % is wider than a panel of 400 px") {
    const std::string word(200, 'w');
    Bench bench(
        [&](ui::Ui& ui) {
            ui.panel("content", {0, 0, 400, 800});
            ui.text(word);
            (void)ui.button("b", word);
            (void)ui.toggle("t", word, true);
            (void)ui.option("o", word, true);
            const std::vector<std::string> options{word};
            (void)ui.choice("c", word, options, 0);
            (void)ui.number("n", word, 123456, {0, 1000000000, 1, "counts a second", false});
            (void)ui.text_field("f", word, word);
            ui.fact("fact", word, word);
            ui.note(ui::NoteKind::warning, word);
            ui.large("large", word);
            ui.end_panel();
        },
        300);
    bench.settle();
    const ui::Panel* panel = bench.ui.registry().find_panel("content");
    REQUIRE(panel != nullptr);
    for (const ui::Control& control : bench.ui.registry().controls) {
        if (control.panel != "content") continue;
        CAPTURE(control.id);
        CHECK(control.rect.x >= 0);
        CHECK(control.rect.right() <= panel->rect.right() + 0.5f);
    }
}

}  // namespace
}  // namespace fettle::app::test
