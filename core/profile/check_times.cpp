#include <algorithm>

#include "core/profile/check_rules.hpp"
#include "core/profile/workable.hpp"

namespace fettle::profile {

namespace {

/// A tap on a remote looks at least this long: the holdover after the last frame, and the period that may
/// follow it.
int shortest_sure_hold_ms(const RuleSet& rules, int period_ms) {
    return period_ms == 0 ? 0 : rules.holdover_ms + period_ms;
}

/// The longest period of the remotes that these rules are for, 0 where there is none.
int longest_period_ms(const Profile& profile, const RuleSet& rules) {
    int longest_ms = 0;
    for (const Input& input : profile.inputs)
        if (const auto* infrared = std::get_if<Infrared>(&input.source);
            infrared != nullptr && input.rules == rules.name)
            longest_ms = std::max(longest_ms, remote_period_ms(infrared->protocol));
    return longest_ms;
}

bool is_used(const Profile& profile, const RuleSet& rules, GestureName gesture) {
    for (const Placed& placed : placed_actions(profile)) {
        const Input* input = find_named(profile.inputs, *placed.input);
        if (placed.gesture == gesture && input != nullptr && input->rules == rules.name) return true;
    }
    return false;
}

void check_rules(const Profile& profile, const RuleSet& rules, const std::string& where,
                 std::vector<Finding>& findings) {
    const int period_ms = longest_period_ms(profile, rules);
    const int least_ms = shortest_sure_hold_ms(rules, period_ms);
    if (least_ms == 0) return;
    if (rules.holdover_ms < period_ms)
        findings.push_back({FindingKind::holdover_shorter_than_remote,
                            where + "/holdover_ms",
                            {rules.name, std::to_string(rules.holdover_ms), std::to_string(period_ms)}});
    const auto add = [&](const char* field, int value) {
        findings.push_back({FindingKind::shorter_than_remote,
                            where + "/" + field,
                            {rules.name, field, std::to_string(value), std::to_string(least_ms)}});
    };
    if (rules.acceptance_ms > 0 && rules.acceptance_ms < least_ms) add("acceptance_ms", rules.acceptance_ms);
    if (is_used(profile, rules, GestureName::long_press) && rules.long_ms < least_ms)
        add("long_ms", rules.long_ms);
}

/// Motions that a remote's button works, with the least delay after which a hold is known to be one.
void check_motion(const Profile& profile, const Motion& motion, const std::string& where,
                  std::vector<Finding>& findings) {
    const auto* travel = std::get_if<Travel>(&motion.family);
    int least_ms = 0;
    for (const Placed& placed : placed_actions(profile)) {
        const auto* move = std::get_if<Move>(placed.action);
        if (move == nullptr || move->motion != motion.name) continue;
        const Input* input = find_named(profile.inputs, *placed.input);
        const RuleSet* rules = input == nullptr ? nullptr : find_named(profile.rule_sets, input->rules);
        if (rules == nullptr || !std::holds_alternative<Infrared>(input->source)) continue;
        least_ms = std::max(
            least_ms, rules->holdover_ms + remote_period_ms(std::get<Infrared>(input->source).protocol));
    }
    const int delay_ms = travel != nullptr ? travel->delay_ms : std::get<MouseKeys>(motion.family).delay_ms;
    if (delay_ms < least_ms)
        findings.push_back({FindingKind::delay_shorter_than_remote,
                            where,
                            {motion.name, std::to_string(delay_ms), std::to_string(least_ms)}});
}

}  // namespace

void check_times(const Profile& profile, std::vector<Finding>& findings) {
    for (std::size_t r = 0; r < profile.rule_sets.size(); ++r)
        check_rules(profile, profile.rule_sets[r], "/rule_sets/" + std::to_string(r), findings);
    for (std::size_t m = 0; m < profile.motions.size(); ++m)
        check_motion(profile, profile.motions[m], "/motions/" + std::to_string(m), findings);
    for (std::size_t v = 0; v < profile.variants.size(); ++v) {
        const std::string where = "/variants/" + std::to_string(v);
        for (std::size_t r = 0; r < profile.variants[v].rule_sets.size(); ++r)
            check_rules(profile, profile.variants[v].rule_sets[r], where + "/rule_sets/" + std::to_string(r),
                        findings);
        for (std::size_t m = 0; m < profile.variants[v].motions.size(); ++m)
            check_motion(profile, profile.variants[v].motions[m], where + "/motions/" + std::to_string(m),
                         findings);
    }
}

}  // namespace fettle::profile
