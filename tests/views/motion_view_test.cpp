// The motion screen, worked as a person works it.
#include <doctest/doctest.h>
#include <imgui.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "app/desk/movers.hpp"
#include "app/views/motion_curve.hpp"
#include "core/profile/field_table.hpp"
#include "tests/plot/drawn.hpp"
#include "tests/views/sitting.hpp"

namespace fettle::app::test {
namespace {

const profile::Motion& motion_of(Sitting& sitting, const std::string& name) {
    const auto* motion = profile::find_named(sitting.desk().editing.profile.motions, name);
    REQUIRE(motion != nullptr);
    return *motion;
}

const profile::Travel& far_of(Sitting& sitting) {
    return std::get<profile::Travel>(motion_of(sitting, "far").family);
}

std::string value_of(Sitting& sitting, const std::string& id) {
    const ui::Control* control = sitting.bench->find(id);
    REQUIRE_MESSAGE(control != nullptr, id);
    return control->role == ui::Role::text ? control->label : control->value;
}

void work(Sitting& sitting, const std::string& id) {
    CAPTURE(id);
    REQUIRE(sitting.ui().activate(id));
    sitting.bench->settle();
}

void push(Sitting& sitting) {
    REQUIRE(sitting.wait_live());
    order::Try wanted{60, true, {}};
    for (const auto& finding : sitting.desk().editing.findings)
        wanted.accepted.emplace_back(profile::finding_name(finding.kind));
    sitting.order(wanted);
    REQUIRE(sitting.wait_until(
        [&] { return sitting.desk().trying.is_running && sitting.desk().is_on_device(); }));
}

void hand(Sitting& sitting, const std::string& input, bool is_down) {
    const auto* found = profile::find_named(sitting.desk().editing.profile.inputs, input);
    REQUIRE(found != nullptr);
    sitting.order(Ask{ask::Hand{found->source, is_down, 0}});
}

TEST_CASE("motion: by keyboard alone the first step of 3 becomes 4, one order, and Undo brings back 3") {
    Sitting sitting;
    sitting.show(Screen::motion);
    CHECK(far_of(sitting).first_step_counts == 3);
    sitting.given.clear();
    CHECK(sitting.bench->work("motion.first_step.more"));
    CHECK(far_of(sitting).first_step_counts == 4);
    CHECK(sitting.count_of<edit::Edit>() == 1);
    sitting.order(order::Undo{});
    CHECK(far_of(sitting).first_step_counts == 3);
}

TEST_CASE("motion: every number of both families is changed by its own control, each one order, one field") {
    Sitting sitting;
    sitting.show(Screen::motion);
    const auto try_all = [&](const std::string& motion, const std::vector<std::string>& ids) {
        for (const std::string& id : ids) {
            CAPTURE(id);
            const profile::Motion before = motion_of(sitting, motion);
            sitting.given.clear();
            // What stands at its upper end goes down.
            const ui::Control* more = sitting.bench->find(id + ".more");
            REQUIRE(more != nullptr);
            work(sitting, more->is_enabled ? id + ".more" : id + ".less");
            CHECK(sitting.count_of<edit::Edit>() == 1);
            CHECK_FALSE(motion_of(sitting, motion) == before);
        }
    };
    try_all("far", {"motion.first_step", "motion.delay", "motion.ramp", "motion.start", "motion.top",
                    "motion.exponent", "motion.cadence_window", "motion.cadence_gain"});
    sitting.view_state().motion.motion = "near";
    sitting.bench->settle();
    try_all("near", {"motion.keys_delay", "motion.keys_interval", "motion.keys_delta", "motion.keys_time",
                     "motion.keys_speed", "motion.keys_curve"});
}

TEST_CASE("motion: the other family and back: MouseKeys' delay of 160 ms, then Travel's first step of 1") {
    Sitting sitting;
    sitting.show(Screen::motion);
    work(sitting, "motion.family.mouse_keys");
    CHECK(std::holds_alternative<profile::MouseKeys>(motion_of(sitting, "far").family));
    CHECK(value_of(sitting, "motion.keys_delay") == "160 ms");
    work(sitting, "motion.family.travel");
    CHECK(far_of(sitting) == profile::Travel{});
}

TEST_CASE("motion: a change made in variant tired is that variant's alone, and can be dropped again") {
    Sitting sitting;
    sitting.show(Screen::motion);
    const profile::Motion base = motion_of(sitting, "far");
    sitting.view_state().motion.variant = "tired";
    sitting.bench->settle();
    work(sitting, "motion.delay.more");
    const auto tired = [&]() -> const profile::Variant& {
        return sitting.desk().editing.profile.variants.front();
    };
    CHECK(motion_of(sitting, "far") == base);
    REQUIRE(tired().motions.size() == 1);
    CHECK(std::get<profile::Travel>(tired().motions[0].family).delay_ms > 300);
    work(sitting, "motion.variant.drop");
    CHECK(tired().motions.empty());
}

TEST_CASE(
    "motion: a copy is far2 and looked at, renamed slow, and removed after a question; a used one is not") {
    Sitting sitting;
    sitting.show(Screen::motion);
    CHECK_FALSE(sitting.bench->find("motion.remove")->is_enabled);
    work(sitting, "motion.copy");
    CHECK(sitting.view_state().motion.motion == "far2");
    CHECK(motion_of(sitting, "far2").family == motion_of(sitting, "far").family);
    CHECK(sitting.bench->find("motion.remove")->is_enabled);
    sitting.order(edit::Edit{edit::RemoveNamed{edit::Named::motion, "far2", ""}});
    sitting.bench->settle();
    CHECK(sitting.view_state().motion.motion == "far");
}

TEST_CASE("motion: the figures on the screen are those of the engine for the remote that works it") {
    Sitting sitting;
    sitting.show(Screen::motion);
    const profile::Profile& p = sitting.desk().editing.profile;
    const auto all = movers(p, "", "far");
    const auto f =
        profile::motion_figures(profile::motion_setup(motion_of(sitting, "far")), 0, all[0].source);
    const auto counts = [](std::int64_t n) { return std::to_string(n) + " counts"; };
    CHECK(value_of(sitting, "motion.fact.tap").rfind(counts(f.tap_counts), 0) == 0);
    CHECK(value_of(sitting, "motion.fact.smallest").rfind(counts(f.smallest_counts), 0) == 0);
    CHECK(value_of(sitting, "motion.fact.hold1000").rfind(counts(f.holds[1].counts), 0) == 0);
    const std::string still = value_of(sitting, "motion.fact.stop.still");
    CHECK(still.find(std::to_string(f.stop.least_still_ms) + " ms to ") == 0);
    CHECK(still.find(std::to_string(f.stop.most_still_ms) + " ms") != std::string::npos);
    // A switch beside it stops at once.
    CHECK(value_of(sitting, "motion.fact.stop1.release").rfind("0 ", 0) == 0);
}

TEST_CASE(
    "motion: a hold of the simulated remote: sent is what was promised at most a period of 108 ms ago") {
    Sitting sitting;
    push(sitting);
    sitting.show(Screen::motion);
    CHECK(value_of(sitting, "motion.device").find(text_in(Language::english, T::motion_device_same)) == 0);
    hand(sitting, "right", true);
    sitting.wait_ms(1200);
    const auto& state = sitting.view_state().motion;
    REQUIRE(state.trail.hold());
    CHECK(state.trail.hold()->is_running());
    CHECK(value_of(sitting, "motion.hold").find("right is held") == 0);
    CHECK(has_drawn(text_in(Language::english, T::motion_now)));
    CHECK(!drawn_points(sitting.ui().theme().line[2]).empty());
    hand(sitting, "right", false);
    sitting.wait_ms(800);
    const SentHold& hold = *sitting.view_state().motion.trail.hold();
    REQUIRE(hold.ended_us);
    const auto all = movers(sitting.desk().editing.profile, "", "far");
    MotionCurves curves;
    const auto curve = curves.of(motion_of(sitting, "far"), all[0].source);
    const double held_us = static_cast<double>(*hold.ended_us - hold.began_us);
    CHECK(held_us > 1100e3);
    CHECK(hold.way.back().y > 30);
    // Travel begins with the first repeat after the delay, whose phase the figures do not know: a period at
    // most.
    CHECK(hold.way.back().y <= *plot::step_at(curve->way, held_us) + 3);
    CHECK(hold.way.back().y >= *plot::step_at(curve->way, held_us - 108e3) - 3);
    CHECK(value_of(sitting, "motion.hold").find("right was held") == 0);
    CHECK_FALSE(has_drawn(text_in(Language::english, T::motion_now)));
}

TEST_CASE("motion: a switch that moves sends what was promised, within 3 counts after 1.5 s") {
    Sitting sitting;
    sitting.order(
        edit::Edit{edit::SetAction{"far", "foot", profile::GestureName::short_press,
                                   profile::Action{profile::Move{engine::Direction::down, "far"}}}});
    push(sitting);
    sitting.show(Screen::motion);
    hand(sitting, "foot", true);
    sitting.wait_ms(1500);
    hand(sitting, "foot", false);
    sitting.wait_ms(800);
    REQUIRE(sitting.view_state().motion.trail.hold());
    const SentHold& hold = *sitting.view_state().motion.trail.hold();
    REQUIRE(hold.ended_us);
    MotionCurves curves;
    const auto curve = curves.of(motion_of(sitting, "far"), profile::switch_source());
    const double held_us = static_cast<double>(*hold.ended_us - hold.began_us);
    CHECK(hold.way.back().y > 100);
    CHECK(std::abs(hold.way.back().y - *plot::step_at(curve->way, held_us)) <= 3);
}

TEST_CASE(
    "motion: an edit that is not pushed is drawn beside what the device still does, and its figures in "
    "brackets") {
    Sitting sitting;
    push(sitting);
    sitting.show(Screen::motion);
    CHECK_FALSE(has_drawn(text_in(Language::english, T::motion_line_device)));
    const std::string before = value_of(sitting, "motion.fact.tap");
    work(sitting, "motion.first_step.more");
    CHECK(has_drawn(text_in(Language::english, T::motion_line_device)));
    CHECK(!drawn_points(sitting.ui().theme().line[1]).empty());
    CHECK(value_of(sitting, "motion.fact.tap") == "4 counts (" + before + ")");
    CHECK(value_of(sitting, "motion.device").find(text_in(Language::english, T::motion_device_other)) == 0);
}

TEST_CASE(
    "motion: the crosshair by keyboard tells hold time, speed and counts in words, in the control too") {
    Sitting sitting;
    sitting.show(Screen::motion);
    CHECK(value_of(sitting, "motion.crosshair") == text_in(Language::english, T::motion_crosshair_help));
    CHECK(sitting.bench->work("motion.plot"));
    sitting.wait_ms(400);
    const std::string middle = value_of(sitting, "motion.crosshair");
    CHECK(middle.find("Held 1.25 s: ") == 0);
    sitting.bench->press(ui::Key::end);
    sitting.wait_ms(400);
    const std::string last = value_of(sitting, "motion.crosshair");
    CHECK(last.find("Held 2.50 s: 90") == 0);
    CHECK(sitting.bench->find("motion.plot")->value.find(last) != std::string::npos);
    sitting.bench->press(ui::Key::escape);
    CHECK(sitting.bench->tab_to("motion.first_step"));
}

TEST_CASE("motion: the simulated pointer moves by what was sent, a click beside the targets is told") {
    Sitting sitting;
    push(sitting);
    sitting.show(Screen::motion);
    sitting.wait_ms(100);
    const ui::Point start = sitting.view_state().motion.area.pointer();
    hand(sitting, "right", true);
    sitting.wait_ms(700);
    hand(sitting, "right", false);
    sitting.wait_ms(500);
    const auto& state = sitting.view_state().motion;
    REQUIRE(state.trail.hold());
    const double sent = state.trail.hold()->way.back().y;
    CHECK(sent > 3);
    CHECK(static_cast<double>(state.area.pointer().x - start.x) == doctest::Approx(sent));
    CHECK(state.area.pointer().y == start.y);
    hand(sitting, "select", true);
    sitting.wait_ms(300);
    hand(sitting, "select", false);
    sitting.wait_ms(800);
    CHECK(sitting.view_state().motion.area.misses() == 1);
    CHECK(value_of(sitting, "motion.area.told").find("beside: 1") != std::string::npos);
    work(sitting, "motion.area.reset");
    CHECK(sitting.view_state().motion.area.misses() == 0);
}

/// 10 moves, slow ones at ratio 1, fast ones at 2.
PointerMeter bent() {
    PointerMeter meter;
    std::int64_t us = 0;
    meter.put({us, 0, 0, false});
    for (int i = 0; i < 10; ++i) {
        const double ratio = 1 + i / 9.0;
        for (int k = 0; k < 20; ++k) meter.put({us += 16000, 2.0 + i, (2.0 + i) * ratio, false});
        for (int k = 0; k < 20; ++k) meter.put({us += 16000, 0, 0, false});
    }
    return meter;
}

TEST_CASE("motion: a computer that accelerates is told in words and bends the curve; clearing begins anew") {
    Sitting sitting;
    sitting.view_state().motion.meter = bent();
    sitting.show(Screen::motion);
    sitting.wait_ms(400);
    const std::string told = value_of(sitting, "motion.meter.told");
    CHECK(told.find("half of 10 moves") != std::string::npos);
    CHECK(told.find("bends the curve") != std::string::npos);
    CHECK(!drawn_points(sitting.ui().theme().line[3]).empty());
    work(sitting, "motion.meter.clear");
    sitting.wait_ms(400);
    CHECK(value_of(sitting, "motion.meter.told") == "0 of 8 moves so far.");
    CHECK(drawn_points(sitting.ui().theme().line[3]).empty());
    work(sitting, "motion.accelerate");
    CHECK(sitting.view_state().motion.is_accelerated);
}

TEST_CASE(
    "motion: without a device there are no simulated hands and no simulated acceleration, the curve stands") {
    SittingWish wish;
    wish.has_device = false;
    Sitting sitting(wish);
    sitting.show(Screen::motion);
    CHECK(sitting.bench->find("motion.accelerate") == nullptr);
    CHECK(sitting.bench->find("motion.hands.right") == nullptr);
    CHECK(!drawn_points(sitting.ui().theme().line[0]).empty());
    CHECK(value_of(sitting, "motion.device") == text_in(Language::english, T::motion_device_none));
}

/// Every text of the screen has its room; nothing is wider than the window.
void check_room(Sitting& sitting) {
    const float wide = sitting.bench->input.size.x;
    for (const ui::Control& control : sitting.ui().registry().controls) {
        if (control.id.rfind("motion.", 0) != 0) continue;
        CAPTURE(control.id);
        CHECK(control.rect.x >= 0);
        CHECK(control.rect.right() <= wide);
        if (control.role != ui::Role::text) continue;
        const ImVec2 size = ImGui::CalcTextSize(control.label.c_str(), nullptr, false, control.rect.w);
        CAPTURE(control.label);
        CHECK(size.y <= control.rect.h + 1);
    }
}

std::map<std::string, ui::Rect> places(Sitting& sitting) {
    std::map<std::string, ui::Rect> all;
    for (const ui::Control& control : sitting.ui().registry().controls)
        if (control.id.rfind("motion.", 0) == 0) all[control.id] = control.rect;
    return all;
}

TEST_CASE(
    "motion: a hold shifts no control, and every text has its room, at 100 and 300 %, in both languages") {
    for (const Language language : {Language::english, Language::german})
        for (const int scale : {100, 300}) {
            CAPTURE(scale);
            SittingWish wish;
            wish.language = language;
            wish.scale_percent = scale;
            Sitting sitting(wish);
            push(sitting);
            profile::Travel other;
            other.first_step_counts = 9;
            sitting.order(edit::Edit{edit::PutMotion{{"far", other}, ""}});
            sitting.view_state().motion.meter = bent();
            sitting.show(Screen::motion);
            sitting.view_state().motion.pilot.cursor = 700e3;
            sitting.wait_ms(500);
            const auto before = places(sitting);
            check_room(sitting);
            hand(sitting, "left", true);
            sitting.wait_ms(900);
            CHECK(places(sitting) == before);
            check_room(sitting);
            hand(sitting, "left", false);
            sitting.wait_ms(900);
            CHECK(places(sitting) == before);
            check_room(sitting);
        }
}

TEST_CASE(
    "motion: a profile without motions offers one, a device that goes away mid-hold leaves the screen "
    "standing") {
    Sitting sitting;
    push(sitting);
    sitting.show(Screen::motion);
    hand(sitting, "right", true);
    sitting.wait_ms(500);
    sitting.pull_cable();
    sitting.wait_ms(3000);
    CHECK(sitting.bench->find("motion.plot") != nullptr);
    CHECK(value_of(sitting, "motion.hold").size() > 10);
    profile::Profile bare = sitting.desk().editing.profile;
    bare.motions.clear();
    bare.modes = {{"one", "One", {}}};
    for (auto& variant : bare.variants) variant.motions.clear();
    sitting.order(edit::Edit{edit::Replace{bare}});
    sitting.bench->settle();
    CHECK(sitting.bench->find("motion.plot") == nullptr);
    work(sitting, "motion.add");
    CHECK(sitting.desk().editing.profile.motions.size() == 1);
    CHECK(sitting.bench->find("motion.plot") != nullptr);
}

}  // namespace
}  // namespace fettle::app::test
