// Edits that others refer to: what follows a new name, what goes with what is removed, what refuses.
//
//            | a new name is followed by     | removed: goes with it   | removed: refused while
//  input     | assignments                   | its assignments         | -
//  mode      | mode changes                  | mode changes to it      | it is the last one
//  rule set  | inputs, stand-ins             | stand-ins               | an input, or the last one
//  motion    | moves, stand-ins              | stand-ins               | a move
//  repeat    | keys, scrolling, grid moves   | -                       | any of them
//  text      | actions that type it          | -                       | any of them
//  variant   | changes to it                 | its stand-ins           | a change to it
//
// Stand-ins: what variants have in its place.

#include "app/desk/edits_detail.hpp"

namespace fettle::app::edit {

using namespace profile;

namespace {

/// The name by which an action refers to something of that kind; nullptr when it refers to none.
std::string* reference(Action& action, Named what) {
    switch (what) {
        case Named::mode:
            if (auto* to = std::get_if<ModeChange>(&action)) return &to->mode;
            break;
        case Named::motion:
            if (auto* move = std::get_if<Move>(&action)) return &move->motion;
            break;
        case Named::repeat:
            if (auto* chord = std::get_if<Chord>(&action)) return &chord->repeat;
            if (auto* scroll = std::get_if<Scroll>(&action)) return &scroll->repeat;
            if (auto* move = std::get_if<GridMove>(&action)) return &move->repeat;
            break;
        case Named::text:
            if (auto* typed = std::get_if<TypeText>(&action)) return &typed->text;
            break;
        case Named::variant:
            if (auto* to = std::get_if<VariantChange>(&action)) return &to->variant;
            break;
        case Named::input:
        case Named::rule_set: break;
    }
    return nullptr;
}

template <typename T>
Status rename_in(std::vector<T>& all, const std::string& from, const std::string& to) {
    T* record = find(all, from);
    if (record == nullptr) return fail(Errc::not_found, from.empty() ? "a name" : from);
    if (from != to && find(all, to) != nullptr) return fail(Errc::duplicate, "the name " + to);
    record->name = to;
    return Done{};
}

Status rename_record(Profile& profile, const Rename& e) {
    switch (e.what) {
        case Named::input: return rename_in(profile.inputs, e.from, e.to);
        case Named::mode: return rename_in(profile.modes, e.from, e.to);
        case Named::rule_set: return rename_in(profile.rule_sets, e.from, e.to);
        case Named::motion: return rename_in(profile.motions, e.from, e.to);
        case Named::repeat: return rename_in(profile.repeats, e.from, e.to);
        case Named::text: return rename_in(profile.texts, e.from, e.to);
        case Named::variant:
            if (e.to == k_base_variant) return fail(Errc::duplicate, "the name base");
            return rename_in(profile.variants, e.from, e.to);
    }
    return Done{};
}

template <typename T>
void follow(std::vector<T>& all, const std::string& from, const std::string& to) {
    if (T* record = find(all, from)) record->name = to;
}

bool is_used(Profile& profile, Named what, const std::string& name) {
    bool used = false;
    for_each_action(profile, [&](std::optional<Action>& action) {
        const std::string* refers = reference(*action, what);
        used = used || (refers != nullptr && *refers == name);
    });
    return used;
}

Status remove_stand_in(Profile& profile, const RemoveNamed& e) {
    Variant* variant = find(profile.variants, e.variant);
    if (variant == nullptr) return fail(Errc::not_found, e.variant);
    const bool was_there = e.what == Named::rule_set ? erase(variant->rule_sets, e.name)
                           : e.what == Named::motion ? erase(variant->motions, e.name)
                                                     : false;
    if (!was_there) return fail(Errc::not_found, e.variant + ": " + e.name);
    return Done{};
}

bool remove_record(Profile& profile, Named what, const std::string& name) {
    switch (what) {
        case Named::rule_set: return erase(profile.rule_sets, name);
        case Named::motion: return erase(profile.motions, name);
        case Named::repeat: return erase(profile.repeats, name);
        case Named::text: return erase(profile.texts, name);
        case Named::variant: return erase(profile.variants, name);
        case Named::input:
        case Named::mode: break;
    }
    return false;
}

}  // namespace

Status rename(Profile& profile, const Rename& e) {
    if (Status done = rename_record(profile, e); !done) return done;
    for_each_action(profile, [&](std::optional<Action>& action) {
        std::string* refers = reference(*action, e.what);
        if (refers != nullptr && !refers->empty() && *refers == e.from) *refers = e.to;
    });
    if (e.what == Named::input)
        for (Mode& mode : profile.modes)
            for (Assignment& one : mode.assignments)
                if (one.input == e.from) one.input = e.to;
    if (e.what == Named::rule_set)
        for (Input& input : profile.inputs)
            if (input.rules == e.from) input.rules = e.to;
    for (Variant& variant : profile.variants) {
        if (e.what == Named::rule_set) follow(variant.rule_sets, e.from, e.to);
        if (e.what == Named::motion) follow(variant.motions, e.from, e.to);
    }
    return Done{};
}

Status remove_input(Profile& profile, const std::string& name) {
    if (!erase(profile.inputs, name)) return fail(Errc::not_found, name);
    for (Mode& mode : profile.modes)
        std::erase_if(mode.assignments, [&](const Assignment& one) { return one.input == name; });
    return Done{};
}

Status remove_mode(Profile& profile, const std::string& name) {
    if (find(profile.modes, name) == nullptr) return fail(Errc::not_found, name);
    if (profile.modes.size() == 1) return fail(Errc::refused, "mode " + name, "a profile needs one mode");
    erase(profile.modes, name);
    for_each_action(profile, [&](std::optional<Action>& action) {
        const auto* to = std::get_if<ModeChange>(&*action);
        if (to != nullptr && to->mode == name) action.reset();
    });
    for (Mode& mode : profile.modes) tidy(mode);
    return Done{};
}

Status remove_named(Profile& profile, const RemoveNamed& e) {
    if (e.what == Named::input) return remove_input(profile, e.name);
    if (e.what == Named::mode) return remove_mode(profile, e.name);
    if (!e.variant.empty()) return remove_stand_in(profile, e);
    const bool is_judged_by =
        e.what == Named::rule_set && std::any_of(profile.inputs.begin(), profile.inputs.end(),
                                                 [&](const Input& one) { return one.rules == e.name; });
    const bool is_there = remove_record(profile, e.what, e.name);
    if (!is_there) return fail(Errc::not_found, e.name.empty() ? "a name" : e.name);
    if (is_judged_by || is_used(profile, e.what, e.name))
        return fail(Errc::refused, e.name, "something still refers to it");
    if (profile.rule_sets.empty()) return fail(Errc::refused, e.name, "a profile needs one rule set");
    for (Variant& variant : profile.variants) {
        if (e.what == Named::rule_set) erase(variant.rule_sets, e.name);
        if (e.what == Named::motion) erase(variant.motions, e.name);
    }
    return Done{};
}

}  // namespace fettle::app::edit
