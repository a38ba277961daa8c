#include "tests/engine/press_model.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <optional>

namespace fettle::engine::press_model {
namespace {

using Tick = std::size_t;

struct Interval {
    Tick from, to;  // down at from ... to - 1
};

/// Intervals whose gaps are closed by bridge_ms.
struct Group {
    std::vector<Interval> parts;
    Tick start() const { return parts.front().from; }
    Tick up() const { return parts.back().to; }
};

/// What became of a group.
struct Fate {
    PressOutcome outcome = PressOutcome::too_short;
    Tick known = 0;  // when that was known
    Tick over = 0;   // accepted: when the press was over
    bool is_limit = false;
    bool was_waiting = false;
    bool is_accepted() const { return outcome == PressOutcome::accepted; }
};

class Model {
public:
    Model(const TimeLine& line, const RuleDef& rule, uint8_t has, unsigned ms_a_tick)
        : line_(line), rule_(rule), ms_a_tick_(ms_a_tick) {
        has_long_ = (has & k_has_long) != 0 && rule.long_ms != 0;
        has_double_ = (has & k_has_double) != 0 && rule.double_ms != 0;
        acts_late_ = (rule.flags & k_rule_act_on_release) != 0;
    }

    std::vector<Brought> run() {
        find_groups();
        for (std::size_t i = 0; i < groups_.size(); ++i) decide(i);
        find_gestures();
        std::vector<Brought> result;
        for (auto& [tick, brought] : brought_) {
            brought.tick = tick;
            result.push_back(brought);
        }
        return result;
    }

private:
    Tick ticks(unsigned ms) const { return ms / ms_a_tick_; }
    void tell(Tick at, PressOutcome outcome) { brought_[at].outcomes.push_back(outcome); }
    void signal(Tick at, uint8_t bits) { brought_[at].signals |= bits; }

    void find_groups() {
        const auto& down = line_.is_down;
        for (Tick t = 0; t < down.size(); ++t) {
            if (!down[t]) continue;
            Tick to = t;
            while (to < down.size() && down[to]) ++to;
            const bool joins = !groups_.empty() && t - groups_.back().up() <= ticks(rule_.bridge_ms);
            if (!joins) groups_.emplace_back();
            groups_.back().parts.push_back({t, to});
            t = to;
        }
    }

    bool is_bounced(std::size_t i) const {
        if (i == 0) return false;
        const Tick released = groups_[i - 1].up(), start = groups_[i].start();
        if (start - released >= ticks(rule_.debounce_ms)) return false;
        return std::none_of(line_.is_other_pressed.begin() + static_cast<std::ptrdiff_t>(released) + 1,
                            line_.is_other_pressed.begin() + static_cast<std::ptrdiff_t>(start) + 1,
                            [](uint8_t pressed) { return pressed != 0; });
    }

    bool is_refractory(std::size_t i) const {
        for (const Fate& fate : fates_) {
            if (fate.is_accepted() && groups_[i].start() - fate.known < ticks(rule_.refractory_ms))
                return true;
        }
        return false;
    }

    std::optional<Tick> accepted_at(const Group& group) const {
        const Tick earliest = group.start() + ticks(rule_.acceptance_ms);
        for (const Interval& part : group.parts) {
            if (part.to > earliest) return std::max(part.from, earliest);
        }
        return std::nullopt;
    }

    void decide(std::size_t i) {
        const Group& group = groups_[i];
        Fate fate;
        const Tick decided = group.up() + ticks(rule_.bridge_ms);
        fate.known = group.start();
        if (is_bounced(i)) {
            fate.outcome = PressOutcome::bounced;
        } else if (is_refractory(i)) {
            fate.outcome = PressOutcome::refractory;
        } else if (line_.is_guarded[group.start()] != 0) {
            fate.outcome = PressOutcome::guarded;
        } else {
            fate.was_waiting = rule_.acceptance_ms != 0;
            const auto accepted = accepted_at(group);
            fate.known = accepted.value_or(decided);
            fate.outcome = PressOutcome::too_short;
            if (accepted) {
                fate.outcome =
                    line_.is_guarded[*accepted] != 0 ? PressOutcome::guarded : PressOutcome::accepted;
            }
        }
        Tick listened_until = fate.known;
        if (fate.is_accepted()) {
            const Tick limit = fate.known + ticks(100u * std::max<unsigned>(rule_.longest_hold_ds, 5));
            fate.is_limit = limit < decided;
            fate.over = fate.is_limit ? limit : decided;
            listened_until = fate.over;
        }
        for (std::size_t part = 1; part < group.parts.size(); ++part) {
            const Tick back = group.parts[part].from;
            if (back <= listened_until && (back > group.start())) tell(back, PressOutcome::bridged);
        }
        tell(fate.known, fate.outcome);
        if (fate.is_accepted()) {
            tell(fate.over, fate.is_limit ? PressOutcome::hold_limit : PressOutcome::ended);
            if (fate.is_limit) tell(decided, PressOutcome::really_up);
        }
        fates_.push_back(fate);
    }

    bool is_down_at(Tick t) const { return line_.is_down[t] != 0; }

    std::optional<Tick> long_at(std::size_t i) const {
        if (!has_long_) return std::nullopt;
        const Fate& fate = fates_[i];
        for (Tick t = fate.known + ticks(rule_.long_ms); t <= fate.over; ++t) {
            if (is_down_at(t) && t != fate.known && (t < fate.over || fate.is_limit)) return t;
        }
        return std::nullopt;
    }

    void gesture(uint8_t begin, Tick begins, Tick ends) {
        signal(acts_late_ ? ends : begins, begin);
        signal(ends, k_signal_end);
    }

    /// Second press of a double, or when the first turned out to be a short one.
    struct Second {
        std::size_t group = 0;  // 0: none
        Tick short_at = 0;
    };

    Second look_for_second(std::size_t i) const {
        Tick short_at = std::max(groups_[i].up() + ticks(rule_.double_ms), fates_[i].over);
        const Tick last_start = short_at;
        for (std::size_t next = i + 1; next < groups_.size(); ++next) {
            if (groups_[next].start() > last_start) break;
            // A wait that is still on when the time is over holds the decision up.
            const Fate& fate = fates_[next];
            if (fate.is_accepted()) return {next, 0};
            if (fate.was_waiting && fate.known > short_at) return {0, fate.known};
        }
        return {0, short_at};
    }

    void find_gestures() {
        for (std::size_t i = 0; i < groups_.size(); ++i) {
            const Fate& fate = fates_[i];
            if (!fate.is_accepted()) continue;
            if (const auto begins = long_at(i)) {
                gesture(k_signal_begin_long, *begins, fate.over);
            } else if (!has_long_ && !has_double_) {
                gesture(k_signal_begin_short, fate.known, fate.over);
            } else if (!has_double_ || fate.is_limit) {
                gesture(k_signal_begin_short, fate.over, fate.over);
            } else {
                const Second second = look_for_second(i);
                if (second.group == 0) {
                    gesture(k_signal_begin_short, second.short_at, second.short_at);
                } else {
                    i = second.group;
                    gesture(k_signal_begin_double, fates_[i].known, fates_[i].over);
                }
            }
        }
    }

    const TimeLine& line_;
    const RuleDef& rule_;
    unsigned ms_a_tick_;
    bool has_long_ = false, has_double_ = false, acts_late_ = false;
    std::vector<Group> groups_;
    std::vector<Fate> fates_;
    std::map<Tick, Brought> brought_;
};

/// A begin only while nothing is held, an end only after a begin, never two begins: true when all is well.
bool follows(uint8_t signals, bool& is_held) {
    const uint8_t begins = signals & (k_signal_begin_short | k_signal_begin_long | k_signal_begin_double);
    if ((begins & (begins - 1)) != 0) return false;
    if (begins != 0 && is_held) return false;
    is_held = is_held || begins != 0;
    if ((signals & k_signal_end) == 0) return true;
    const bool was_held = is_held;
    is_held = false;
    return was_held;
}

}  // namespace

std::vector<Brought> all_that_happens(const TimeLine& line, const RuleDef& rule, uint8_t has,
                                      unsigned ms_a_tick) {
    return Model(line, rule, has, ms_a_tick).run();
}

std::vector<Brought> all_that_happened(const TimeLine& line, const RuleDef& rule, uint8_t has,
                                       unsigned ms_a_tick, uint16_t first_ms) {
    PressState state = {};
    std::vector<Brought> result;
    bool is_held = false, is_sound = true;
    for (Tick t = 0; t < line.is_down.size(); ++t) {
        if (line.is_other_pressed[t] != 0) press_end_debounce(state);
        const auto now_ms = static_cast<uint16_t>(first_ms + t * ms_a_tick);
        const PressStep step =
            press_step(state, line.is_down[t] != 0, now_ms, rule, has, line.is_guarded[t] != 0);
        is_sound = is_sound && !step.is_fault && follows(step.signals, is_held);
        if (step.signals == 0 && step.outcome_count == 0) continue;
        result.push_back({t, step.signals, {step.outcomes, step.outcomes + step.outcome_count}});
    }
    if (!is_sound || is_held || !press_is_idle(state))
        FAIL_CHECK("a fault, signals out of order, or not idle");
    return result;
}

}  // namespace fettle::engine::press_model
