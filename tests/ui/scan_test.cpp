#include <doctest/doctest.h>

#include "tests/ui/bench.hpp"

namespace fettle::app::test {
namespace {

TEST_CASE(
    "scanning: with the switch alone each of 13 controls in 3 groups is worked, an overlay's answer too") {
    std::vector<int> worked(12);
    int chosen = 0;
    const std::vector<std::string> options{"one", "two", "three"};
    Bench bench([&](ui::Ui& ui) {
        ui.panel("content", ui.room());
        for (std::size_t i = 0; i < worked.size(); ++i) {
            if (i % 6 == 0) ui.group("group" + std::to_string(i), "Group");
            if (ui.button("b" + std::to_string(i), "Button")) ++worked[i];
        }
        ui.group("last", "Last");
        if (auto next = ui.choice("choice", "Choice", options, chosen)) chosen = *next;
        ui.end_group();
        ui.end_panel();
    });
    bench.options.scans = true;
    bench.options.scan_period_ms = 400;
    bench.options.scan_first_ms = 0;
    bench.settle();
    const auto scan_to = [&](const std::string& id) { return bench.scan_to(id); };
    for (std::size_t i = 0; i < worked.size(); ++i) CHECK(scan_to("b" + std::to_string(i)));
    for (const int times : worked) CHECK(times == 1);
    CHECK(scan_to("choice"));
    CHECK(bench.ui.has_overlay());
    CHECK(scan_to("choice/2"));
    bench.settle();
    CHECK_FALSE(bench.ui.has_overlay());
    CHECK(chosen == 2);
}

TEST_CASE("scanning: what is marked is said in words, and nothing is worked by time alone in 20 s") {
    int worked = 0;
    Bench bench([&](ui::Ui& ui) {
        ui.panel("content", ui.room());
        ui.group("group", "Only group");
        for (int i = 0; i < 3; ++i)
            if (ui.button("b" + std::to_string(i), "Button " + std::to_string(i))) ++worked;
        ui.end_group();
        ui.end_panel();
    });
    bench.options.scans = true;
    bench.settle();
    CHECK(bench.ui.scan_words() == "Scanning rests: press the switch");
    bench.press(ui::Key::space);
    CHECK(bench.ui.scan_words() == "Group: Only group");
    CHECK(bench.find("b0")->is_scanned);
    bench.press(ui::Key::space);
    CHECK(bench.ui.scan_words() == "Item: Button 0");
    for (int i = 0; i < 20000 / 16; ++i) bench.frame();
    CHECK(worked == 0);
}

}  // namespace
}  // namespace fettle::app::test
