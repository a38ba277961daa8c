#include "app/desk/edits.hpp"

#include "app/desk/edits_detail.hpp"
#include "core/engine/limits.hpp"
#include "core/profile/document.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app::edit {

using namespace profile;

namespace {

/// Replaces the record of that name, or adds it while there are fewer than `most`.
template <typename T>
Status put(std::vector<T>& all, const T& record, std::size_t most, const char* where) {
    if (T* there = find(all, record.name)) {
        *there = record;
        return Done{};
    }
    if (all.size() >= most) return fail(Errc::too_large, where, "there is room for " + std::to_string(most));
    all.push_back(record);
    return Done{};
}

template <typename T>
Status add(std::vector<T>& all, const T& record, std::size_t most, const char* where) {
    if (find(all, record.name) != nullptr) return fail(Errc::duplicate, "the name " + record.name);
    return put(all, record, most, where);
}

Unexpected missing(const std::string& name) {
    return fail(Errc::not_found, name.empty() ? "a name" : name);
}

/// Where an assignment of `input` stands or would stand: in the order of the inputs.
std::size_t place_of(const Profile& profile, const Mode& mode, const std::string& input) {
    const int at = index_of(profile.inputs, input);
    std::size_t i = 0;
    while (i < mode.assignments.size() && index_of(profile.inputs, mode.assignments[i].input) < at) ++i;
    return i;
}

std::optional<Action>& gesture_of(Assignment& assignment, GestureName gesture) {
    switch (gesture) {
        case GestureName::short_press: return assignment.short_press;
        case GestureName::long_press: return assignment.long_press;
        case GestureName::double_press: return assignment.double_press;
    }
    return assignment.short_press;
}

/// What an edit does to a profile, by its kind.
struct Applier {
    Profile& profile;

    Status operator()(const SetAction& e) const {
        Mode* mode = find(profile.modes, e.mode);
        if (mode == nullptr) return missing(e.mode);
        if (find(profile.inputs, e.input) == nullptr) return missing(e.input);
        auto& all = mode->assignments;
        auto at =
            std::find_if(all.begin(), all.end(), [&](const Assignment& a) { return a.input == e.input; });
        if (at == all.end() && !e.action) return Done{};
        if (at == all.end()) {
            const auto place = static_cast<std::ptrdiff_t>(place_of(profile, *mode, e.input));
            at = all.insert(all.begin() + place, Assignment{e.input, {}, {}, {}});
        }
        gesture_of(*at, e.gesture) = e.action;
        if (!e.action) tidy(*mode);
        return Done{};
    }
    Status operator()(const AddInput& e) const {
        return add(profile.inputs, e.input, engine::k_max_inputs, "another input");
    }
    Status operator()(const RemoveInput& e) const { return remove_input(profile, e.input); }
    Status operator()(const SetSource& e) const {
        Input* input = find(profile.inputs, e.input);
        if (input == nullptr) return missing(e.input);
        input->source = e.source;
        return Done{};
    }
    Status operator()(const SetInputRules& e) const {
        Input* input = find(profile.inputs, e.input);
        if (input == nullptr) return missing(e.input);
        if (find(profile.rule_sets, e.rules) == nullptr) return missing(e.rules);
        input->rules = e.rules;
        return Done{};
    }
    Status operator()(const Rename& e) const { return rename(profile, e); }
    Status operator()(const AddMode& e) const {
        return add(profile.modes, e.mode, engine::k_max_modes, "another mode");
    }
    Status operator()(const RemoveMode& e) const { return remove_mode(profile, e.mode); }
    Status operator()(const SetModeLabel& e) const {
        Mode* mode = find(profile.modes, e.mode);
        if (mode == nullptr) return missing(e.mode);
        mode->label = e.label;
        return Done{};
    }
    Status operator()(const PutRuleSet& e) const {
        return put_in(e.variant, e.rules, &Profile::rule_sets, &Variant::rule_sets, engine::k_max_rules,
                      "another rule set");
    }
    Status operator()(const PutMotion& e) const {
        return put_in(e.variant, e.motion, &Profile::motions, &Variant::motions, engine::k_max_motions,
                      "another motion");
    }
    Status operator()(const PutRepeat& e) const {
        return put(profile.repeats, e.repeat, engine::k_max_repeats, "another repeat");
    }
    Status operator()(const PutText& e) const {
        return put(profile.texts, e.text, static_cast<std::size_t>(field::k_texts.most), "another text");
    }
    Status operator()(const RemoveNamed& e) const { return remove_named(profile, e); }
    Status operator()(const AddVariant& e) const {
        if (e.variant.name == k_base_variant) return fail(Errc::duplicate, "the name base");
        return add(profile.variants, e.variant, engine::k_max_variants - 1u, "another variant");
    }
    Status operator()(const SetVariantLabel& e) const {
        Variant* variant = find(profile.variants, e.variant);
        if (variant == nullptr) return missing(e.variant);
        variant->label = e.label;
        return Done{};
    }
    Status operator()(const SetLayout& e) const {
        profile.keyboard_layout = e.layout;
        return Done{};
    }
    Status operator()(const SetPace& e) const {
        profile.pace = e.pace;
        return Done{};
    }
    Status operator()(const SetGrid& e) const {
        bool is_used = false;
        for_each_action(profile, [&](const std::optional<Action>& action) {
            is_used = is_used || std::holds_alternative<GridMove>(*action) ||
                      std::holds_alternative<GridPick>(*action);
        });
        if (e.grid.rows.empty() && is_used)
            return fail(Errc::refused, "the character grid", "an input still works it");
        profile.grid = e.grid;
        return Done{};
    }
    Status operator()(const Replace& e) const {
        profile = e.profile;
        return Done{};
    }

private:
    template <typename T>
    Status put_in(const std::string& variant, const T& record, std::vector<T> Profile::*all,
                  std::vector<T> Variant::*stand_ins, std::size_t most, const char* where) const {
        if (variant.empty()) return put(profile.*all, record, most, where);
        Variant* one = find(profile.variants, variant);
        if (one == nullptr) return missing(variant);
        if (find(profile.*all, record.name) == nullptr) return missing(record.name);
        return put(one->*stand_ins, record, most, where);
    }
};

/// The first fault of `after` that `before` had not got. Places move when records come and go, so faults are
/// told apart by what they say.
std::optional<Error> new_fault(const Profile& before, const Profile& after) {
    const std::vector<Error> now = validate(after);
    if (now.empty()) return std::nullopt;
    std::vector<Error> had = validate(before);
    for (const Error& error : now) {
        const auto same = std::find_if(had.begin(), had.end(), [&](const Error& old) {
            return old.code == error.code && old.detail == error.detail;
        });
        if (same == had.end()) return error;
        had.erase(same);
    }
    return std::nullopt;
}

}  // namespace

void for_each_action(Profile& profile, const std::function<void(std::optional<Action>&)>& work) {
    for (Mode& mode : profile.modes)
        for (Assignment& one : mode.assignments)
            for (auto* action : {&one.short_press, &one.long_press, &one.double_press})
                if (*action) work(*action);
}

void tidy(Mode& mode) {
    const auto does_nothing = [](const Assignment& a) {
        return !a.short_press && !a.long_press && !a.double_press;
    };
    std::erase_if(mode.assignments, does_nothing);
}

Result<Profile> apply(const Profile& before, const Edit& edit) {
    Profile after = before;
    if (Status done = std::visit(Applier{after}, edit); !done) return done.failure();
    if (const auto fault = new_fault(before, after)) return Unexpected{*fault};
    return after;
}

}  // namespace fettle::app::edit
