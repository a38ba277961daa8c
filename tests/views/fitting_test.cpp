// First fitting: through all of its pages by keyboard alone, to a profile that the simulated device keeps.
#include <doctest/doctest.h>

#include "tests/views/sitting.hpp"

namespace fettle::app::test {
namespace {

struct Fitting {
    explicit Fitting(const SittingWish& wish = {}) : sitting(wish) {
        REQUIRE(sitting.wait_live());
        sitting.show(Screen::fitting);
    }
    FittingPage page() { return sitting.view_state().fitting.page; }
    void work(const std::string& id) {
        CAPTURE(id);
        REQUIRE(sitting.bench->find(id) != nullptr);
        CHECK(sitting.bench->find(id)->is_enabled);
        REQUIRE(sitting.bench->work(id));
    }
    void next(FittingPage expected) {
        work("fitting.next");
        CHECK(page() == expected);
    }
    bool can_go_on() { return sitting.bench->find("fitting.next")->is_enabled; }
    /// Held by the Enter key, as long as a press lasts, and a rest after it.
    void hold(const std::string& id, std::int64_t ms = 150) {
        CAPTURE(id);
        REQUIRE(sitting.bench->tab_to(id));
        sitting.bench->key_down(ui::Key::enter);
        sitting.wait_ms(ms);
        sitting.bench->key_up(ui::Key::enter);
        sitting.wait_ms(700);
    }
    const profile::Profile& profile() { return sitting.desk().editing.profile; }

    Sitting sitting;
};

TEST_CASE("fitting: ten pages by keyboard alone, left and resumed at the fifth, to a kept profile") {
    Fitting fit;
    Sitting& sitting = fit.sitting;
    CHECK(sitting.bench->shows("no medical device"));
    fit.next(FittingPage::help);
    CHECK_FALSE(fit.can_go_on());
    fit.work("fitting.help.no");
    CHECK(sitting.bench->shows("Arrange that first"));
    fit.work("fitting.help.yes");
    CHECK_FALSE(sitting.bench->shows("Arrange that first"));
    fit.next(FittingPage::hurt);
    CHECK_FALSE(fit.can_go_on());
    fit.work("fitting.hurt.no");
    fit.next(FittingPage::device);
    CHECK(sitting.bench->shows("Yes: it answers."));

    fit.next(FittingPage::teach);
    const std::size_t inputs = fit.profile().inputs.size();
    fit.work("teach.input.foot");
    CHECK_FALSE(fit.can_go_on());  // not in the middle of teaching
    fit.hold("teach.line.3");
    // Left in the middle, and back: the same page, the same step.
    sitting.show(Screen::people);
    sitting.show(Screen::fitting);
    CHECK(fit.page() == FittingPage::teach);
    CHECK(sitting.desk().teaching.first.has_value());
    fit.hold("teach.line.3");
    REQUIRE(sitting.desk().teaching.source == profile::InputSource{profile::Switch{3, true}});
    fit.work("teach.accept");
    sitting.wait_ms(100);
    if (sitting.desk().teaching.is_on) fit.work("teach.end");
    REQUIRE(fit.profile().inputs.size() == inputs);
    const std::string taught = fit.profile().inputs.back().name;
    CHECK(taught == "foot");
    CHECK(fit.profile().inputs.back().source == profile::InputSource{profile::Switch{3, true}});

    fit.next(FittingPage::assign);
    fit.work("fitting.input." + taught);
    fit.work("fitting.offer.click");
    const auto* assigned = &fit.profile().modes.front().assignments.back();
    for (const auto& one : fit.profile().modes.front().assignments)
        if (one.input == taught) assigned = &one;
    CHECK(assigned->input == taught);
    CHECK(assigned->short_press == profile::Action{profile::Button{1, profile::ButtonStyle::held}});
    CHECK(sitting.bench->find("fitting.offer.click")->is_on);

    fit.next(FittingPage::motion);
    const profile::Profile before = fit.profile();
    fit.work("fitting.pace.slow");
    CHECK(sitting.bench->find("fitting.pace.slow")->is_on);
    CHECK_FALSE(fit.profile().motions == before.motions);

    fit.next(FittingPage::presses);
    const std::string rules = fit.profile().rule_sets.back().name;
    fit.work("fitting.accept." + rules + ".60");
    CHECK(fit.profile().rule_sets.back().acceptance_ms == 60);

    fit.next(FittingPage::trial);
    CHECK_FALSE(fit.can_go_on());
    for (const profile::Finding& finding : sitting.desk().editing.findings) {
        const std::string id = "trial.accept." + std::string(profile::finding_name(finding.kind));
        if (!sitting.bench->find(id)->is_on) fit.work(id);
    }
    CHECK_MESSAGE(sitting.bench->find("trial.try")->is_enabled, sitting.bench->dump());
    fit.work("trial.try");
    REQUIRE(sitting.wait_until([&] { return sitting.desk().trying.is_running; }));
    sitting.wait_ms(500);
    CHECK_FALSE(sitting.bench->find("trial.keep")->is_enabled);
    fit.hold("trial.hand.select");
    for (std::size_t i = 0; i < fit.profile().modes.size(); ++i) fit.hold("trial.hand.menu");
    fit.hold("trial.hand.cheek");
    REQUIRE(sitting.wait_until([&] { return sitting.desk().trying.is_proven; }));
    fit.work("trial.keep");
    REQUIRE(sitting.wait_until([&] { return !sitting.desk().trying.is_running; }));
    sitting.wait_ms(1000);
    CHECK(sitting.desk().is_on_device());
    fit.next(FittingPage::done);
    CHECK(sitting.bench->find("fitting.next")->is_enabled == false);

    // Kept: it is there after the device was without power.
    const auto names = sitting.desk().names.inputs;
    CHECK(names.back() == taught);
    sitting.pull_cable();
    sitting.wait_ms(1500);
    sitting.plug_cable();
    REQUIRE(sitting.wait_until([&] { return sitting.desk().device.state == LinkState::live; }, 20'000));
    sitting.wait_ms(500);
    CHECK(sitting.desk().is_on_device());
    CHECK(sitting.count_of<order::Try>() == 1);
}

TEST_CASE("fitting: without a device it waits at its page, and goes on when one is plugged in") {
    SittingWish wish;
    wish.has_device = false;
    Sitting sitting(wish);
    sitting.show(Screen::fitting);
    sitting.view_state().fitting.page = FittingPage::device;
    sitting.bench->settle();
    CHECK(sitting.bench->shows("Not yet. Plug it in"));
    CHECK_FALSE(sitting.bench->find("fitting.next")->is_enabled);
    sitting.plug_cable();
    REQUIRE(sitting.wait_until([&] { return !sitting.desk().device.found.empty(); }));
    sitting.wait_ms(100);
    if (sitting.desk().device.state != LinkState::live) {
        REQUIRE(sitting.bench->work("fitting.open.sim"));
        REQUIRE(sitting.wait_live());
    }
    sitting.wait_ms(100);
    CHECK(sitting.bench->find("fitting.next")->is_enabled);
}

TEST_CASE("fitting: back leads through every page again, and what was answered stays") {
    Fitting fit;
    fit.sitting.view_state().fitting.page = FittingPage::done;
    fit.sitting.view_state().fitting.hurts = true;
    fit.sitting.bench->settle();
    for (int page = static_cast<int>(FittingPage::done) - 1; page >= 0; --page) {
        fit.work("fitting.back");
        CHECK(static_cast<int>(fit.page()) == page);
    }
    CHECK(fit.sitting.bench->find("fitting.back")->is_enabled == false);
    fit.sitting.view_state().fitting.page = FittingPage::hurt;
    fit.sitting.bench->settle();
    CHECK(fit.sitting.bench->find("fitting.hurt.yes")->is_on);
    CHECK(fit.sitting.bench->shows("ask a licensed therapist"));
}

TEST_CASE("fitting: German at 300 %, no control of any page is wider than its panel, nor beside it") {
    SittingWish wish;
    wish.scale_percent = 300;
    wish.language = Language::german;
    Fitting fit(wish);
    for (int page = 0; page < k_fitting_pages; ++page) {
        CAPTURE(page);
        fit.sitting.view_state().fitting.page = static_cast<FittingPage>(page);
        fit.sitting.bench->settle();
        const ui::Panel* panel = fit.sitting.ui().registry().find_panel("content");
        REQUIRE(panel != nullptr);
        int count = 0;
        for (const ui::Control& control : fit.sitting.ui().registry().controls) {
            if (control.panel != "content") continue;
            CAPTURE(control.id);
            CHECK(control.rect.x >= panel->rect.x);
            CHECK(control.rect.right() <= panel->rect.right() + 0.5f);
            ++count;
        }
        CHECK(count >= 4);
    }
}

}  // namespace
}  // namespace fettle::app::test
