// The time line, worked as a person works it, over rolls made by hand.
#include <doctest/doctest.h>

#include "app/views/views.hpp"
#include "tests/plot/drawn.hpp"
#include "tests/ui/bench.hpp"
#include "tests/views/presses_rolls.hpp"

namespace fettle::app::test {
namespace {

using engine::EventKind;
using engine::PressOutcome;

void outcome(trace::Roll& roll, std::int64_t ms, PressOutcome what) {
    append(roll, ms, EventKind::press, {0, static_cast<int>(what)});
}

/// Rejected presses at 1.5, 40 and 3601 s, a lost repeat at 90 s, a gap after 200 s, an hour in all.
trace::Roll an_hour() {
    trace::Roll roll = roll_of_presses(0, {{1000, 300}}, 1300);
    outcome(roll, 1500, PressOutcome::too_short);
    outcome(roll, 40000, PressOutcome::bounced);
    append(roll, 90000, EventKind::ir_lost, {0, 1});
    append(roll, 200000, EventKind::mode, {1, 0});
    roll.append_gap(3);
    append(roll, 300000, EventKind::snapshot, {1, 0, 0xE8, 3, 0, 0, 0, 0, 0});
    outcome(roll, 3601000, PressOutcome::guarded);
    return roll;
}

struct Line {
    explicit Line(int scale_percent = 100, Language language = Language::english)
        : bench([this](ui::Ui& ui) { presses_view(ui, desk, state, [](Order) {}); }, scale_percent,
                ui::ThemeName::dark, language) {
        desk.names.inputs = {"cheek", "foot"};
        desk.names.modes = {"far", "near"};
        desk.roll = an_hour();
        bench.settle();
    }
    plot::PilotLimits limits() const {
        return {
            {static_cast<double>(desk.roll.first_us()), static_cast<double>(desk.roll.last_us())}, 1000, 1};
    }
    plot::Range view() const { return plot::view_of(state.timeline.pilot, limits()); }
    double cursor_ms() const { return state.timeline.pilot.cursor.value_or(-1) / 1000; }
    /// All that is said of the crosshair: the line above the picture shows as much as it has room for.
    std::string said() const { return bench.find("timeline")->value; }
    /// As a person chooses in the list.
    void jump_to(trace::Wanted wanted) { state.timeline.wanted = static_cast<int>(wanted); }

    Desk desk;
    PressesState state;
    Bench bench;
};

TEST_CASE("time line: jumps to rejected presses land at 3601, 40 and 1.5 s, then say that there is none") {
    Line line;
    line.jump_to(trace::Wanted::press_rejected);
    line.state.timeline.pilot.cursor = 3602e6;
    for (const double ms : {3601000.0, 40000.0, 1500.0}) {
        REQUIRE(line.bench.work("timeline.previous"));
        CHECK(line.cursor_ms() == ms);
        CHECK(line.view().contains(ms * 1000));
        CHECK_FALSE(line.bench.shows("There is none that way"));
    }
    CHECK_FALSE(line.state.timeline.follows);
    REQUIRE(line.bench.work("timeline.previous"));
    CHECK(line.cursor_ms() == 1500.0);
    CHECK(line.bench.shows("There is none that way"));
    REQUIRE(line.bench.work("timeline.next"));
    CHECK(line.cursor_ms() == 40000.0);
    CHECK_FALSE(line.bench.shows("There is none that way"));
}

TEST_CASE("time line: a list says how many of each there are, and jumps to each kind where the roll has it") {
    Line line;
    line.state.timeline.pilot.cursor = 0;
    for (const auto wanted : {trace::Wanted::repeat_lost, trace::Wanted::telemetry_lost}) {
        line.jump_to(wanted);
        const auto found = line.desk.roll.find_next(0, wanted);
        REQUIRE(found.has_value());
        line.state.timeline.pilot.cursor = 0;
        REQUIRE(line.bench.work("timeline.next"));
        CHECK(line.cursor_ms() * 1000 == static_cast<double>(found->at_us));
    }
    REQUIRE(line.bench.work("timeline.wanted"));
    CHECK(line.bench.shows("lost repeat (1)"));
    CHECK(line.bench.shows("rejected press (3)"));
    CHECK(line.bench.shows("lost telemetry (1)"));
    CHECK(line.bench.shows("broken drag (0)"));
}

TEST_CASE("time line: two marks 88.5 s apart, by the buttons and by the letters, say so; then none") {
    Line line;
    line.state.timeline.pilot.cursor = 1500e3;
    line.state.timeline.follows = false;
    REQUIRE(line.bench.work("timeline.a"));
    line.state.timeline.pilot.cursor = 90e6;
    REQUIRE(line.bench.work("timeline.b"));
    CHECK_MESSAGE(line.said().find("Between A and B: 1:28.500 min") != std::string::npos, line.said());
    REQUIRE(line.bench.work("timeline.unmark"));
    CHECK(line.said().find("Between A and B") == std::string::npos);

    REQUIRE(line.bench.work("timeline"));
    line.bench.type("a");
    CHECK(line.state.timeline.a == std::optional<std::int64_t>{90'000'000});
    line.bench.press(ui::Key::right);
    line.bench.type("b");
    CHECK(line.state.timeline.b > line.state.timeline.a);
    line.bench.press(ui::Key::escape);
    CHECK(line.bench.ui.navigator().focus() == "timeline");
}

TEST_CASE("time line: nearer goes down to 1 ms and no further, farther up to the whole hour") {
    Line line;
    line.state.timeline.pilot.cursor = 1100e3;
    line.state.timeline.pilot.view = plot::Range{0, 10e6};
    line.state.timeline.follows = false;
    line.bench.settle();
    for (int i = 0; i < 30; ++i) {
        REQUIRE(line.bench.ui.activate("timeline.nearer"));
        line.bench.settle();
    }
    CHECK(line.view().span() == doctest::Approx(1000));
    CHECK(line.view().contains(1100e3));
    CHECK(line.said().find("cheek: down") != std::string::npos);
    for (int i = 0; i < 40; ++i) {
        REQUIRE(line.bench.ui.activate("timeline.farther"));
        line.bench.settle();
    }
    CHECK(line.view().span() == doctest::Approx(3601e6));
}

TEST_CASE("time line: what stands under the crosshair is said in words: down, mode, lost") {
    Line line;
    line.state.timeline.follows = false;
    line.state.timeline.pilot.cursor = 1100e3;
    line.bench.settle();
    CHECK(line.said().find("cheek: down") != std::string::npos);
    CHECK(line.said().find("mode: mode far") != std::string::npos);
    line.state.timeline.pilot.cursor = 250e6;
    line.bench.settle();
    CHECK(line.said().find("lost: telemetry lost") != std::string::npos);
    line.state.timeline.pilot.cursor = 400e6;
    line.bench.settle();
    CHECK(line.said().find("mode: mode near") != std::string::npos);
    CHECK(line.bench.find("timeline.said")->label == line.said());
}

TEST_CASE("time line: what is said never draws below its lines, at 100 and 300 %, in both languages") {
    for (const int percent : {100, 300})
        for (const Language language : {Language::english, Language::german}) {
            CAPTURE(percent);
            Line line(percent, language);
            for (int i = 2; i < 12; ++i)
                line.desk.names.inputs.push_back("a name long enough to fill half of a line, input" +
                                                 std::to_string(i));
            for (std::uint8_t i = 0; i < 12; ++i) append(line.desk.roll, 3602000, EventKind::level, {i, 1});
            append(line.desk.roll, 3700000, EventKind::mode, {0, 0});
            line.state.timeline.follows = false;
            line.state.timeline.pilot.cursor = 3650e6;
            line.bench.settle();
            const ui::Control* said = line.bench.find("timeline.said");
            REQUIRE(said != nullptr);
            CHECK(line.said().find("input11") != std::string::npos);
            CHECK(said->label.find("input11") == std::string::npos);
            CHECK(said->label.ends_with(" ..."));
            // The sentence is longer than its place: what is drawn ends where the place ends.
            bool is_cut = false;
            for (const DrawnText& one : drawn_texts()) {
                const bool is_of_it = one.rect.y >= said->rect.y && one.rect.y < said->rect.bottom() &&
                                      one.rect.x >= said->rect.x - 1;
                if (is_of_it && one.rect.bottom() > said->rect.bottom() + 2) is_cut = true;
            }
            CHECK_FALSE(is_cut);
        }
}

TEST_CASE("time line: following shows the last ten seconds, a pan stops it, the button follows again") {
    Line line;
    CHECK(line.view().to == doctest::Approx(3601e6));
    CHECK(line.view().span() == doctest::Approx(10e6));
    append(line.desk.roll, 3605000, EventKind::level, {0, 1});
    line.bench.settle();
    CHECK(line.view().to == doctest::Approx(3605e6));
    REQUIRE(line.bench.work("timeline.earlier"));
    append(line.desk.roll, 3700000, EventKind::level, {0, 0});
    line.bench.settle();
    CHECK(line.view().to == doctest::Approx(3600e6));
    REQUIRE(line.bench.work("timeline.follow"));
    CHECK(line.view().to == doctest::Approx(3700e6));
}

TEST_CASE("time line: an empty roll and an opened recording without names are drawn without a fault") {
    Line line;
    line.desk.roll.clear();
    line.desk.names = {};
    line.state.timeline = {};
    line.bench.settle();
    CHECK(line.bench.find("timeline") != nullptr);
    REQUIRE(line.bench.work("timeline.next"));
    CHECK(line.bench.shows("There is none that way"));
    line.desk.recording.opened = std::make_shared<const trace::Roll>(an_hour());
    line.state.timeline.pilot.cursor = 1100e3;
    line.state.timeline.follows = false;
    line.bench.settle();
    CHECK(line.said().find("input 1: down") != std::string::npos);
}

}  // namespace
}  // namespace fettle::app::test
