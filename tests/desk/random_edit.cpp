#include "tests/desk/random_edit.hpp"

namespace fettle::app::test {

using namespace profile;

namespace {

bool often() {
    return draw(0, 9) != 0;
}

template <typename T>
std::string name_in(const std::vector<T>& all) {
    if (all.empty() || !often()) return "none";
    return all[static_cast<std::size_t>(draw(0, static_cast<std::int64_t>(all.size()) - 1))].name;
}

std::string new_name() {
    return "n" + std::to_string(draw(0, 20));
}

template <typename T>
T filled(const Profile& now, std::string name) {
    T record;
    Drawer(now).fill(record);
    record.name = std::move(name);
    return record;
}

Text text_named(std::string name) {
    return Text{std::move(name), {TextPart{std::string("a") + std::to_string(draw(0, 9))}}};
}

edit::Named kind() {
    return static_cast<edit::Named>(draw(0, 6));
}

std::string name_of_kind(const Profile& now, edit::Named what) {
    switch (what) {
        case edit::Named::input: return name_in(now.inputs);
        case edit::Named::mode: return name_in(now.modes);
        case edit::Named::rule_set: return name_in(now.rule_sets);
        case edit::Named::motion: return name_in(now.motions);
        case edit::Named::repeat: return name_in(now.repeats);
        case edit::Named::text: return name_in(now.texts);
        case edit::Named::variant: return name_in(now.variants);
    }
    return {};
}

std::optional<Action> action(const Profile& now) {
    Assignment one;
    Drawer(now).fill(one);
    return one.short_press;
}

InputSource source(const Profile& now) {
    Input one;
    Drawer(now).fill(one);
    return one.source;
}

std::string variant_or_none(const Profile& now) {
    return draw(0, 2) == 0 ? name_in(now.variants) : "";
}

}  // namespace

edit::Edit random_edit(const Profile& now) {
    switch (draw(0, 18)) {
        case 0: return edit::AddInput{{new_name(), name_in(now.rule_sets), source(now)}};
        case 1: return edit::RemoveInput{name_in(now.inputs)};
        case 2: return edit::SetSource{name_in(now.inputs), source(now)};
        case 3: return edit::SetInputRules{name_in(now.inputs), name_in(now.rule_sets)};
        case 4: {
            const edit::Named what = kind();
            return edit::Rename{what, name_of_kind(now, what), new_name()};
        }
        case 5: return edit::AddMode{{new_name(), "", {}}};
        case 6: return edit::RemoveMode{name_in(now.modes)};
        case 7: return edit::SetModeLabel{name_in(now.modes), new_name()};
        case 8: return edit::PutRuleSet{filled<RuleSet>(now, name_in(now.rule_sets)), variant_or_none(now)};
        case 9: return edit::PutMotion{filled<Motion>(now, name_in(now.motions)), variant_or_none(now)};
        case 10: return edit::PutRepeat{filled<Repeat>(now, new_name())};
        case 11: return edit::PutText{text_named(new_name())};
        case 12: {
            const edit::Named what = kind();
            return edit::RemoveNamed{what, name_of_kind(now, what), variant_or_none(now)};
        }
        case 13: return edit::SetLayout{{draw(0, 1) == 0 ? "us" : "de", ""}};
        case 14: return edit::SetPace{{static_cast<int>(draw(0, 600)), 50, 60}};
        case 15: return edit::SetGrid{{{{Cell{"x"}, Cell{}}}}};
        case 16: return edit::AddVariant{{new_name(), "", {}, {}}};
        case 17: return edit::SetVariantLabel{name_in(now.variants), new_name()};
        default: break;
    }
    const auto gesture = static_cast<GestureName>(draw(0, 2));
    return edit::SetAction{name_in(now.modes), name_in(now.inputs), gesture, action(now)};
}

}  // namespace fettle::app::test
