#include "app/views/fitting_pages.hpp"

#include <algorithm>
#include <array>
#include <utility>

#include "app/words/action_words.hpp"
#include "app/words/plain_text.hpp"

namespace fettle::app {

namespace {

using profile::Action;
using profile::Direction;
using profile::Profile;
using ui::Ui;

/// What an input may do at first: few things, each a whole sentence.
struct Offer {
    std::string id;
    T words;
    std::optional<Action> action;
};

std::vector<Offer> offers(const Profile& profile) {
    std::vector<Offer> all;
    if (!profile.motions.empty()) {
        const std::string& motion = profile.motions.front().name;
        all.push_back({"up", T::fitting_up, profile::Move{Direction::up, motion}});
        all.push_back({"down", T::fitting_down, profile::Move{Direction::down, motion}});
        all.push_back({"left", T::fitting_left, profile::Move{Direction::left, motion}});
        all.push_back({"right", T::fitting_right, profile::Move{Direction::right, motion}});
    }
    all.push_back({"click", T::fitting_click, profile::Button{1, profile::ButtonStyle::held}});
    all.push_back({"menu", T::fitting_menu, profile::Button{2, profile::ButtonStyle::held}});
    all.push_back({"roll_up", T::fitting_roll_up, profile::Scroll{Direction::up, 1, ""}});
    all.push_back({"roll_down", T::fitting_roll_down, profile::Scroll{Direction::down, 1, ""}});
    if (profile.modes.size() > 1)
        all.push_back({"mode", T::fitting_mode, profile::ModeChange{profile::ModeStyle::next, ""}});
    all.push_back({"release", T::fitting_release, profile::ReleaseAll{}});
    all.push_back({"nothing", T::fitting_nothing, std::nullopt});
    return all;
}

std::optional<Action> assigned(const Profile& profile, const std::string& input) {
    for (const profile::Assignment& one : profile.modes.front().assignments)
        if (one.input == input) return one.short_press;
    return std::nullopt;
}

/// The motion by which the pointer moves in the first mode; else the first one.
const profile::Motion* first_motion(const Profile& profile) {
    for (const profile::Assignment& one : profile.modes.front().assignments)
        if (one.short_press)
            if (const auto* move = std::get_if<profile::Move>(&*one.short_press))
                if (const auto* motion = profile::find_named(profile.motions, move->motion)) return motion;
    return profile.motions.empty() ? nullptr : &profile.motions.front();
}

struct Pace3 {
    const char* id;
    T words;
    int first_step, delay_ms, ramp_ms, start, top;
};
/// Own choices, to begin with: the Motion screen shows what each comes to.
constexpr std::array<Pace3, 3> k_paces{{{"slow", T::fitting_slow, 1, 500, 2500, 20, 250},
                                        {"middle", T::fitting_middle, 2, 350, 1500, 40, 600},
                                        {"quick", T::fitting_quick, 4, 250, 900, 80, 1200}}};

profile::Travel travel_of(const Pace3& pace) {
    profile::Travel travel;
    travel.first_step_counts = pace.first_step;
    travel.delay_ms = pace.delay_ms;
    travel.ramp_ms = pace.ramp_ms;
    travel.speed = profile::SpeedShape{pace.start, pace.top, 1000};
    return travel;
}

}  // namespace

void fitting_assign(Ui& ui, const Desk& desk, FittingState& state, const Orders& orders) {
    const Profile& profile = desk.editing.profile;
    if (profile.modes.empty() || profile.inputs.empty()) return ui.text(ui.t(T::fitting_no_inputs));
    if (profile::find_named(profile.inputs, state.input) == nullptr)
        state.input = profile.inputs.front().name;
    ui.large("fitting.question", ui.t(T::fitting_assign));
    ui.text(ui.t(T::fitting_assign_help, plain_text(profile.modes.front().name)));
    ui.group("fitting.inputs", ui.t(T::fitting_which));
    ui.row();
    for (const profile::Input& input : profile.inputs) {
        const auto action = assigned(profile, input.name);
        const std::string does = action ? action_words(*action, profile, ui.options().language)
                                        : std::string(ui.t(T::fitting_nothing));
        if (ui.option("fitting.input." + input.name, plain_text(input.name + ": " + does),
                      state.input == input.name))
            state.input = input.name;
    }
    ui.end_row();
    ui.end_group();
    ui.heading(ui.t(T::fitting_does, plain_text(state.input)));
    ui.group("fitting.offers", ui.t(T::fitting_does, plain_text(state.input)));
    ui.row();
    const auto now = assigned(profile, state.input);
    for (const Offer& offer : offers(profile))
        if (ui.option("fitting.offer." + offer.id, ui.t(offer.words), now == offer.action) &&
            now != offer.action)
            orders(edit::Edit{edit::SetAction{profile.modes.front().name, state.input,
                                              profile::GestureName::short_press, offer.action}});
    ui.end_row();
    ui.end_group();
}

void fitting_motion(Ui& ui, const Desk& desk, FittingState& state, const Orders& orders) {
    const profile::Motion* found =
        desk.editing.profile.modes.empty() ? nullptr : first_motion(desk.editing.profile);
    if (found == nullptr) return ui.text(ui.t(T::fitting_no_motion));
    const profile::Motion motion = *found;  // an order changes the profile at once
    ui.large("fitting.question", ui.t(T::fitting_motion));
    ui.text(ui.t(T::fitting_motion_help));
    ui.group("fitting.paces", ui.t(T::fitting_motion));
    ui.row();
    for (const Pace3& pace : k_paces) {
        const profile::Motion offered{motion.name, travel_of(pace)};
        if (ui.option(std::string("fitting.pace.") + pace.id, ui.t(pace.words), motion == offered) &&
            motion != offered)
            orders(edit::Edit{edit::PutMotion{offered, ""}});
    }
    ui.end_row();
    ui.end_group();
    if (ui.button("fitting.to_motion", ui.t(T::fitting_more_motion))) orders(order::Show{Screen::motion});
    hands(ui, "fitting.hand", desk, state.hands, orders);
}

void fitting_presses(Ui& ui, const Desk& desk, const Orders& orders) {
    ui.large("fitting.question", ui.t(T::fitting_presses));
    ui.text(ui.t(T::fitting_presses_help));
    // Own choices, to begin with: the Presses screen shows what each would have done.
    constexpr std::array<std::pair<int, T>, 3> k_choices{
        {{0, T::fitting_never}, {60, T::fitting_sometimes}, {150, T::fitting_often}}};
    const auto all = desk.editing.profile.rule_sets;  // an order changes the profile at once
    for (const profile::RuleSet& rules : all) {
        ui.group("fitting.rules." + rules.name, plain_text(rules.name));
        ui.quiet(ui.t(T::fitting_rules, plain_text(rules.name), rules.acceptance_ms));
        ui.row();
        for (const auto& [acceptance_ms, words] : k_choices) {
            const bool is_chosen = rules.acceptance_ms == acceptance_ms;
            if (ui.option("fitting.accept." + rules.name + "." + std::to_string(acceptance_ms),
                          ui.t(words, acceptance_ms), is_chosen) &&
                !is_chosen) {
                profile::RuleSet changed = rules;
                changed.acceptance_ms = acceptance_ms;
                orders(edit::Edit{edit::PutRuleSet{changed, ""}});
            }
        }
        ui.end_row();
        ui.end_group();
    }
}

}  // namespace fettle::app
