#include <doctest/doctest.h>

#include <set>

#include "tests/ui/bench.hpp"

namespace fettle::app::test {
namespace {

/// Many controls, two groups.
struct Page {
    std::vector<int> worked;
    explicit Page(int count) : worked(static_cast<std::size_t>(count)) {}
    void draw(ui::Ui& ui) {
        ui.panel("content", ui.room());
        for (std::size_t i = 0; i < worked.size(); ++i) {
            if (i % 10 == 0) ui.group("group" + std::to_string(i), "Group " + std::to_string(i));
            if (ui.button("b" + std::to_string(i), "Button " + std::to_string(i))) ++worked[i];
        }
        ui.end_group();
        ui.end_panel();
    }
};

TEST_CASE("call list: each of 40 buttons is worked once by its own two digits, and none without the list") {
    Page page(40);
    Bench bench([&](ui::Ui& ui) { page.draw(ui); });
    bench.settle();
    bench.type("12");
    CHECK(page.worked[2] == 0);
    bench.options.shows_call_list = true;
    bench.settle();
    std::set<int> numbers;
    for (int i = 0; i < 40; ++i) {
        const int number = bench.find("b" + std::to_string(i))->number;
        numbers.insert(number);
        bench.type(std::to_string(number));
    }
    CHECK(numbers.size() == 40);
    for (const int times : page.worked) CHECK(times == 1);
}

TEST_CASE("call list: keypad digits count with Num Lock off (HID usages 0x59 to 0x62)") {
    Page page(5);
    Bench bench([&](ui::Ui& ui) { page.draw(ui); });
    bench.options.shows_call_list = true;
    bench.settle();
    const std::string number = std::to_string(bench.find("b3")->number);
    for (const char digit : number) {
        ui::KeyEvent key;
        key.key = ui::Key::other;
        key.usage = static_cast<std::uint8_t>(digit == '0' ? 0x62 : 0x59 + (digit - '1'));
        bench.input.keys.push_back(key);
    }
    bench.settle();
    CHECK(page.worked[3] == 1);
}

TEST_CASE("call list: at 300 % on 1280 x 800 it takes at most 36 % of the width, 0 shows every page of it") {
    Page page(40);
    Bench bench([&](ui::Ui& ui) { page.draw(ui); }, 300);
    bench.options.shows_call_list = true;
    bench.settle();
    CHECK(bench.ui.room().w >= 0.64f * 1280 - 1);
    const std::string first = bench.find("calls.more")->label;
    std::set<std::string> labels;
    for (int i = 0; i < 40 && labels.insert(bench.find("calls.more")->label).second; ++i) bench.type("0");
    CHECK(bench.find("calls.more")->label == first);
    CHECK(labels.size() > 3);
    for (const int times : page.worked) CHECK(times == 0);
}

TEST_CASE("call list: Escape forgets a digit, numbers stay while a control is only not enabled") {
    bool can = true;
    int worked = 0;
    Bench bench([&](ui::Ui& ui) {
        ui.panel("content", ui.room());
        (void)ui.button("a", "A", ui::Look::plain, can);
        if (ui.button("b", "B")) ++worked;
        ui.end_panel();
    });
    bench.options.shows_call_list = true;
    bench.settle();
    const int number = bench.find("b")->number;
    can = false;
    bench.settle();
    CHECK(bench.find("b")->number == number);
    bench.type("1");
    CHECK(bench.ui.navigator().typed() == "1");
    bench.press(ui::Key::escape);
    CHECK(bench.ui.navigator().typed().empty());
    CHECK(worked == 0);
}

}  // namespace
}  // namespace fettle::app::test
