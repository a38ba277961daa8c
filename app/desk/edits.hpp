#pragma once
// Every change that a person can make to a profile, as a value: undo, the history and the headless tests are
// lists of these. Applying one is a pure function. Thread: any.

#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "core/base/result.hpp"
#include "core/profile/model.hpp"
#include "core/profile/workable.hpp"

namespace fettle::app::edit {

/// What an input does by one gesture in one mode; nothing: it does nothing.
struct SetAction {
    std::string mode, input;
    profile::GestureName gesture = profile::GestureName::short_press;
    std::optional<profile::Action> action;
    bool operator==(const SetAction&) const = default;
};
struct AddInput {
    profile::Input input;
    bool operator==(const AddInput&) const = default;
};
/// What was assigned to it goes with it.
struct RemoveInput {
    std::string input;
    bool operator==(const RemoveInput&) const = default;
};
struct SetSource {
    std::string input;
    profile::InputSource source;
    bool operator==(const SetSource&) const = default;
};
/// By which press rules an input is judged.
struct SetInputRules {
    std::string input, rules;
    bool operator==(const SetInputRules&) const = default;
};
/// A new name for something; everything that refers to it follows.
enum class Named : std::uint8_t { input, mode, rule_set, motion, repeat, text, variant };
struct Rename {
    Named what = Named::input;
    std::string from, to;
    bool operator==(const Rename&) const = default;
};
struct AddMode {
    profile::Mode mode;
    bool operator==(const AddMode&) const = default;
};
/// Actions that led there go with it. The last mode is refused.
struct RemoveMode {
    std::string mode;
    bool operator==(const RemoveMode&) const = default;
};
struct SetModeLabel {
    std::string mode, label;
    bool operator==(const SetModeLabel&) const = default;
};
/// Replaces the record of that name, or adds it. variant: "" the profile as it stands.
struct PutRuleSet {
    profile::RuleSet rules;
    std::string variant;
    bool operator==(const PutRuleSet&) const = default;
};
struct PutMotion {
    profile::Motion motion;
    std::string variant;
    bool operator==(const PutMotion&) const = default;
};
struct PutRepeat {
    profile::Repeat repeat;
    bool operator==(const PutRepeat&) const = default;
};
struct PutText {
    profile::Text text;
    bool operator==(const PutText&) const = default;
};
/// A variant without any stand-in, or with those that it is given.
struct AddVariant {
    profile::Variant variant;
    bool operator==(const AddVariant&) const = default;
};
struct SetVariantLabel {
    std::string variant, label;
    bool operator==(const SetVariantLabel&) const = default;
};
/// Of rule sets, motions, repeats, texts, variants: refused while an input or an action refers to it, and for
/// the last rule set; what variants have in its place goes with it. Of inputs and modes: as RemoveInput,
/// RemoveMode. variant: of rule sets and motions, only what that variant has in its place.
struct RemoveNamed {
    Named what = Named::text;
    std::string name;
    std::string variant = {};
    bool operator==(const RemoveNamed&) const = default;
};
struct SetLayout {
    profile::KeyboardLayout layout;
    bool operator==(const SetLayout&) const = default;
};
struct SetPace {
    profile::Pace pace;
    bool operator==(const SetPace&) const = default;
};
struct SetGrid {
    profile::Grid grid;
    bool operator==(const SetGrid&) const = default;
};
/// The whole profile at once: an earlier revision, an import, what the device runs.
struct Replace {
    profile::Profile profile;
    bool operator==(const Replace&) const = default;
};

using Edit = std::variant<SetAction, AddInput, RemoveInput, SetSource, SetInputRules, Rename, AddMode,
                          RemoveMode, SetModeLabel, PutRuleSet, PutMotion, PutRepeat, PutText, RemoveNamed,
                          AddVariant, SetVariantLabel, SetLayout, SetPace, SetGrid, Replace>;

/// The profile after the edit. A whole profile (profile::validate finds nothing) stays whole; one that was
/// half made gets no new fault. Errors: not_found (what is edited is not there), duplicate (the name is
/// taken), refused (something refers to it, or it is the last one), too_large (more inputs, modes ... than an
/// image can hold), and those of profile::validate for the record as it would be: out_of_range, unknown_name
/// (it refers to nothing), missing_key.
[[nodiscard]] Result<profile::Profile> apply(const profile::Profile& before, const Edit& edit);

/// Every action of the profile, in the order of the document; a function may empty it.
void for_each_action(profile::Profile& profile,
                     const std::function<void(std::optional<profile::Action>&)>& work);

}  // namespace fettle::app::edit
