#include "core/profile/workable.hpp"

#include <algorithm>

#include "core/sim/ir_encode.hpp"

namespace fettle::profile {

namespace {

/// An input's rules, and how long it can be heard as down.
class Judge {
public:
    Judge(const RuleSet& rules, const InputSource& source) : rules_(rules), source_(source) {
        if (const auto* infrared = std::get_if<Infrared>(&source)) {
            is_remote_ = true;
            const bool stays = rules.holdover_ms >= remote_period_ms(infrared->protocol);
            most_ms_ = stays ? k_for_ever_ms : std::max(rules.holdover_ms, 1);
        }
    }

    bool is_remote() const { return is_remote_; }
    bool can_press() const {
        if (std::holds_alternative<Untaught>(source_)) return false;
        const auto* infrared = std::get_if<Infrared>(&source_);
        if (infrared != nullptr && !is_hearable(*infrared)) return false;
        return most_ms_ > rules_.acceptance_ms;
    }
    bool can_short(bool has_long) const {
        // A tap of a remote looks as long as its holdover.
        const int least_ms = is_remote_ ? rules_.holdover_ms - rules_.acceptance_ms : 0;
        return !has_long || rules_.long_ms > least_ms;
    }
    /// A long press that is due in the very tick of the longest hold comes first.
    bool can_long() const {
        return rules_.long_ms > 0 && rules_.long_ms <= rules_.longest_hold_ms &&
               most_ms_ > rules_.acceptance_ms + rules_.long_ms;
    }
    /// The second press must come after the gap of the first, and is not heard while the debounce runs.
    bool can_double() const { return rules_.double_ms > std::max(rules_.debounce_ms, rules_.bridge_ms); }

private:
    static constexpr int k_for_ever_ms = 10'000'000;
    const RuleSet& rules_;
    const InputSource& source_;
    bool is_remote_ = false;
    int most_ms_ = k_for_ever_ms;
};

}  // namespace

std::vector<Placed> placed_actions(const Profile& profile) {
    std::vector<Placed> all;
    for (std::size_t m = 0; m < profile.modes.size(); ++m) {
        const auto& assignments = profile.modes[m].assignments;
        for (std::size_t a = 0; a < assignments.size(); ++a) {
            const Assignment& one = assignments[a];
            const auto add = [&](const std::optional<Action>& action, GestureName gesture) {
                if (action)
                    all.push_back({static_cast<int>(m), static_cast<int>(a), gesture, &*action, &one.input});
            };
            add(one.short_press, GestureName::short_press);
            add(one.long_press, GestureName::long_press);
            add(one.double_press, GestureName::double_press);
        }
    }
    return all;
}

std::string pointer_to(const Placed& placed) {
    static constexpr const char* k_keys[] = {"short", "long", "double"};
    return "/modes/" + std::to_string(placed.mode) + "/assignments/" + std::to_string(placed.assignment) +
           "/" + k_keys[static_cast<std::size_t>(placed.gesture)];
}

std::vector<Press> workable_presses(const Profile& profile, int variant) {
    std::vector<Press> presses;
    for (const Placed& placed : placed_actions(profile)) {
        const Input* input = find_named(profile.inputs, *placed.input);
        const RuleSet* rules = input == nullptr ? nullptr : rules_in(profile, variant, input->rules);
        if (rules == nullptr) continue;
        const Judge judge(*rules, input->source);
        const Assignment& all = profile.modes[static_cast<std::size_t>(placed.mode)]
                                    .assignments[static_cast<std::size_t>(placed.assignment)];
        // As the press machine sees it: assigned, and not switched off by the rules.
        const bool has_long = all.long_press.has_value() && rules->long_ms > 0;
        const bool has_double = all.double_press.has_value() && rules->double_ms > 0;
        bool can = judge.can_press();
        bool lasts = !rules->act_on_release;
        switch (placed.gesture) {
            case GestureName::short_press:
                can = can && judge.can_short(has_long);
                lasts = lasts && !has_long && !has_double;
                break;
            case GestureName::long_press: can = can && judge.can_long(); break;
            case GestureName::double_press:
                can = can && judge.can_double() && judge.can_short(has_long);
                break;
        }
        if (can) presses.push_back({placed, judge.is_remote(), lasts});
    }
    return presses;
}

const RuleSet* rules_in(const Profile& profile, int variant, const std::string& name) {
    if (variant > 0) {
        const Variant& over = profile.variants.at(static_cast<std::size_t>(variant) - 1);
        if (const RuleSet* rules = find_named(over.rule_sets, name)) return rules;
    }
    return find_named(profile.rule_sets, name);
}

bool is_hearable(const Infrared& r) {
    return r.protocol != Protocol::necx || ((r.address >> 8) ^ (r.address & 0xFF)) != 0xFF;
}

int remote_period_ms(engine::Protocol protocol) {
    const std::uint32_t us = sim::period_us(protocol);
    return us == 0 ? 125 : static_cast<int>((us + 999) / 1000);
}

}  // namespace fettle::profile
