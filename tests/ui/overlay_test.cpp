#include <doctest/doctest.h>

#include "tests/ui/bench.hpp"

namespace fettle::app::test {
namespace {

/// One field of each kind.
struct Form {
    std::string name = "a";
    std::int64_t count = 50;
    int chosen = 1;
    int sure = 0;
    int other = 0;
    std::vector<std::string> options = std::vector<std::string>(30, "option");
    void draw(ui::Ui& ui) {
        ui.panel("content", ui.room());
        if (auto next = ui.text_field("name", "Name", name, 20)) name = *next;
        if (auto next = ui.number("count", "Count", count, {10, 200, 5, "ms", true})) count = *next;
        if (auto next = ui.choice("choice", "Choice", options, chosen)) chosen = *next;
        const std::vector<std::string> question{"Really?"};
        if (ui.asking_button("ask", "Remove", question, "Yes, remove")) ++sure;
        if (ui.button("other", "Other")) ++other;
        ui.end_panel();
    }
};

struct FormBench {
    Form form;
    Bench bench;
    explicit FormBench(int percent = 100) : bench([this](ui::Ui& ui) { form.draw(ui); }, percent) {
        bench.settle();
    }
};

TEST_CASE("overlay: text is typed at once, spaces too, Enter ends it, and the focus is back on the field") {
    FormBench f;
    CHECK(f.bench.work("name"));
    f.bench.press(ui::Key::backspace);
    f.bench.type("my");
    f.bench.press(ui::Key::space);
    f.bench.type("shelf");
    f.bench.press(ui::Key::enter);
    CHECK(f.form.name == "my shelf");
    CHECK_FALSE(f.bench.ui.has_overlay());
    CHECK(f.bench.ui.navigator().focus() == "name");
}

TEST_CASE("overlay: letters are chosen by arrows and Space alone, Escape leaves the text as it was") {
    FormBench f;
    CHECK(f.bench.work("name"));
    CHECK(f.bench.tab_to("name/letter b"));
    f.bench.press(ui::Key::space);
    CHECK(f.bench.tab_to("name/done"));
    f.bench.press(ui::Key::space);
    CHECK(f.form.name == "ab");
    CHECK(f.bench.work("name"));
    f.bench.type("zzz");
    f.bench.press(ui::Key::escape);
    CHECK_FALSE(f.bench.ui.has_overlay());
    CHECK(f.form.name == "ab");
    CHECK(f.bench.ui.navigator().focus() == "name");
}

TEST_CASE("overlay: digits refuse 500 where 10 to 200 is allowed, take 73 as 70 in steps of 5, 0 is off") {
    FormBench f;
    const auto put = [&](const std::string& digits) {
        for (int i = 0; i < 5; ++i) f.bench.press(ui::Key::backspace);
        f.bench.type(digits);
        f.bench.press(ui::Key::enter);
    };
    CHECK(f.bench.work("count"));
    put("500");
    CHECK(f.bench.ui.has_overlay());
    CHECK(f.form.count == 50);
    CHECK(f.bench.shows("Only 10 to 200 ms can be set"));
    put("73");
    CHECK(f.form.count == 70);
    CHECK(f.bench.work("count"));
    put("0");
    CHECK(f.form.count == 0);
    CHECK(f.bench.find("count")->value == "off");
}

TEST_CASE(
    "overlay: what lies behind is not in the registry and is not worked; Done and Cancel are seen at 300 %") {
    for (const int percent : {100, 300}) {
        CAPTURE(percent);
        FormBench f(percent);
        const ui::Rect other = f.bench.find("other")->rect;
        CHECK(f.bench.work("choice"));
        CHECK(f.bench.find("other") == nullptr);
        CHECK(f.bench.ui.navigator().focus() == "choice/1");
        CHECK(f.bench.find("choice/1")->is_in_view);
        CHECK(f.bench.find("choice/cancel")->is_in_view);
        f.bench.input.pointer = other.centre();
        f.bench.frame();
        f.bench.input.primary_down = true;
        f.bench.frame();
        f.bench.input.primary_down = false;
        f.bench.settle();
        CHECK(f.form.other == 0);
        // An option may have stood there.
        if (!f.bench.ui.has_overlay()) CHECK(f.bench.work("choice"));
        CHECK(f.bench.tab_to("choice/1"));
        for (int i = 0; i < 28; ++i) f.bench.press(ui::Key::down);
        const std::string focus = f.bench.ui.navigator().focus();
        CHECK(focus == "choice/29");
        CHECK(f.bench.find(focus)->is_in_view);
        f.bench.press(ui::Key::enter);
        CHECK(f.form.chosen == 29);
    }
}

TEST_CASE("overlay: a question stands on No, Enter there changes nothing, Yes is one Tab on") {
    FormBench f;
    CHECK(f.bench.work("ask"));
    f.bench.press(ui::Key::enter);
    CHECK(f.form.sure == 0);
    CHECK_FALSE(f.bench.ui.has_overlay());
    CHECK(f.bench.work("ask"));
    f.bench.press(ui::Key::tab);
    f.bench.press(ui::Key::enter);
    CHECK(f.form.sure == 1);
}

TEST_CASE("overlay: 20 fast keys through opening, typing and closing are all taken in their order") {
    FormBench f;
    CHECK(f.bench.tab_to("name"));
    const auto put = [&](ui::Key key, const std::string& text = "") {
        ui::KeyEvent event = key_event(key);
        event.text = text;
        f.bench.input.keys.push_back(event);
        f.bench.input.keys.push_back(key_event(key, false));
    };
    put(ui::Key::enter);
    for (const char* letter : {"b", "c", "d"}) put(ui::Key::other, letter);
    put(ui::Key::enter);
    put(ui::Key::enter);
    put(ui::Key::backspace);
    put(ui::Key::enter);
    for (int i = 0; i < 5; ++i) f.bench.settle();
    CHECK(f.form.name == "abc");
}

}  // namespace
}  // namespace fettle::app::test
