// Inputs: added, named, taught, removed; and the press rules that they go by.
#include "app/views/assign_marks.hpp"
#include "app/views/assign_words.hpp"
#include "app/words/action_words.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr int k_name_characters = 32;

struct RuleRow {
    const char* id;
    T label;
    const Field* field;
    int RuleSet::*value;
};
constexpr RuleRow k_rule_rows[] = {
    {"acceptance", T::assign_rule_acceptance, &field::k_acceptance_ms, &RuleSet::acceptance_ms},
    {"debounce", T::assign_rule_debounce, &field::k_debounce_ms, &RuleSet::debounce_ms},
    {"bridge", T::assign_rule_bridge, &field::k_bridge_ms, &RuleSet::bridge_ms},
    {"refractory", T::assign_rule_refractory, &field::k_refractory_ms, &RuleSet::refractory_ms},
    {"long", T::assign_rule_long, &field::k_long_ms, &RuleSet::long_ms},
    {"double", T::assign_rule_double, &field::k_double_ms, &RuleSet::double_ms},
    {"guard", T::assign_rule_guard, &field::k_guard_ms, &RuleSet::guard_ms},
    {"holdover", T::assign_rule_holdover, &field::k_holdover_ms, &RuleSet::holdover_ms},
    {"longest_hold", T::assign_rule_longest_hold, &field::k_longest_hold_ms, &RuleSet::longest_hold_ms}};

std::string source_in(const Assign& a, const InputSource& source) {
    if (std::holds_alternative<Untaught>(source)) return a.t(T::assign_source_untaught);
    if (const auto* line = std::get_if<Switch>(&source)) return a.ui.t(T::assign_source_switch, line->line);
    if (const auto* axis = std::get_if<Axis>(&source)) {
        const bool is_plus = axis->side == AxisSide::positive;
        if (axis->axis == AxisName::pressure)
            return a.t(is_plus ? T::assign_source_puff : T::assign_source_sip);
        return a.ui.t(T::assign_source_stick, static_cast<int>(axis->axis) + 1, is_plus ? "+" : "-");
    }
    const auto& remote = std::get<Infrared>(source);
    return a.ui.t(T::assign_source_remote, field::names::k_protocols[static_cast<int>(remote.protocol) - 1],
                  remote.address, remote.command);
}

void rules_part(Assign& a, const Input& input) {
    std::vector<std::string> names = names_in(a.profile().rule_sets);
    const auto chosen = a.ui.choice("assign.input.rules", a.t(T::assign_which_rules), names,
                                    index_of(a.profile().rule_sets, input.rules));
    if (chosen) a.edit(edit::SetInputRules{input.name, names[static_cast<std::size_t>(*chosen)]});
    const RuleSet* rules = find_named(a.profile().rule_sets, input.rules);
    if (rules == nullptr) return;
    a.ui.group("assign.rules", a.ui.t(T::assign_rules_named, rules->name));
    a.ui.heading(a.ui.t(T::assign_rules_named, rules->name));
    std::string others;
    for (const Input& one : a.profile().inputs)
        if (one.rules == rules->name && one.name != input.name)
            others += (others.empty() ? "" : ", ") + one.name;
    if (!others.empty()) a.ui.text(a.ui.t(T::assign_rules_shared, others));
    RuleSet next = *rules;
    if (a.ui.toggle("assign.rule.act_on_release", a.t(T::assign_rule_on_release), rules->act_on_release))
        next.act_on_release = !next.act_on_release;
    for (const RuleRow& row : k_rule_rows)
        if (const auto value = a.ui.number(std::string("assign.rule.") + row.id, a.t(row.label),
                                           rules->*row.value, range_of(a.ui, *row.field)))
            next.*row.value = static_cast<int>(*value);
    if (!(next == *rules)) a.edit(edit::PutRuleSet{next, {}});
    if (const auto name =
            a.ui.text_field("assign.rules.name", a.t(T::assign_rules_name), rules->name, k_name_characters);
        name && *name != rules->name)
        a.edit(edit::Rename{edit::Named::rule_set, rules->name, *name});
    const bool has_room = a.profile().rule_sets.size() < static_cast<std::size_t>(field::k_rule_sets.most);
    if (a.ui.button("assign.rules.own", a.t(T::assign_rules_own), ui::Look::plain,
                    has_room && !others.empty())) {
        RuleSet own = *rules;
        own.name = free_name(a.profile().rule_sets, "rules");
        if (a.edit(edit::PutRuleSet{own, {}})) a.edit(edit::SetInputRules{input.name, own.name});
    }
    a.ui.end_group();
}

}  // namespace

void inputs_page(Assign& a) {
    a.head(a.t(T::assign_inputs));
    a.complaint();
    a.ui.group("assign.inputs", a.t(T::assign_inputs));
    for (const Input& input : a.profile().inputs) {
        const auto which = [&](const Finding& f) { return concerns_input(a.profile(), f, input.name); };
        const std::string count = count_words(a, which);
        const std::string label = a.ui.t(T::assign_jump_input, input.name);
        if (a.ui.button("assign.input/" + input.name, count.empty() ? label : label + " (" + count + ")")) {
            AssignPlace to;
            to.page = AssignPage::input;
            to.input = input.name;
            a.go(to);
        }
    }
    if (const auto name =
            a.ui.text_field("assign.input_new", a.t(T::assign_input_new), "", k_name_characters);
        name && !a.profile().rule_sets.empty())
        a.edit(edit::AddInput{Input{*name, a.profile().rule_sets[0].name, Untaught{}}});
    a.ui.end_group();
}

void input_page(Assign& a) {
    const std::string name = a.at().input;
    const Input& input = *find_named(a.profile().inputs, name);
    a.head(a.ui.t(T::assign_input_named, name));
    a.complaint();
    a.ui.group("assign.input", a.ui.t(T::assign_input_named, name));
    if (const auto to = a.ui.text_field("assign.input.name", a.t(T::assign_name), name, k_name_characters);
        to && *to != name && a.edit(edit::Rename{edit::Named::input, name, *to}))
        a.state.at.input = *to;
    a.ui.fact("assign.input.source", a.t(T::assign_source), source_in(a, input.source));
    a.ui.row();
    if (a.ui.button("assign.input.teach", a.t(T::assign_teach))) {
        a.asked.emplace_back(order::Show{Screen::teach});
        a.asked.emplace_back(order::TeachBegin{name, false});
    }
    const std::vector<std::string> question = {a.ui.t(T::assign_input_remove_ask, name),
                                               a.t(T::assign_input_remove_also)};
    if (a.ui.asking_button("assign.input.remove", a.t(T::assign_remove), question, a.t(T::assign_remove)) &&
        a.edit(edit::RemoveInput{name}))
        a.back();
    a.ui.end_row();
    findings_part(a, [&](const Finding& f) { return concerns_input(a.profile(), f, name); });
    a.ui.end_group();
    rules_part(a, input);
}

}  // namespace fettle::app
