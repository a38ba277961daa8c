// From a finding's JSON pointer to what stands on the screen.
#include <algorithm>
#include <charconv>

#include "app/views/assign_findings.hpp"
#include "app/views/assign_parts.hpp"

namespace fettle::app {

using namespace profile;

namespace {

std::vector<std::string> steps_of(const std::string& pointer) {
    std::vector<std::string> steps;
    for (std::size_t at = 0; at < pointer.size();) {
        const std::size_t end = std::min(pointer.find('/', at + 1), pointer.size());
        steps.push_back(pointer.substr(at + 1, end - at - 1));
        at = end;
    }
    return steps;
}

/// The record that step number i counts, nullptr: none.
template <typename R>
const R* record_at(const std::vector<R>& all, const std::vector<std::string>& steps, std::size_t i) {
    std::size_t index = all.size();
    if (i < steps.size()) std::from_chars(steps[i].data(), steps[i].data() + steps[i].size(), index);
    return index < all.size() ? &all[index] : nullptr;
}

int number_at(const std::vector<std::string>& steps, std::size_t i) {
    int number = 0;
    if (i < steps.size()) std::from_chars(steps[i].data(), steps[i].data() + steps[i].size(), number);
    return number;
}

FindingPlace named(Spot spot, const auto* record, const std::string& owner = {}) {
    if (record == nullptr) return {};
    FindingPlace place;
    place.spot = spot;
    place.name = record->name;
    place.owner = owner;
    return place;
}

FindingPlace in_mode(const Profile& profile, const std::vector<std::string>& steps) {
    const Mode* mode = record_at(profile.modes, steps, 1);
    if (mode == nullptr || steps.size() < 4) return named(Spot::mode, mode);
    const Assignment* one = record_at(mode->assignments, steps, 3);
    if (one == nullptr) return named(Spot::mode, mode);
    FindingPlace place;
    place.spot = Spot::cell;
    place.name = one->input;
    place.mode = mode->name;
    if (steps.size() > 4)
        place.gesture = steps[4] == "long"     ? GestureName::long_press
                        : steps[4] == "double" ? GestureName::double_press
                                               : GestureName::short_press;
    return place;
}

FindingPlace in_variant(const Profile& profile, const std::vector<std::string>& steps) {
    const Variant* variant = record_at(profile.variants, steps, 1);
    if (variant == nullptr || steps.size() < 4) return named(Spot::variant, variant);
    return steps[2] == "motions" ? named(Spot::motion, record_at(variant->motions, steps, 3), variant->name)
                                 : named(Spot::rules, record_at(variant->rule_sets, steps, 3), variant->name);
}

bool any_gesture(const Assignment* one, auto&& is_so) {
    if (one == nullptr) return false;
    for (const auto* action : {&one->short_press, &one->long_press, &one->double_press})
        if (*action && is_so(**action)) return true;
    return false;
}

}  // namespace

FindingPlace place_of(const Profile& profile, const Finding& finding) {
    const auto steps = steps_of(finding.where);
    if (steps.empty()) return {};
    if (steps[0] == "modes") return in_mode(profile, steps);
    if (steps[0] == "inputs") return named(Spot::input, record_at(profile.inputs, steps, 1));
    if (steps[0] == "texts") return named(Spot::text, record_at(profile.texts, steps, 1));
    if (steps[0] == "rule_sets") return named(Spot::rules, record_at(profile.rule_sets, steps, 1));
    if (steps[0] == "motions") return named(Spot::motion, record_at(profile.motions, steps, 1));
    if (steps[0] == "variants") return in_variant(profile, steps);
    FindingPlace place;
    if (steps[0] == "keyboard_layout") place.spot = Spot::layout;
    if (steps[0] == "grid") {
        place.spot = Spot::grid_cell;
        place.row = number_at(steps, 2);
        place.column = number_at(steps, 3);
    }
    return place;
}

bool concerns_cell(const Profile& profile, const Finding& finding, const std::string& mode,
                   const std::string& input) {
    const FindingPlace place = place_of(profile, finding);
    const Assignment* one = assignment_of(profile, mode, input);
    const auto is_grid = [](const Action& a) {
        return std::holds_alternative<GridMove>(a) || std::holds_alternative<GridPick>(a);
    };
    switch (place.spot) {
        case Spot::cell: return place.mode == mode && place.name == input;
        case Spot::motion:
            return any_gesture(one, [&](const Action& a) {
                const auto* move = std::get_if<Move>(&a);
                return move != nullptr && move->motion == place.name;
            });
        case Spot::text:
            return any_gesture(one, [&](const Action& a) {
                const auto* typed = std::get_if<TypeText>(&a);
                return typed != nullptr && typed->text == place.name;
            });
        case Spot::grid_cell: return any_gesture(one, is_grid);
        case Spot::layout:
            return any_gesture(
                one, [&](const Action& a) { return is_grid(a) || std::holds_alternative<TypeText>(a); });
        case Spot::variant:
            return any_gesture(one, [&](const Action& a) {
                const auto* change = std::get_if<VariantChange>(&a);
                return change != nullptr &&
                       (change->style == VariantStyle::next || change->variant == place.name);
            });
        case Spot::whole:
        case Spot::mode:
        case Spot::input:
        case Spot::rules: break;
    }
    return false;
}

bool concerns_input(const Profile& profile, const Finding& finding, const std::string& input) {
    const FindingPlace place = place_of(profile, finding);
    if (finding.kind == FindingKind::same_source_twice)
        return std::find(finding.subjects.begin(), finding.subjects.end(), input) != finding.subjects.end();
    if (place.spot == Spot::input) return place.name == input;
    const Input* found = find_named(profile.inputs, input);
    return place.spot == Spot::rules && found != nullptr && found->rules == place.name;
}

bool concerns_mode(const Profile& profile, const Finding& finding, const std::string& mode) {
    const FindingPlace place = place_of(profile, finding);
    if (place.spot == Spot::mode) return place.name == mode;
    return place.spot == Spot::whole && !profile.modes.empty() && profile.modes[0].name == mode;
}

bool is_same(const Finding& a, const Finding& b) {
    return a.kind == b.kind && a.where == b.where;
}

}  // namespace fettle::app
