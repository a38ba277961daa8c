// Edits that mend a finding. Candidates are made for each kind, then tried: what does not remove the finding,
// or brings a new lock-out, is not offered.
#include <algorithm>
#include <charconv>

#include "app/views/assign_findings.hpp"
#include "app/views/assign_parts.hpp"
#include "app/views/assign_words.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr std::size_t k_most_edits = 3;
constexpr int k_most_tries = 40;

/// A place for one more action, and what stands there now.
struct Slot {
    std::string input;
    GestureName gesture = GestureName::short_press;
    const std::optional<Action>* now = nullptr;  ///< nullptr or empty: free
    bool is_free() const { return now == nullptr || !now->has_value(); }
};

/// It goes on as long as the press: with a long press beside it, it would wait for the release.
bool lasts(const Action& action) {
    if (std::holds_alternative<Move>(action)) return true;
    if (const auto* button = std::get_if<Button>(&action)) return button->style == ButtonStyle::held;
    if (const auto* chord = std::get_if<Chord>(&action)) return chord->hold != ChordHold::tapped;
    if (const auto* mode = std::get_if<ModeChange>(&action)) return mode->style == ModeStyle::while_held;
    if (const auto* scale = std::get_if<Scale>(&action)) return scale->style == ScaleStyle::while_held;
    return false;
}

int order_of(const Slot& slot) {
    return (slot.is_free() ? 0 : 10) + static_cast<int>(slot.gesture);
}

/// Free ones first, short before long before double.
std::vector<Slot> slots_in(const Profile& profile, const std::string& mode) {
    static const std::optional<Action> k_nothing;
    std::vector<Slot> slots;
    for (const Input& input : profile.inputs) {
        const RuleSet* rules = find_named(profile.rule_sets, input.rules);
        if (rules == nullptr || std::holds_alternative<Untaught>(input.source)) continue;
        const Assignment* one = assignment_of(profile, mode, input.name);
        const auto add = [&](GestureName gesture) {
            slots.push_back({input.name, gesture, one == nullptr ? &k_nothing : &gesture_of(*one, gesture)});
        };
        add(GestureName::short_press);
        const bool short_lasts = one != nullptr && one->short_press && lasts(*one->short_press);
        if (rules->long_ms > 0 && !short_lasts) add(GestureName::long_press);
        if (rules->double_ms > 0 && !short_lasts) add(GestureName::double_press);
    }
    std::stable_sort(slots.begin(), slots.end(),
                     [](const Slot& a, const Slot& b) { return order_of(a) < order_of(b); });
    return slots;
}

class Mender {
public:
    Mender(Language language, const Profile& profile, const StrokeSource* layout, const Finding& finding)
        : language_(language),
          profile_(profile),
          layout_(layout),
          finding_(finding),
          place_(place_of(profile, finding)),
          before_(check(profile, layout)) {}

    std::vector<AssignMend> run() {
        edits();
        jumps();
        return std::move(found_);
    }

private:
    template <typename... Values>
    std::string say(T text, const Values&... values) const {
        return text_in(language_, text, values...);
    }
    std::string subject(std::size_t i) const {
        return i < finding_.subjects.size() ? finding_.subjects[i] : std::string{};
    }
    int least() const {
        int value = 0;
        const std::string last = finding_.subjects.empty() ? "" : finding_.subjects.back();
        std::from_chars(last.data(), last.data() + last.size(), value);
        return value;
    }
    bool is_full() const { return found_.size() >= k_most_edits || tries_ >= k_most_tries; }

    /// Offers the edit if it does what it says.
    void offer(const std::string& label, const edit::Edit& change) {
        if (is_full()) return;
        ++tries_;
        const auto after = edit::apply(profile_, change);
        if (!after) return;
        for (const Finding& one : check(*after, layout_)) {
            if (is_same(one, finding_)) return;
            const bool was_there = std::any_of(before_.begin(), before_.end(), [&](const Finding& old) {
                return old.kind == one.kind && old.subjects == one.subjects;
            });
            if (is_lock_out(one.kind) && !was_there) return;
        }
        found_.push_back({label, change, std::nullopt});
    }
    void offer_slots(const std::string& mode, const Action& action) {
        const std::string what = short_action_words(language_, action, layout_);
        for (const Slot& slot : slots_in(profile_, mode)) {
            if (is_full()) return;
            const std::string label =
                slot.is_free()
                    ? say(T::assign_mend_give, mode, slot.input, gesture_in(language_, slot.gesture), what)
                    : say(T::assign_mend_instead, mode, slot.input, gesture_in(language_, slot.gesture), what,
                          short_action_words(language_, **slot.now, layout_));
            offer(label, edit::SetAction{mode, slot.input, slot.gesture, action});
        }
    }
    void offer_action(const Action& action) {
        if (!place_.gesture) return;
        offer(say(T::assign_mend_change, short_action_words(language_, action, layout_)),
              edit::SetAction{place_.mode, place_.name, *place_.gesture, action});
    }

    void edits() {
        switch (finding_.kind) {
            case FindingKind::mode_without_exit:
            case FindingKind::mode_without_way_back:
                return offer_slots(place_.name, ModeChange{ModeStyle::go_to, profile_.modes[0].name});
            case FindingKind::mode_without_release: return offer_slots(place_.name, ReleaseAll{});
            case FindingKind::held_without_release: return offer_slots(place_.mode, ReleaseAll{});
            case FindingKind::gesture_assigned_twice: return drop_second();
            case FindingKind::same_source_twice:
                for (std::size_t i = 2; i-- > 0;)
                    offer(say(T::assign_mend_forget, subject(i)), edit::SetSource{subject(i), Untaught{}});
                return;
            case FindingKind::pointer_without_click:
                return offer_slots(place_.name, Button{1, ButtonStyle::click});
            case FindingKind::text_not_typable: return drop_character();
            case FindingKind::needs_two_buttons: return stays_instead();
            case FindingKind::mode_never_reached:
                offer_slots(profile_.modes[0].name, ModeChange{ModeStyle::go_to, place_.name});
                found_.resize(std::min<std::size_t>(found_.size(), 2));
                return offer(say(T::assign_mend_remove, place_.name), edit::RemoveMode{place_.name});
            case FindingKind::input_does_nothing:
                return offer(say(T::assign_mend_remove, place_.name), edit::RemoveInput{place_.name});
            case FindingKind::modifier_held_long:
            case FindingKind::modifier_repeated:
            case FindingKind::erasing_repeated: return quiet_key();
            case FindingKind::shorter_than_remote:
            case FindingKind::holdover_shorter_than_remote: return longer_rule();
            case FindingKind::delay_shorter_than_remote: return longer_delay();
            case FindingKind::variant_without_way_back:
                for (const Mode& mode : profile_.modes)
                    offer_slots(mode.name, VariantChange{VariantStyle::go_to, k_base_variant});
                return;
            case FindingKind::layout_unknown:
            case FindingKind::nothing_assigned:
            case FindingKind::password_in_text: return;
        }
    }

    void drop_second() {
        edit::Replace whole{profile_};
        for (Mode& mode : whole.profile.modes) {
            if (mode.name != place_.mode) continue;
            const auto is_it = [&](const Assignment& one) { return one.input == place_.name; };
            const auto first = std::find_if(mode.assignments.begin(), mode.assignments.end(), is_it);
            if (first != mode.assignments.end())
                mode.assignments.erase(std::remove_if(first + 1, mode.assignments.end(), is_it),
                                       mode.assignments.end());
        }
        offer(say(T::assign_mend_drop_second, place_.name), whole);
    }
    void drop_character() {
        const std::string bad = subject(1);
        if (place_.spot == Spot::grid_cell) {
            Grid grid = profile_.grid;
            grid.rows.at(static_cast<std::size_t>(place_.row))
                .at(static_cast<std::size_t>(place_.column)) = {};
            return offer(say(T::assign_mend_empty_cell, bad), edit::SetGrid{grid});
        }
        const Text* text = find_named(profile_.texts, place_.name);
        if (text == nullptr || layout_ == nullptr) return;
        edit::PutText change{*text};
        for (TextPart& part : change.text.parts)
            if (auto* piece = std::get_if<std::string>(&part)) *piece = typable(*piece);
        std::erase_if(change.text.parts,
                      [](const TextPart& part) { return part == TextPart(std::string{}); });
        offer(say(T::assign_mend_drop_characters, place_.name), change);
    }
    /// What the layout can type of it.
    std::string typable(const std::string& piece) const {
        std::string kept;
        for (std::size_t at = 0; at < piece.size();) {
            std::size_t next = at + 1;
            while (next < piece.size() && (static_cast<unsigned char>(piece[next]) & 0xC0u) == 0x80u) ++next;
            if (layout_->strokes_for(piece.substr(at, next - at))) kept += piece.substr(at, next - at);
            at = next;
        }
        return kept;
    }
    void stays_instead() {
        const auto now = action_here();
        if (!now) return;
        if (const auto* mode = std::get_if<ModeChange>(&*now))
            offer_action(ModeChange{ModeStyle::go_to, mode->mode});
        if (const auto* scale = std::get_if<Scale>(&*now))
            offer_action(Scale{ScaleStyle::toggle, scale->factor_permille});
        if (const auto* chord = std::get_if<Chord>(&*now)) offer_action(Latch{chord->stroke.modifiers, {}});
    }
    void quiet_key() {
        const auto now = action_here();
        const auto* chord = now ? std::get_if<Chord>(&*now) : nullptr;
        if (chord == nullptr) return;
        if (finding_.kind == FindingKind::erasing_repeated)
            return offer_action(Chord{chord->stroke, ChordHold::tapped, {}});
        offer_action(Latch{chord->stroke.modifiers, {}});
    }
    std::optional<Action> action_here() const {
        AssignPlace at;
        at.mode = place_.mode;
        at.input = place_.name;
        at.gesture = place_.gesture.value_or(GestureName::short_press);
        return action_at(profile_, at);
    }
    const auto* stand_in(auto Profile::*all, auto Variant::*stand_ins) const {
        const Variant* variant = find_named(profile_.variants, place_.owner);
        return variant == nullptr ? find_named(profile_.*all, place_.name)
                                  : find_named(variant->*stand_ins, place_.name);
    }
    void longer_rule() {
        const RuleSet* rules = stand_in(&Profile::rule_sets, &Variant::rule_sets);
        if (rules == nullptr) return;
        edit::PutRuleSet change{*rules, place_.owner};
        const std::string field = finding_.where.substr(finding_.where.rfind('/') + 1);
        if (field == "acceptance_ms") change.rules.acceptance_ms = least();
        if (field == "long_ms") change.rules.long_ms = least();
        if (field == "holdover_ms") change.rules.holdover_ms = least();
        offer(say(T::assign_mend_set, place_.name, least()), change);
        if (field == "acceptance_ms") {
            change.rules.acceptance_ms = 0;
            offer(say(T::assign_mend_no_delay, place_.name), change);
        }
    }
    void longer_delay() {
        const Motion* motion = stand_in(&Profile::motions, &Variant::motions);
        if (motion == nullptr) return;
        edit::PutMotion change{*motion, place_.owner};
        std::visit([&](auto& family) { family.delay_ms = least(); }, change.motion.family);
        offer(say(T::assign_mend_set, place_.name, least()), change);
    }

    // --- where it is mended by hand ---
    void jump(const std::string& label, AssignPlace to) {
        found_.push_back({label, std::nullopt, std::move(to)});
    }
    void to_page(T text, AssignPage page) {
        AssignPlace to;
        to.page = page;
        jump(say(text), to);
    }
    void to_cell(const std::string& mode, const std::string& input) {
        AssignPlace to;
        to.page = AssignPage::cell;
        to.mode = mode;
        to.input = input;
        to.gesture = place_.gesture.value_or(GestureName::short_press);
        jump(say(T::assign_jump_cell, input, mode), to);
    }
    void to_table(const std::string& mode) {
        if (profile_.inputs.empty()) return to_page(T::assign_inputs, AssignPage::inputs);
        AssignPlace to;
        to.mode = mode;
        to.focus = "assign.cell/" + mode + "/" + profile_.inputs[0].name;
        jump(say(T::assign_jump_mode, mode), to);
    }
    void to_input(const std::string& input) {
        AssignPlace to;
        to.page = AssignPage::input;
        to.input = input;
        jump(say(T::assign_jump_input, input), to);
    }
    void jumps() {
        switch (place_.spot) {
            case Spot::whole:
            case Spot::mode: return to_table(place_.spot == Spot::mode ? place_.name : first_mode());
            case Spot::cell: return to_cell(place_.mode, place_.name);
            case Spot::input: {
                if (finding_.kind == FindingKind::input_does_nothing) to_cell(first_mode(), place_.name);
                AssignPlace to;
                to.input = subject(finding_.subjects.size() > 1 ? 1 : 0);
                if (finding_.kind == FindingKind::same_source_twice)
                    found_.push_back({say(T::assign_mend_teach, to.input), std::nullopt, to, true});
                return to_input(place_.name);
            }
            case Spot::text: {
                AssignPlace to;
                to.page = AssignPage::text;
                to.text = place_.name;
                jump(say(T::assign_jump_text, place_.name), to);
                if (finding_.kind == FindingKind::text_not_typable)
                    to_page(T::assign_jump_layout, AssignPage::layout);
                return;
            }
            case Spot::grid_cell: {
                AssignPlace to;
                to.page = AssignPage::grid_cell;
                to.row = place_.row;
                to.column = place_.column;
                jump(say(T::assign_jump_grid), to);
                return to_page(T::assign_jump_layout, AssignPage::layout);
            }
            case Spot::layout: return to_page(T::assign_jump_layout, AssignPage::layout);
            case Spot::rules:
                for (const Input& input : profile_.inputs)
                    if (input.rules == place_.name) return to_input(input.name);
                return;
            case Spot::motion: {
                AssignMend mend{say(T::assign_jump_motion, place_.name), std::nullopt, std::nullopt};
                mend.opens_motion = true;
                found_.push_back(std::move(mend));
                return;
            }
            case Spot::variant: return to_table(first_mode());
        }
    }
    std::string first_mode() const { return profile_.modes.empty() ? std::string{} : profile_.modes[0].name; }

    Language language_;
    const Profile& profile_;
    const StrokeSource* layout_;
    const Finding& finding_;
    FindingPlace place_;
    std::vector<Finding> before_;
    std::vector<AssignMend> found_;
    int tries_ = 0;
};

}  // namespace

std::vector<AssignMend> mends_for(Language language, const Profile& profile, const StrokeSource* layout,
                                  const Finding& finding) {
    return Mender(language, profile, layout, finding).run();
}

}  // namespace fettle::app
