#include "tests/trace/slow_roll.hpp"

#include <algorithm>
#include <cmath>

#include "core/engine/bytes.hpp"

namespace fettle::test {

using engine::EventKind;
using trace::Column;
using trace::Lane;
using trace::LaneKind;
using trace::LaneState;
using trace::Reach;
using trace::Signal;
using trace::Wanted;

namespace {

constexpr int k_off = -1;
constexpr int k_nothing = -2;  // the event says nothing of the lane

int number(int n) {
    return std::min<int>(n, trace::k_greatest_number);
}

int of_report(LaneKind kind, const std::uint8_t* d) {
    const bool is_keyboard = d[0] == 0;
    const std::uint8_t* b = d + 2;
    if (d[1] == 0) return k_nothing;
    if (is_keyboard) {
        if (kind != LaneKind::keyboard) return k_nothing;
        const bool is_any = b[0] != 0 || b[2] || b[3] || b[4] || b[5] || b[6] || b[7];
        return is_any ? number(b[0] * 256 + b[2]) : k_off;
    }
    const bool is_consumer = d[1] == 3 && b[0] == 2;
    if (kind == LaneKind::consumer && is_consumer) {
        const int usage = b[1] + 256 * b[2];
        return usage != 0 ? number(usage) : k_off;
    }
    if (is_consumer || (d[1] != 8 && d[1] != 3)) return k_nothing;
    const int buttons = d[1] == 8 ? b[1] : b[0];
    if (kind == LaneKind::buttons) return buttons != 0 ? buttons : k_off;
    return kind == LaneKind::pointer_report ? buttons : k_nothing;
}

int on(bool is_on, int n) {
    return is_on ? number(n) : k_off;
}

int of_input(Lane lane, EventKind kind, const std::uint8_t* d) {
    if (kind == EventKind::released || kind == EventKind::variant)
        return lane.kind == LaneKind::press ? k_off : k_nothing;
    if (d[0] != lane.input) return k_nothing;
    switch (lane.kind) {
        case LaneKind::level: return kind == EventKind::level ? on(d[1] != 0, 0) : k_nothing;
        case LaneKind::press:
            if (kind != EventKind::press) return k_nothing;
            return d[1] == 0 ? 0 : d[1] == 6 || d[1] == 7 ? k_off : k_nothing;
        case LaneKind::rejected: return kind == EventKind::press && d[1] >= 1 && d[1] <= 4 ? d[1] : k_nothing;
        case LaneKind::gesture: return kind == EventKind::gesture ? d[1] : k_nothing;
        case LaneKind::action:
            if (kind != EventKind::action || d[2] > 1) return k_nothing;
            return d[2] == 0 ? d[1] : k_off;
        default: return k_nothing;
    }
}

int of_all(LaneKind lane, EventKind kind, const std::uint8_t* d) {
    if (kind == EventKind::snapshot) {
        if (lane == LaneKind::mode) return d[0];
        return lane == LaneKind::scale ? d[2] + 256 * d[3] : k_nothing;
    }
    if (lane == LaneKind::mode) return kind == EventKind::mode ? d[0] : k_nothing;
    if (lane == LaneKind::scale) return kind == EventKind::scale ? d[0] + 256 * d[1] : k_nothing;
    if (lane == LaneKind::noise) return kind == EventKind::ir_noise ? d[0] : k_nothing;
    if (lane == LaneKind::infrared) {
        if (kind != EventKind::ir_frame) return k_nothing;
        return d[0] >= 128 ? d[0] - 128 : d[0] + 16;
    }
    if (kind == EventKind::report) return of_report(lane, d);
    if (kind != EventKind::held) return k_nothing;
    if (lane == LaneKind::latched) return on(d[0] != 0, d[0]);
    if (lane == LaneKind::locked) return on(d[1] != 0, d[1]);
    if (lane == LaneKind::dragged) return on(d[2] != 0, d[2]);
    return lane == LaneKind::held ? on(d[3] + d[4] != 0, d[3] + 256 * d[4]) : k_nothing;
}

}  // namespace

SlowRoll::SlowRoll(const trace::Roll& roll) {
    std::int64_t latest_us = 0, floor_us = -trace::k_farthest_us;
    for (std::size_t i = 0; i < roll.size(); ++i) {
        Told told;
        told.moment = roll.at(i);
        const std::int64_t us = told.moment.at_us;
        const auto& event = told.moment.event;
        if (i == 0) {
            latest_us = first_us_ = us;
            blind_.push_back({us, std::nullopt, true});
        }
        const std::int64_t gap_us = i == 0 ? us : std::max(latest_us, floor_us) + 1;
        told.is_blind = !blind_.back().to_us;
        if (trace::is_gap(event)) {
            told.closes_us = us;
            told.missing = trace::gap_batches(event);
        }
        if (event.kind == EventKind::lost) {
            told.closes_us = gap_us;
            told.missing = engine::get16(event.data);
        }
        if (told.closes_us) {
            floor_us = *told.closes_us;
            blind_.push_back({floor_us, std::nullopt, false});
        }
        told.last_gap_us = floor_us;
        told.floor_us = std::max(us, floor_us);
        if (event.kind == EventKind::snapshot && !blind_.back().to_us) {
            told.ends_blind = true;
            for (auto& blind : blind_)
                if (!blind.to_us) blind.to_us = told.floor_us;
        }
        latest_us = std::max(latest_us, us);
        first_us_ = std::min(first_us_, us);
        told_.push_back(told);
    }
    last_us_ = roll.last_us();
    scale_ = entries({LaneKind::scale, 0});
    std::int64_t before_us = 0;
    for (const auto& told : told_) {
        const auto& d = told.moment.event.data;
        if (told.moment.event.kind != EventKind::report || d[0] == 0) continue;
        if (d[1] != 8 && (d[1] != 3 || d[2] == 2)) continue;
        const int dx =
            d[1] == 8 ? static_cast<std::int16_t>(engine::get16(d + 4)) : static_cast<std::int8_t>(d[3]);
        const int dy =
            d[1] == 8 ? static_cast<std::int16_t>(engine::get16(d + 6)) : static_cast<std::int8_t>(d[4]);
        if (dx == 0 && dy == 0) continue;
        const std::int64_t us = steps_.empty() ? told.floor_us : std::max(told.floor_us, before_us);
        const std::int64_t in_us = steps_.empty()
                                       ? trace::k_speed_rest_us
                                       : std::clamp<std::int64_t>(us - before_us, 1, trace::k_speed_rest_us);
        const double speed = std::hypot(dx, dy) * 1e6 / static_cast<double>(in_us);
        steps_.push_back({us, dx, dy, std::min<std::int64_t>(65535, std::llround(speed))});
        before_us = us;
    }
}

std::vector<SlowRoll::Entry> SlowRoll::entries(Lane lane) const {
    std::vector<Entry> made;
    const auto put = [&](std::int64_t us, int value, bool always) {
        if (!always && value == (made.empty() ? k_off : made.back().value)) return;
        made.push_back({made.empty() ? us : std::max(us, made.back().us), value});
    };
    for (const auto& told : told_) {
        const auto& event = told.moment.event;
        if (lane.kind == LaneKind::lost) {
            if (told.closes_us) put(*told.closes_us, number(static_cast<int>(told.missing)), true);
            if (told.ends_blind) put(told.floor_us, k_off, false);
            continue;
        }
        if (told.closes_us && (lane.kind == LaneKind::keyboard || lane.kind == LaneKind::buttons ||
                               lane.kind == LaneKind::consumer))
            put(*told.closes_us - 1, k_off, false);
        int value = k_nothing;
        if (!is_of_an_input(lane.kind)) {
            value = of_all(lane.kind, event.kind, event.data);
        } else if (event.kind == EventKind::snapshot) {
            const bool is_down = (event.data[6 + lane.input / 8] >> lane.input % 8 & 1) != 0;
            if (lane.kind == LaneKind::level) value = is_down ? 0 : k_off;
            if ((lane.kind == LaneKind::press || lane.kind == LaneKind::action) && told.ends_blind &&
                !is_down)
                value = k_off;
        } else {
            value = of_input(lane, event.kind, event.data);
        }
        // The first that is heard of a lane after a gap is news, whatever it says.
        const bool is_news = told.is_blind && event.kind != EventKind::snapshot &&
                             (made.empty() || made.back().us < told.last_gap_us);
        if (value != k_nothing) put(told.floor_us, value, is_news || is_mark_lane(lane.kind));
    }
    return made;
}

bool SlowRoll::is_known(Lane lane, const std::vector<Entry>& entries, std::int64_t us) const {
    if (lane.kind == LaneKind::lost) return true;
    const Blind* in = nullptr;
    for (const auto& blind : blind_)
        if ((us >= blind.from_us || blind.is_first) && (!blind.to_us || us < *blind.to_us)) in = &blind;
    if (in == nullptr) return true;
    return !is_mark_lane(lane.kind) && std::any_of(entries.begin(), entries.end(), [&](const Entry& e) {
        return e.us <= us && (in->is_first || e.us >= in->from_us);
    });
}

LaneState SlowRoll::state_of(Lane lane, const std::vector<Entry>& entries, std::int64_t us) const {
    LaneState state;
    if (!is_inside(us)) return state;
    state.is_known = is_known(lane, entries, us);
    if (!state.is_known || is_mark_lane(lane.kind)) return state;
    int value = k_off;
    for (const auto& entry : entries)
        if (entry.us <= us) value = entry.value;
    state.is_on = value != k_off;
    if (state.is_on) state.number = static_cast<std::uint16_t>(value);
    return state;
}

LaneState SlowRoll::state(Lane lane, std::int64_t us) const {
    return state_of(lane, entries(lane), us);
}

Column SlowRoll::column(Lane lane, std::int64_t begin_us, std::int64_t end_us) const {
    const auto all = entries(lane);
    std::vector<std::int64_t> times{begin_us, first_us_};
    for (const auto& entry : all) times.push_back(entry.us);
    for (const auto& blind : blind_) {
        times.push_back(blind.from_us);
        if (blind.to_us) times.push_back(*blind.to_us);
    }
    Column column;
    std::vector<int> numbers;
    const auto is_in = [&](std::int64_t us) { return us == begin_us || (us > begin_us && us < end_us); };
    for (const std::int64_t us : times) {
        if (!is_in(us) || !is_inside(us)) continue;
        const LaneState state = state_of(lane, all, us);
        column.was_on |= state.is_on;
        column.was_off |= is_mark_lane(lane.kind) || (state.is_known && !state.is_on);
        column.was_unknown |= !state.is_known;
        if (state.is_on) numbers.push_back(state.number);
    }
    for (const auto& entry : all) {  // what was over in the same us, too
        if (entry.us < begin_us || entry.us >= end_us || !is_inside(entry.us)) continue;
        if (entry.value == k_off) column.was_off = true;
        if (entry.value == k_off) continue;
        ++column.begins;
        numbers.push_back(entry.value);
        column.was_on |= !is_mark_lane(lane.kind);
    }
    if (numbers.empty()) return column;
    column.number = static_cast<std::uint16_t>(*std::max_element(numbers.begin(), numbers.end()));
    column.is_mixed = *std::min_element(numbers.begin(), numbers.end()) != column.number;
    return column;
}

std::optional<std::int64_t> SlowRoll::next_mark(Lane lane, std::int64_t us) const {
    for (const auto& entry : entries(lane))
        if (entry.us > us && entry.value != k_off) return entry.us;
    return std::nullopt;
}

std::optional<std::int64_t> SlowRoll::previous_mark(Lane lane, std::int64_t us) const {
    std::optional<std::int64_t> last;
    for (const auto& entry : entries(lane))
        if (entry.us < us && entry.value != k_off) last = entry.us;
    return last;
}

std::int64_t SlowRoll::value_at(Signal which, std::int64_t us) const {
    std::int64_t x = 0, y = 0, speed = 0;
    for (const auto& step : steps_) {
        if (step.us > us) break;
        x += step.dx;
        y += step.dy;
        speed = us - step.us >= trace::k_speed_rest_us ? 0 : step.speed;
    }
    return which == Signal::x ? x : which == Signal::y ? y : speed;
}

Reach SlowRoll::reach(Signal which, std::int64_t begin_us, std::int64_t end_us) const {
    if (begin_us == end_us) end_us = begin_us + 1;
    begin_us = std::max(begin_us, first_us_);
    end_us = std::min(end_us, last_us_ + 1);
    if (begin_us >= end_us) return {};
    std::vector<std::int64_t> values;
    std::int64_t last = 0;
    if (which == Signal::scale) {
        bool begins_anew = false;
        std::optional<std::int64_t> carried;
        for (const auto& entry : scale_) {
            if (entry.us >= end_us) break;
            begins_anew |= entry.us == begin_us;
            if (entry.us < begin_us)
                carried = entry.value;
            else
                values.push_back(entry.value);
            last = entry.value;
        }
        if (carried && !begins_anew) values.push_back(*carried);
        if (values.empty()) return {};
    } else {
        std::int64_t x = 0, y = 0;
        values.push_back(value_at(which, begin_us));
        for (const auto& step : steps_) {
            x += step.dx;
            y += step.dy;
            const std::int64_t rest_us = step.us + trace::k_speed_rest_us;
            if (step.us >= begin_us && step.us < end_us)
                values.push_back(which == Signal::x ? x : which == Signal::y ? y : step.speed);
            if (which == Signal::speed && rest_us >= begin_us && rest_us < end_us)
                values.push_back(value_at(which, rest_us));
        }
        last = value_at(which, end_us - 1);
    }
    return {*std::min_element(values.begin(), values.end()), *std::max_element(values.begin(), values.end()),
            last, true};
}

std::vector<trace::Roll::Found> SlowRoll::found(Wanted wanted) const {
    std::vector<trace::Roll::Found> all;
    for (std::size_t i = 0; i < told_.size(); ++i) {
        const auto& event = told_[i].moment.event;
        bool is_it = false;
        std::int64_t us = told_[i].moment.at_us;
        if (wanted == Wanted::repeat_lost) is_it = event.kind == EventKind::ir_lost;
        if (wanted == Wanted::drag_broken) is_it = event.kind == EventKind::drag_broken;
        if (event.kind == EventKind::press && wanted == Wanted::press_rejected)
            is_it = event.data[1] >= 1 && event.data[1] <= 4;
        if (event.kind == EventKind::press && wanted == Wanted::hold_limit) is_it = event.data[1] == 7;
        if (wanted == Wanted::telemetry_lost && told_[i].closes_us) {
            is_it = true;
            us = *told_[i].closes_us;
        }
        if (is_it) all.push_back({i, all.empty() ? us : std::max(us, all.back().at_us)});
    }
    return all;
}

}  // namespace fettle::test
