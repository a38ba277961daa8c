// Levels back through the engine's press rules. A tick here is what Engine::take_presses makes of one: who is
// up first, then who is down, by number.
#include "core/measure/what_if.hpp"

#include <algorithm>

#include "core/measure/level_times.hpp"

namespace fettle::measure {

using engine::EventKind;
using engine::Presses;
using engine::PressOutcome;
using engine::RuleDef;

namespace {

constexpr std::int64_t k_us_a_ms = 1000;
constexpr std::int64_t k_never_ms = std::int64_t{1} << 50;

/// A neighbour is told when it went down and when it was accepted: its own rule only has to wait for that,
/// and to close its gaps.
constexpr RuleDef waiting_rule(std::uint16_t bridge_ms) {
    RuleDef rule{};
    rule.bridge_ms = bridge_ms;
    rule.acceptance_ms = 0xFFFF;
    rule.longest_hold_ds = 6000;
    return rule;
}
class Replay {
public:
    Replay(const RecordedLevels& levels, const RuleDef& rule, std::uint8_t has,
           std::vector<WhatIfOutcome>* outcomes)
        : levels_(levels), rule_(rule), has_(has), outcomes_(outcomes) {
        presses_.reset();
        std::int64_t first_us = levels.end_us;
        if (!levels.changes.empty()) first_us = std::min(first_us, levels.changes.front().at_us);
        if (!levels.neighbours.empty()) first_us = std::min(first_us, levels.neighbours.front().at_us);
        base_us_ = first_us;
    }

    WhatIf run() {
        const std::int64_t end_ms = ms(levels_.end_us);
        for (std::int64_t now_ms = next_ms(); now_ms <= end_ms; now_ms = following(now_ms)) tick(now_ms);
        cut_off();
        return result_;
    }

private:
    /// Levels and presses are told at ticks, which are whole ms apart; stamps are off by a few us at most.
    std::int64_t ms(std::int64_t us) const { return (us - base_us_ + k_us_a_ms / 2) / k_us_a_ms; }
    std::uint32_t own_bit() const { return 1u << levels_.input; }

    std::int64_t next_ms() const {
        std::int64_t next = k_never_ms;
        if (change_ < levels_.changes.size()) next = std::min(next, ms(levels_.changes[change_].at_us));
        if (neighbour_ < levels_.neighbours.size())
            next = std::min(next, ms(levels_.neighbours[neighbour_].at_us));
        return next;
    }

    /// Ms by ms while the input is down or anything of it runs; otherwise on to what happens next.
    std::int64_t following(std::int64_t now_ms) {
        const std::uint32_t due = presses_.due(down_ & own_bit(), clock(now_ms));
        if (((due & own_bit()) | (due & ~down_)) != 0) return now_ms + 1;
        const std::int64_t next = std::max(next_ms(), now_ms + 1);
        // The engine's clock has 16 bits: a guard that is over must be seen to be over before it wraps.
        if (next - now_ms > engine::k_longest_guard_ms)
            presses_.due(0, clock(now_ms + engine::k_longest_guard_ms));
        return next;
    }
    static std::uint16_t clock(std::int64_t now_ms) { return static_cast<std::uint16_t>(now_ms & 0xFFFF); }

    void tick(std::int64_t now_ms) {
        const std::size_t first_neighbour = neighbour_;
        while (neighbour_ < levels_.neighbours.size() && ms(levels_.neighbours[neighbour_].at_us) <= now_ms)
            ++neighbour_;
        while (change_ < levels_.changes.size() && ms(levels_.changes[change_].at_us) <= now_ms &&
               !levels_.changes[change_].is_by_itself)
            take(levels_.changes[change_++]);
        for (std::size_t i = first_neighbour; i < neighbour_; ++i)
            if (levels_.neighbours[i].did == Neighbour::Did::went_up) step(levels_.neighbours[i], now_ms);
        step_gaps(now_ms);
        if ((down_ & own_bit()) == 0) step_own(now_ms);
        step_down(first_neighbour, now_ms, true);
        if ((down_ & own_bit()) != 0) step_own(now_ms);
        step_down(first_neighbour, now_ms, false);
        while (change_ < levels_.changes.size() && ms(levels_.changes[change_].at_us) <= now_ms)
            take(levels_.changes[change_++]);
    }

    void take(const LevelChange& change) {
        down_ = change.is_down ? down_ | own_bit() : down_ & ~own_bit();
        if (change.is_unknown) {
            cut_off();
            presses_.reset();
            down_ = 0;
        }
        // What its own press let go of happens only where that press is accepted here too.
        if (change.is_let_go && (!change.is_by_itself || is_accepted_)) {
            cut_off();
            presses_.ignore_until_up(down_);
        }
    }

    void cut_off() {
        if (is_accepted_) ++result_.cut_off;
        is_accepted_ = false;
    }

    void step_down(std::size_t first, std::int64_t now_ms, bool before_own) {
        for (std::size_t i = first; i < neighbour_; ++i) {
            const Neighbour& neighbour = levels_.neighbours[i];
            if (neighbour.did != Neighbour::Did::went_up && (neighbour.input < levels_.input) == before_own)
                step(neighbour, now_ms);
        }
    }

    void step(const Neighbour& neighbour, std::int64_t now_ms) {
        const bool is_down = neighbour.did != Neighbour::Did::went_up;
        const std::uint32_t bit = 1u << neighbour.input;
        down_ = is_down ? down_ | bit : down_ & ~bit;
        RuleDef rule = waiting_rule(levels_.bridges_ms[neighbour.input]);
        if (neighbour.did == Neighbour::Did::was_accepted) rule.acceptance_ms = 0;
        presses_.step(neighbour.input, is_down, clock(now_ms), rule, 0);
    }

    /// Neighbours that are up and not idle: a gap that may still be closed.
    void step_gaps(std::int64_t now_ms) {
        std::uint32_t gaps = presses_.due(0, clock(now_ms)) & ~down_ & ~own_bit();
        for (std::uint8_t input = 0; gaps != 0; ++input, gaps >>= 1)
            if ((gaps & 1) != 0)
                presses_.step(input, false, clock(now_ms), waiting_rule(levels_.bridges_ms[input]), 0);
    }

    void step_own(std::int64_t now_ms) {
        const std::uint16_t now = clock(now_ms);
        if ((presses_.due(down_ & own_bit(), now) & own_bit()) == 0) return;
        const std::uint8_t has = presses_.is_held(levels_.input) ? std::uint8_t{0} : has_;
        const auto step = presses_.step(levels_.input, (down_ & own_bit()) != 0, now, rule_, has);
        for (std::uint8_t i = 0; i < step.outcome_count; ++i) count(step.outcomes[i], now_ms);
        if ((step.signals & engine::k_signal_begin_short) != 0) ++result_.short_presses;
        if ((step.signals & engine::k_signal_begin_long) != 0) ++result_.long_presses;
        if ((step.signals & engine::k_signal_begin_double) != 0) ++result_.double_presses;
    }

    void count(PressOutcome outcome, std::int64_t now_ms) {
        switch (outcome) {
            case PressOutcome::accepted: ++result_.accepted; break;
            case PressOutcome::too_short: ++result_.too_short; break;
            case PressOutcome::bounced: ++result_.bounced; break;
            case PressOutcome::refractory: ++result_.refractory; break;
            case PressOutcome::guarded: ++result_.guarded; break;
            case PressOutcome::bridged: ++result_.bridged; break;
            case PressOutcome::hold_limit: ++result_.hold_limits; break;
            case PressOutcome::ended:
            case PressOutcome::really_up: break;
        }
        if (outcome == PressOutcome::accepted) is_accepted_ = true;
        if (outcome == PressOutcome::ended || outcome == PressOutcome::hold_limit) is_accepted_ = false;
        if (outcomes_ != nullptr) outcomes_->push_back({base_us_ + now_ms * k_us_a_ms, outcome});
    }

    const RecordedLevels& levels_;
    const RuleDef& rule_;
    std::uint8_t has_;
    std::vector<WhatIfOutcome>* outcomes_;
    Presses presses_;
    WhatIf result_;
    std::int64_t base_us_ = 0;
    std::size_t change_ = 0, neighbour_ = 0;
    std::uint32_t down_ = 0;
    bool is_accepted_ = false;
};

LevelChange change_of(LevelNews news, std::int64_t us, bool is_down) {
    switch (news) {
        case LevelNews::went_down: return {us, true};
        case LevelNews::is_down: return {us, true, false, true};
        case LevelNews::gap: return {us, false, true};
        case LevelNews::let_go: return {us, is_down, false, true};
        case LevelNews::went_up:
        case LevelNews::is_up:
        case LevelNews::hold_limit: break;
    }
    return {us, false};
}

/// What the others did, as the device told it.
void note_neighbour(RecordedLevels& to, std::int64_t at_us, const engine::Event& event) {
    const std::uint8_t input = event.data[0], what = event.data[1];
    if (input == to.input || input >= engine::k_max_inputs) return;
    if (!to.neighbours.empty()) at_us = std::max(at_us, to.neighbours.back().at_us);
    if (event.kind == EventKind::level)
        to.neighbours.push_back(
            {at_us, input, what != 0 ? Neighbour::Did::went_down : Neighbour::Did::went_up});
    if (event.kind == EventKind::press && static_cast<PressOutcome>(what) == PressOutcome::accepted)
        to.neighbours.push_back({at_us, input, Neighbour::Did::was_accepted});
}

/// When the device accepted a press of this input, in order.
std::vector<std::int64_t> own_accepted(const trace::Roll& roll, std::uint8_t input, std::int64_t from_us,
                                       std::int64_t to_us) {
    std::vector<std::int64_t> times;
    trace::Moment moment;
    for (auto walk = roll.walk_between(from_us, to_us); walk.next(moment);)
        if (moment.event.kind == EventKind::press && moment.event.data[0] == input &&
            static_cast<PressOutcome>(moment.event.data[1]) == PressOutcome::accepted)
            times.push_back(moment.at_us);
    std::sort(times.begin(), times.end());
    return times;
}

}  // namespace

RecordedLevels recorded_levels(const trace::Roll& roll, std::uint8_t input, std::int64_t from_us,
                               std::int64_t to_us, std::span<const RuleDef> rules) {
    RecordedLevels levels;
    levels.input = input;
    for (std::size_t i = 0; i < rules.size() && i < levels.bridges_ms.size(); ++i)
        levels.bridges_ms[i] = rules[i].bridge_ms;
    if (input >= engine::k_max_inputs) return levels;
    bool is_down = false;
    const std::vector<std::int64_t> accepted_us = own_accepted(roll, input, from_us, to_us);
    levels.end_us = for_level(roll, input, from_us, to_us, [&](LevelNews news, std::int64_t us) {
        if (news == LevelNews::hold_limit) return;
        LevelChange change = change_of(news, us, is_down);
        const auto accepted = std::lower_bound(accepted_us.begin(), accepted_us.end(), us - k_us_a_ms / 2);
        change.is_by_itself = news == LevelNews::let_go && accepted != accepted_us.end() && *accepted <= us;
        is_down = change.is_down;
        levels.changes.push_back(change);
    });
    trace::Moment moment;
    for (auto walk = roll.walk_between(from_us, to_us); walk.next(moment);)
        note_neighbour(levels, moment.at_us, moment.event);
    return levels;
}

WhatIf what_if(const RecordedLevels& levels, const RuleDef& rule, std::uint8_t has,
               std::vector<WhatIfOutcome>* outcomes) {
    if (levels.input >= engine::k_max_inputs) return {};
    return Replay(levels, rule, has, outcomes).run();
}

}  // namespace fettle::measure
