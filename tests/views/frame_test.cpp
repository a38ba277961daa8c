// What is always on screen, on a desk filled by hand.
#include <doctest/doctest.h>

#include <map>

#include "app/views/strip.hpp"
#include "app/views/views.hpp"
#include "tests/ui/bench.hpp"

namespace fettle::app::test {
namespace {

struct Window {
    Desk desk;
    ViewState state;
    std::vector<Order> given;
    Bench bench;
    explicit Window(int percent = 100)
        : bench([this](ui::Ui& ui) { frame_view(ui, desk, state, [this](Order o) { given.push_back(o); }); },
                percent) {
        desk.screen = Screen::settings;
        desk.options = bench.options;
        desk.down.resize(engine::k_max_inputs);
        desk.pressed_us.resize(engine::k_max_inputs, -1);
        desk.device.state = LinkState::live;
        bench.before_frame = [this] { desk.device.beat_ms = bench.input.now_ms - late_ms; };
        bench.settle();
    }
    std::int64_t late_ms = 0;

    std::string words(const std::string& id) const {
        const ui::Control* control = bench.find(id);
        return control == nullptr ? "" : control->label;
    }
    std::size_t releases() const {
        std::size_t count = 0;
        for (const Order& one : given)
            if (const auto* ask = std::get_if<Ask>(&one))
                count += std::holds_alternative<ask::Release>(*ask) ? std::size_t{1} : 0;
        return count;
    }
};

TEST_CASE("frame: F9 releases everything on 9 screens, inside a list, and as a control there, too") {
    Window w;
    for (int i = 0; i < k_screens; ++i) {
        w.desk.screen = static_cast<Screen>(i);
        w.bench.settle();
        w.bench.press(ui::Key::f9);
        CHECK(w.releases() == static_cast<std::size_t>(i) + 1);
    }
    w.desk.screen = Screen::settings;
    w.bench.settle();
    CHECK(w.bench.work("settings.theme"));
    CHECK(w.bench.ui.has_overlay());
    w.bench.press(ui::Key::f9);
    CHECK(w.releases() == k_screens + 1);
    CHECK(w.bench.ui.has_overlay());
    CHECK(w.bench.work("release"));
    CHECK(w.releases() == k_screens + 2);
}

TEST_CASE("frame: a device whose thread has not come round for more than 1000 ms has no answer, in words") {
    Window w;
    CHECK(w.words("device") == "Connected");
    w.late_ms = 900;
    w.bench.settle();
    CHECK(w.words("device") == "Connected");
    w.late_ms = 1100;
    w.bench.settle();
    CHECK(w.words("device") == "No answer");
    w.late_ms = 0;
    w.desk.device.state = LinkState::absent;
    w.bench.settle();
    CHECK(w.words("device") == "No device");
}

TEST_CASE(
    "frame: what is latched, locked and dragged, a trial's seconds and a recording are said on 9 screens") {
    Window w;
    w.desk.held = {0x02, 0x01, 0x01, 0, 0};  // HID bits: left Shift; left Control; primary button
    w.desk.trying.is_running = true;
    w.desk.trying.seconds_left = 43;
    w.desk.recording.is_on = true;
    for (int i = 0; i < k_screens; ++i) {
        w.desk.screen = static_cast<Screen>(i);
        w.bench.settle();
        CHECK(w.words("held") == "latched: Shift; locked: Control; dragging: primary button");
        CHECK(w.words("trial") == "On trial: 43 s left");
        CHECK(w.words("recording") == "Recording");
    }
}

TEST_CASE("frame: nothing that happens moves a control, at 100 and 300 %") {
    for (const int percent : {100, 300}) {
        CAPTURE(percent);
        Window w(percent);
        std::map<std::string, ui::Rect> before;
        for (const ui::Control& control : w.bench.ui.registry().controls)
            if (ui::is_worked(control.role)) before[control.id] = control.rect;
        w.desk.held = {0xFF, 0xFF, 0x07, 0xFF, 0x07};
        w.desk.trying.is_running = true;
        w.desk.recording.is_on = true;
        w.desk.notice = Notice{Notice::Kind::problem, std::string(300, 'x')};
        w.desk.device.state = LinkState::stale;
        w.desk.working = "saving";
        w.desk.people.persons.push_back({});
        w.bench.settle();
        int moved = 0;
        for (const ui::Control& control : w.bench.ui.registry().controls)
            if (ui::is_worked(control.role) && before[control.id] != control.rect) ++moved;
        CHECK(before.size() > 10);
        CHECK(moved == 0);
    }
}

TEST_CASE("frame: a notice that fits is read by selecting it, one of 300 characters is shown whole first") {
    Window w;
    w.desk.notice = Notice{Notice::Kind::done, "Saved."};
    w.bench.settle();
    CHECK(w.bench.work("notice"));
    CHECK(std::holds_alternative<order::ForgetNotice>(w.given.back()));
    w.given.clear();
    std::string words;
    for (int i = 0; i < 60; ++i) words += "word ";
    w.desk.notice = Notice{Notice::Kind::problem, words};
    w.bench.settle();
    CHECK(w.bench.work("notice"));
    CHECK(w.given.empty());
    CHECK(w.bench.shows("Trouble: " + words));
    CHECK(w.bench.work("notice/yes"));
    w.bench.settle();
    REQUIRE(w.given.size() == 1);
    CHECK(std::holds_alternative<order::ForgetNotice>(w.given.back()));
}

TEST_CASE(
    "frame: Ctrl+Z, Ctrl+Y and F2 give their orders, Escape leaves the content for the list of screens") {
    Window w;
    w.bench.press(ui::Key::z, false, true);
    w.bench.press(ui::Key::y, false, true);
    w.bench.press(ui::Key::f2);
    REQUIRE(w.given.size() == 3);
    CHECK(std::holds_alternative<order::Undo>(w.given[0]));
    CHECK(std::holds_alternative<order::Redo>(w.given[1]));
    const auto* options = std::get_if<order::SetOptions>(&w.given[2]);
    REQUIRE(options != nullptr);
    CHECK(options->options.shows_call_list);
    CHECK(w.bench.find(w.bench.ui.navigator().focus())->panel == "content");
    w.bench.press(ui::Key::escape);
    CHECK(w.bench.ui.navigator().focus() == "screen.screen_settings");
}

TEST_CASE("frame: another screen gets the focus on its first control, shown from its beginning") {
    Window w(300);
    for (int i = 0; i < 12; ++i) w.bench.press(ui::Key::down);
    w.desk.screen = Screen::people;
    w.bench.settle();
    const ui::Panel* content = w.bench.ui.registry().find_panel("content");
    CHECK(content->scroll == 0);
    const ui::Control* focus = w.bench.find(w.bench.ui.navigator().focus());
    REQUIRE(focus != nullptr);
    CHECK(focus->panel == "content");
}

TEST_CASE("strip: 3 presses of input 1 in the last ten seconds are said, those of a minute ago are not") {
    Window w;
    const auto press = [&](std::int64_t at_us, engine::PressOutcome what) {
        engine::Event event{};
        event.kind = engine::EventKind::press;
        event.data[0] = 0;
        event.data[1] = static_cast<std::uint8_t>(what);
        (void)w.desk.roll.append(at_us, event);
    };
    engine::Event snapshot{};
    snapshot.kind = engine::EventKind::snapshot;
    (void)w.desk.roll.append(0, snapshot);
    for (const int second : {1, 2, 3, 4, 62, 64, 66}) {
        press(second * 1'000'000, engine::PressOutcome::accepted);
        press(second * 1'000'000 + 200'000, engine::PressOutcome::ended);
    }
    w.desk.roll.extend_to(67'000'000);
    w.bench.settle();
    CHECK(w.bench.find("strip")->value == "presses: input 1 3; reports: 0");
}

TEST_CASE("settings: each of 10 settings gives an order with its own change alone") {
    Window w;
    const auto changed = [&]() -> ui::Options {
        const auto* set = w.given.empty() ? nullptr : std::get_if<order::SetOptions>(&w.given.back());
        return set == nullptr ? w.desk.options : set->options;
    };
    const auto choose = [&](const std::string& id, int index) {
        w.given.clear();
        CHECK(w.bench.work(id));
        CHECK(w.bench.work(id + "/" + std::to_string(index)));
        w.bench.settle();
        CHECK(w.given.size() == 1);
        return changed();
    };
    const auto work = [&](const std::string& id) {
        w.given.clear();
        CHECK(w.bench.work(id));
        CHECK(w.given.size() == 1);
        return changed();
    };
    CHECK(choose("settings.size", 6).scale_percent == 300);
    CHECK(choose("settings.theme", 2).theme == ui::ThemeName::high_contrast);
    CHECK(choose("settings.language", 1).language == Language::german);
    CHECK(choose("settings.scan_start", 0).scan_start == ui::ScanStart::at_once);
    CHECK(work("settings.calls").shows_call_list);
    CHECK(work("settings.scans").scans);
    CHECK(work("settings.scan_period.more").scan_period_ms > 1500);
    CHECK(work("settings.scan_first.less").scan_first_ms < 1000);
    CHECK(work("settings.scan_rounds.more").scan_rounds == 4);
    CHECK(work("settings.lit.more").lit_ms > 350);
    CHECK(work("settings.tap.more").tap_ms > 150);
}

}  // namespace
}  // namespace fettle::app::test
