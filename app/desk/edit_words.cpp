#include "app/desk/edit_words.hpp"

#include <algorithm>

#include "app/words/action_words.hpp"
#include "core/profile/diff.hpp"

namespace fettle::app {

using profile::GestureName;

namespace {

/// "acceptance" of "acceptance_ms": the unit stands behind the value.
std::string key_as_words(const profile::Change& change) {
    std::string key = change.field != nullptr ? change.field->key : "";
    if (key.empty()) key = change.path.substr(change.path.rfind('/') + 1);
    for (const char* unit : {"_ms", "_counts_per_s", "_counts", "_permille", "_events", "_s"})
        if (key.ends_with(unit)) {
            key.resize(key.size() - std::string(unit).size());
            break;
        }
    std::replace(key.begin(), key.end(), '_', ' ');
    return key;
}

std::string value_words(const std::string& value, const profile::Change& change) {
    const std::string unit = change.field != nullptr ? change.field->unit : "";
    return unit.empty() ? value : value + " " + unit;
}

struct EditWords {
    const edit::Edit& whole;
    const profile::Profile& before;
    Language language;

    template <typename... Values>
    std::string say(T text, const Values&... values) const {
        return text_in(language, text, values...);
    }
    /// What changed of a record: one value with the old one, or how many.
    std::string record(const std::string& name, const std::string& variant, bool is_new) const {
        const std::string who = variant.empty() ? name : say(T::edit_in_variant, name, variant);
        if (is_new) return say(T::edit_add, who);
        const auto after = edit::apply(before, whole);
        if (!after) return who;
        const auto changes = profile::diff(before, *after);
        if (changes.size() != 1) return say(T::edit_values, who, changes.size());
        const profile::Change& one = changes.front();
        return say(T::edit_value, who, key_as_words(one), value_words(one.after, one),
                   value_words(one.before, one));
    }
    template <typename R>
    bool is_new(const std::vector<R>& all, const std::string& name) const {
        return profile::find_named(all, name) == nullptr;
    }

    std::string operator()(const edit::SetAction& e) const {
        std::string input = e.input;
        if (e.gesture == GestureName::long_press) input = say(T::edit_long, e.input);
        if (e.gesture == GestureName::double_press) input = say(T::edit_double, e.input);
        if (!e.action) return say(T::edit_clear_action, input, e.mode);
        return say(T::edit_set_action, input, e.mode, action_words(*e.action, before, language));
    }
    std::string operator()(const edit::AddInput& e) const { return say(T::edit_add, e.input.name); }
    std::string operator()(const edit::RemoveInput& e) const { return say(T::edit_remove, e.input); }
    std::string operator()(const edit::SetSource& e) const {
        return say(T::edit_set_source, e.input, source_words(e.source, language));
    }
    std::string operator()(const edit::SetInputRules& e) const {
        return say(T::edit_set_rules, e.input, e.rules);
    }
    std::string operator()(const edit::Rename& e) const { return say(T::edit_rename, e.from, e.to); }
    std::string operator()(const edit::AddMode& e) const { return say(T::edit_add, e.mode.name); }
    std::string operator()(const edit::RemoveMode& e) const { return say(T::edit_remove, e.mode); }
    std::string operator()(const edit::SetModeLabel& e) const { return say(T::edit_label, e.mode, e.label); }
    std::string operator()(const edit::PutRuleSet& e) const {
        return record(e.rules.name, e.variant, e.variant.empty() && is_new(before.rule_sets, e.rules.name));
    }
    std::string operator()(const edit::PutMotion& e) const {
        return record(e.motion.name, e.variant, e.variant.empty() && is_new(before.motions, e.motion.name));
    }
    std::string operator()(const edit::PutRepeat& e) const {
        return record(e.repeat.name, "", is_new(before.repeats, e.repeat.name));
    }
    std::string operator()(const edit::PutText& e) const {
        if (is_new(before.texts, e.text.name)) return say(T::edit_add, e.text.name);
        return say(T::edit_text, e.text.name);
    }
    std::string operator()(const edit::RemoveNamed& e) const {
        return say(T::edit_remove, e.variant.empty() ? e.name : say(T::edit_in_variant, e.name, e.variant));
    }
    std::string operator()(const edit::AddVariant& e) const { return say(T::edit_add, e.variant.name); }
    std::string operator()(const edit::SetVariantLabel& e) const {
        return say(T::edit_label, e.variant, e.label);
    }
    std::string operator()(const edit::SetLayout& e) const {
        const std::string& variant = e.layout.variant;
        return say(T::edit_layout, variant.empty() ? e.layout.layout : e.layout.layout + " " + variant);
    }
    std::string operator()(const edit::SetPace&) const { return record(say(T::edit_pace), "", false); }
    std::string operator()(const edit::SetGrid&) const { return say(T::edit_grid); }
    std::string operator()(const edit::Replace& e) const { return say(T::edit_replace, e.profile.name); }
};

}  // namespace

std::string edit_words(const edit::Edit& edit, const profile::Profile& before, Language language) {
    return std::visit(EditWords{edit, before, language}, edit);
}

}  // namespace fettle::app
