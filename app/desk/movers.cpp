#include "app/desk/movers.hpp"

#include <algorithm>

#include "core/profile/workable.hpp"
#include "core/sim/ir_encode.hpp"

namespace fettle::app {

namespace {

std::uint16_t repeat_frame_ms(const profile::Infrared& infrared) {
    engine::IrFrame held =
        engine::make_ir_frame(infrared.protocol, static_cast<std::uint16_t>(infrared.address),
                              static_cast<std::uint16_t>(infrared.command));
    held.repeat = true;
    std::uint32_t frame_us = 0;
    for (const auto width : sim::encode(held)) frame_us += width;
    return static_cast<std::uint16_t>(frame_us / 1000);
}

const profile::RuleSet* rules_of(const profile::Profile& profile, const std::string& variant,
                                 const std::string& rules) {
    const auto* stands_in = profile::find_named(profile.variants, variant);
    if (stands_in != nullptr)
        if (const auto* own = profile::find_named(stands_in->rule_sets, rules)) return own;
    return profile::find_named(profile.rule_sets, rules);
}

bool moves_by(const profile::Profile& profile, const std::string& input, const std::string& motion) {
    for (const auto& mode : profile.modes)
        for (const auto& one : mode.assignments) {
            if (one.input != input) continue;
            for (const auto* action : {&one.short_press, &one.long_press, &one.double_press}) {
                const auto* move = *action ? std::get_if<profile::Move>(&**action) : nullptr;
                if (move != nullptr && move->motion == motion) return true;
            }
        }
    return false;
}

}  // namespace

profile::PressSource press_source(const profile::Profile& profile, const std::string& variant,
                                  const profile::Input& input) {
    const auto* infrared = std::get_if<profile::Infrared>(&input.source);
    if (infrared == nullptr) return profile::switch_source();
    const auto* rules = rules_of(profile, variant, input.rules);
    const int holdover_ms = rules == nullptr ? 0 : rules->holdover_ms;
    const bool is_known = infrared->protocol != engine::Protocol::unknown;
    const int period_ms = is_known ? static_cast<int>(sim::period_us(infrared->protocol) / 1000)
                                   : profile::remote_period_ms(infrared->protocol);
    return profile::infrared_source(static_cast<std::uint16_t>(holdover_ms),
                                    static_cast<std::uint16_t>(period_ms),
                                    is_known ? repeat_frame_ms(*infrared) : std::uint16_t{0});
}

std::vector<Mover> movers(const profile::Profile& profile, const std::string& variant,
                          const std::string& motion) {
    std::vector<Mover> all;
    for (const auto& input : profile.inputs) {
        if (!moves_by(profile, input.name, motion)) continue;
        const auto source = press_source(profile, variant, input);
        auto it = std::find_if(all.begin(), all.end(), [&](const Mover& m) { return m.source == source; });
        if (it == all.end()) {
            all.push_back({std::holds_alternative<profile::Infrared>(input.source), source, {}});
            it = all.end() - 1;
        }
        it->inputs.push_back(input.name);
    }
    const bool has_switch = std::any_of(all.begin(), all.end(), [](const Mover& m) { return !m.is_remote; });
    if (!has_switch) all.push_back({false, profile::switch_source(), {}});
    return all;
}

const profile::Motion* motion_in(const profile::Profile& profile, const std::string& variant,
                                 const std::string& motion) {
    const auto* stands_in = profile::find_named(profile.variants, variant);
    if (stands_in != nullptr)
        if (const auto* own = profile::find_named(stands_in->motions, motion)) return own;
    return profile::find_named(profile.motions, motion);
}

const profile::Action* action_of(const profile::Profile& profile, std::size_t mode, const std::string& input,
                                 engine::Gesture gesture) {
    if (mode >= profile.modes.size()) return nullptr;
    for (const auto& one : profile.modes[mode].assignments) {
        if (one.input != input) continue;
        const std::optional<profile::Action>* action = nullptr;
        switch (gesture) {
            case engine::Gesture::short_press: action = &one.short_press; break;
            case engine::Gesture::long_press: action = &one.long_press; break;
            case engine::Gesture::double_press: action = &one.double_press; break;
        }
        return action != nullptr && *action ? &**action : nullptr;
    }
    return nullptr;
}

}  // namespace fettle::app
