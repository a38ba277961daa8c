// Press times and gaps: how long the hands were down and up, each rule's time as a line on it that can be
// moved, and what the device would have made of these presses with the lines where they are now.
#include <array>
#include <utility>

#include "app/views/presses_parts.hpp"
#include "app/views/presses_times_data.hpp"
#include "app/words/plain_text.hpp"
#include "core/profile/field_table.hpp"
#include "core/profile/workable.hpp"

namespace fettle::app {

namespace {

using measure::WhatIf;
using ui::Look;
using ui::NoteKind;
using ui::Ui;

constexpr double k_us_a_minute = 60e6;

struct RuleRow {
    TimesRule rule;
    TimesPicture picture;
    const char* id;
    T shown;  ///< at the line
    T words;  ///< of the control
    const profile::Field* field;
};
constexpr std::array<RuleRow, k_times_rules> k_rules{
    {{TimesRule::acceptance, TimesPicture::held, "acceptance", T::times_acceptance, T::assign_rule_acceptance,
      &profile::field::k_acceptance_ms},
     {TimesRule::long_press, TimesPicture::held, "long", T::times_long, T::assign_rule_long,
      &profile::field::k_long_ms},
     {TimesRule::debounce, TimesPicture::gaps, "debounce", T::times_debounce, T::assign_rule_debounce,
      &profile::field::k_debounce_ms},
     {TimesRule::bridge, TimesPicture::gaps, "bridge", T::times_bridge, T::assign_rule_bridge,
      &profile::field::k_bridge_ms},
     {TimesRule::double_press, TimesPicture::gaps, "double", T::times_double, T::assign_rule_double,
      &profile::field::k_double_ms},
     {TimesRule::refractory, TimesPicture::apart, "refractory", T::times_refractory,
      T::assign_rule_refractory, &profile::field::k_refractory_ms}}};

constexpr std::array<std::pair<const char*, T>, k_times_pictures> k_pictures{
    {{"times.held", T::times_held}, {"times.gaps", T::times_gaps}, {"times.apart", T::times_apart}}};

struct CountRow {
    const char* id;
    T words;
    std::uint32_t WhatIf::*count;
};
constexpr std::array<CountRow, 10> k_counts{
    {{"times.count.accepted", T::times_accepted, &WhatIf::accepted},
     {"times.count.joined", T::times_joined, &WhatIf::bridged},
     {"times.count.too_short", T::times_too_short, &WhatIf::too_short},
     {"times.count.bounced", T::times_bounced, &WhatIf::bounced},
     {"times.count.refractory", T::times_in_refractory, &WhatIf::refractory},
     {"times.count.guarded", T::times_guarded, &WhatIf::guarded},
     {"times.count.short", T::times_shorts, &WhatIf::short_presses},
     {"times.count.long", T::times_longs, &WhatIf::long_presses},
     {"times.count.double", T::times_doubles, &WhatIf::double_presses},
     {"times.count.limit", T::times_limits, &WhatIf::hold_limits}}};

ui::NumberRange range_of(const profile::Field& field) {
    return {field.least, field.most, field.step, field.unit, field.zero_is_off};
}

void move(TimesState& state, TimesRule rule, std::int64_t to_ms, const profile::RuleSet& rules) {
    profile::RuleSet now = rules;
    auto& moved = state.moved[static_cast<std::size_t>(rule)];
    moved = static_cast<int>(to_ms);
    if (*moved == value_of(now, rule)) moved.reset();
}

void choose_input(Ui& ui, const Desk& desk, TimesState& state, const std::vector<std::uint8_t>& inputs) {
    std::vector<std::string> names;
    int chosen = -1;
    for (const std::uint8_t input : inputs) {
        if (state.input == input) chosen = static_cast<int>(names.size());
        names.push_back(plain_text(desk.shown_names().input(input)));
    }
    if (chosen < 0) {
        chosen = 0;
        state.input = inputs.front();
    }
    if (auto next = ui.choice("times.input", ui.t(T::times_input), names, chosen)) {
        state.input = inputs[static_cast<std::size_t>(*next)];
        state.moved = {};
    }
}

/// How much stands behind the figures, and what they cannot say.
void behind(Ui& ui, const TimesState& state, const TimesInput& of) {
    const TimesGathered& all = state.gathered;
    ui.live("times.behind", 3,
            ui.t(T::times_behind, all.held_ms.count, all.gap_ms.count, all.cut, all.held_ms.median,
                 all.gap_ms.median));
    if (all.from_us > -trace::k_farthest_us)
        ui.note(NoteKind::hint,
                ui.t(T::times_last, static_cast<double>(all.seen.last_us - all.from_us) / k_us_a_minute));
    if (of.by_number) ui.note(NoteKind::warning, ui.t(T::times_by_number));
    if (of.input == nullptr) return ui.note(NoteKind::warning, ui.t(T::times_not_in_profile));
    if (of.rules == nullptr) return;
    const auto* remote = std::get_if<profile::Infrared>(&of.input->source);
    if (remote != nullptr)
        ui.note(NoteKind::hint,
                ui.t(T::times_remote, profile::remote_period_ms(remote->protocol), of.rules->holdover_ms));
}

std::vector<RuleLine> lines_of(const Ui& ui, const profile::RuleSet& rules, TimesPicture picture) {
    std::vector<RuleLine> lines;
    profile::RuleSet now = rules;
    for (const RuleRow& row : k_rules)
        if (row.picture == picture)
            lines.push_back({value_of(now, row.rule), row.field->least, row.field->most, ui.t(row.shown)});
    return lines;
}

TimesRule rule_at(TimesPicture picture, std::size_t line) {
    for (const RuleRow& row : k_rules)
        if (row.picture == picture && line-- == 0) return row.rule;
    return TimesRule::acceptance;
}

void pictures(Ui& ui, TimesState& state) {
    ui.group("times.pictures", ui.t(T::times_pictures));
    ui.row();
    for (std::size_t i = 0; i < k_times_pictures; ++i) {
        const auto picture = static_cast<TimesPicture>(i);
        if (ui.option(std::string(k_pictures[i].first) + ".show", ui.t(k_pictures[i].second),
                      state.picture == picture))
            state.picture = picture;
    }
    ui.end_row();
    ui.end_group();
}

void picture(Ui& ui, TimesState& state, const profile::RuleSet* rules) {
    const auto i = static_cast<std::size_t>(state.picture);
    const auto& [id, words] = k_pictures[i];
    std::vector<RuleLine> lines;
    if (rules != nullptr) lines = lines_of(ui, moved_rules(*rules, state), state.picture);
    ui.group("times.lines", ui.t(words));
    ui.quiet(ui.t(T::times_help));
    const auto moved =
        histogram_canvas(ui, id, ui.t(words), state.gathered.histograms[i], lines, state.hands[i]);
    if (moved && rules != nullptr) move(state, rule_at(state.picture, moved->line), moved->to_ms, *rules);
    ui.live("times.told", 2, histogram_words(ui, state.gathered.histograms[i], lines, state.hands[i]));
    for (const RuleRow& row : k_rules) {
        if (rules == nullptr || row.picture != state.picture) continue;
        profile::RuleSet shown = moved_rules(*rules, state);
        if (auto to = ui.number(std::string("times.set.") + row.id, ui.t(row.words),
                                value_of(shown, row.rule), range_of(*row.field)))
            move(state, row.rule, *to, *rules);
    }
    ui.end_group();
}

/// Which other inputs, and which variants' own rules, stand beside these.
void sharing(Ui& ui, const profile::Profile& profile, const TimesInput& of) {
    std::string others, variants;
    for (const profile::Input& one : profile.inputs)
        if (one.rules == of.rules->name && one.name != of.input->name)
            others += (others.empty() ? "" : ", ") + plain_text(one.name);
    for (const profile::Variant& one : profile.variants)
        if (profile::find_named(one.rule_sets, of.rules->name) != nullptr)
            variants += (variants.empty() ? "" : ", ") + plain_text(one.name);
    if (!others.empty()) ui.note(NoteKind::hint, ui.t(T::assign_rules_shared, others));
    if (!variants.empty()) ui.note(NoteKind::hint, ui.t(T::times_variants, variants));
}

void counts(Ui& ui, const Desk& desk, TimesState& state, const TimesInput& of, const Orders& orders) {
    const profile::RuleSet moved = moved_rules(*of.rules, state);
    const bool is_moved = moved != *of.rules;
    const WhatIf now = count(state.now, state.gathered, *of.rules, of.has);
    const WhatIf there = count(state.there, state.gathered, moved, of.has);
    ui.heading(ui.t(T::times_would));
    for (const CountRow& row : k_counts)
        ui.fact(row.id, ui.t(row.words), ui.t(T::times_now_there, now.*row.count, there.*row.count));
    ui.group("times.answer", ui.t(T::times_would));
    sharing(ui, desk.editing.profile, of);
    ui.row();
    if (ui.button("times.take", ui.t(T::times_take, plain_text(of.rules->name)), Look::strong, is_moved)) {
        orders(edit::Edit{edit::PutRuleSet{moved, ""}});
        state.moved = {};
    }
    if (ui.button("times.reset", ui.t(T::times_reset), Look::plain, is_moved)) state.moved = {};
    ui.end_row();
    ui.quiet(ui.t(T::times_limits_of_it));
    ui.end_group();
}

}  // namespace

void times_part(Ui& ui, const Desk& desk, TimesState& state, const Orders& orders) {
    const auto inputs = times_inputs(desk);
    if (inputs.empty()) return ui.text(ui.t(T::times_nothing));
    ui.group("times.which", ui.t(T::times_input));
    choose_input(ui, desk, state, inputs);
    ui.end_group();
    gather(state, desk, *state.input, ui.now_ms());
    const TimesInput of = times_input(desk, *state.input);
    const std::string rules = of.rules == nullptr ? std::string() : of.rules->name;
    if (state.rules != rules) {
        state.rules = rules;
        state.moved = {};
    }
    behind(ui, state, of);
    pictures(ui, state);
    ui.column(0, 2);
    picture(ui, state, of.rules);
    ui.column(1, 2);
    if (of.rules != nullptr) counts(ui, desk, state, of, orders);
    ui.end_columns();
}

}  // namespace fettle::app
