// From events to lanes. What a lane was: lanes_query.cpp.
#include "core/trace/lanes.hpp"

#include <algorithm>

#include "core/engine/bytes.hpp"
#include "core/trace/report_shape.hpp"

namespace fettle::trace {

using engine::ActionPhase;
using engine::Event;
using engine::EventKind;
using engine::get16;
using engine::PressOutcome;

namespace {

constexpr std::uint8_t k_repeat_bit = 0x80;
constexpr std::uint16_t k_whole_frame = 16;

std::uint16_t value_of(std::uint32_t number) {
    return static_cast<std::uint16_t>(std::min<std::uint32_t>(number, k_greatest_number) + 1);
}

}  // namespace

std::uint16_t place_of(Lane lane) {
    const auto kind = static_cast<std::uint16_t>(lane.kind);
    if (kind >= k_lane_kinds) return k_lane_count;
    if (!is_of_an_input(lane.kind))
        return lane.input != 0 ? k_lane_count
                               : static_cast<std::uint16_t>(k_input_lane_kinds * engine::k_max_inputs + kind -
                                                            k_input_lane_kinds);
    if (lane.input >= engine::k_max_inputs) return k_lane_count;
    return static_cast<std::uint16_t>(kind * engine::k_max_inputs + lane.input);
}

LaneList& Lanes::own(LaneKind kind, std::uint8_t input) {
    return lists_[place_of({kind, input})];
}

/// What came after a gap never lies before it.
std::int64_t Lanes::floored(std::int64_t us) const {
    return std::max(us, floor_us_);
}

void Lanes::set(LaneKind kind, std::uint8_t input, std::int64_t us, bool is_on, std::uint32_t number) {
    if (place_of({kind, input}) == k_lane_count) return;
    const std::uint16_t value = is_on ? value_of(number) : std::uint16_t{0};
    LaneList& list = own(kind, input);
    // After a gap even what was so before is news: from here on it is known.
    if (is_blind() && (list.size() == 0 || list.us(list.size() - 1) < floor_us_))
        list.put(floored(us), value);
    else
        list.set(floored(us), value);
}

void Lanes::mark(LaneKind kind, std::uint8_t input, std::int64_t us, std::uint32_t number) {
    if (place_of({kind, input}) == k_lane_count) return;
    own(kind, input).put(floored(us), value_of(number));
}

void Lanes::close(std::int64_t us, std::uint32_t missing) {
    floor_us_ = std::max(floor_us_, us);
    blind_.put(us, 1);
    own(LaneKind::lost).put(us, value_of(missing));
    for (const LaneKind kind : {LaneKind::keyboard, LaneKind::buttons, LaneKind::consumer})
        own(kind).set(us - 1, 0);
}

void Lanes::take(std::int64_t us, const Event& event) {
    const std::uint8_t* d = event.data;
    switch (event.kind) {
        case EventKind::level: return set(LaneKind::level, d[0], us, d[1] != 0, 0);
        case EventKind::press: return take_press(us, event);
        case EventKind::gesture: return mark(LaneKind::gesture, d[0], us, d[1]);
        case EventKind::action: return take_action(us, event);
        case EventKind::mode: return set(LaneKind::mode, 0, us, true, d[0]);
        case EventKind::scale: return set(LaneKind::scale, 0, us, true, get16(d));
        case EventKind::held: return take_held(us, event);
        case EventKind::report: return take_report(us, event);
        case EventKind::released:
        case EventKind::variant: return let_go_presses(us);
        case EventKind::snapshot: return take_snapshot(us, event);
        case EventKind::ir_frame:
            return mark(LaneKind::infrared, 0, us,
                        (d[0] & k_repeat_bit) != 0 ? d[0] & ~k_repeat_bit & 0xFF : d[0] + k_whole_frame);
        case EventKind::ir_noise: return mark(LaneKind::noise, 0, us, d[0]);
        case EventKind::none:
        case EventKind::edge:
        case EventKind::ir_lost:
        case EventKind::taken:
        case EventKind::drag_broken:
        case EventKind::trial:
        case EventKind::text:
        case EventKind::leds:
        case EventKind::lost:
        case EventKind::fault:
        case EventKind::grid:
        case EventKind::unread: return;
    }
}

void Lanes::take_press(std::int64_t us, const Event& event) {
    const std::uint8_t input = event.data[0];
    switch (static_cast<PressOutcome>(event.data[1])) {
        case PressOutcome::accepted: return set(LaneKind::press, input, us, true, 0);
        case PressOutcome::ended:
        case PressOutcome::hold_limit: return set(LaneKind::press, input, us, false, 0);
        case PressOutcome::too_short:
        case PressOutcome::bounced:
        case PressOutcome::refractory:
        case PressOutcome::guarded: return mark(LaneKind::rejected, input, us, event.data[1]);
        case PressOutcome::bridged:
        case PressOutcome::really_up: return;
    }
}

void Lanes::take_action(std::int64_t us, const Event& event) {
    const std::uint8_t input = event.data[0];
    switch (static_cast<ActionPhase>(event.data[2])) {
        case ActionPhase::begin: return set(LaneKind::action, input, us, true, event.data[1]);
        case ActionPhase::end: return set(LaneKind::action, input, us, false, 0);
        case ActionPhase::refused:
        case ActionPhase::repeat: return;
    }
}

void Lanes::take_report(std::int64_t us, const Event& event) {
    const std::uint8_t* bytes = event.data + 2;
    const ReportShape shape = report_shape(event);
    if (shape == ReportShape::none) return;
    if (shape == ReportShape::keyboard) {
        const bool is_on = bytes[0] != 0 || std::any_of(bytes + 2, bytes + 8, [](auto b) { return b != 0; });
        return set(LaneKind::keyboard, 0, us, is_on, static_cast<std::uint32_t>(bytes[0] << 8 | bytes[2]));
    }
    if (shape == ReportShape::consumer) {
        const std::uint16_t usage = get16(bytes + 1);
        return set(LaneKind::consumer, 0, us, usage != 0, usage);
    }
    const std::uint8_t buttons = shape == ReportShape::mouse ? bytes[1] : bytes[0];
    set(LaneKind::buttons, 0, us, buttons != 0, buttons);
    mark(LaneKind::pointer_report, 0, us, buttons);
    const Movement moved = movement(event);
    if (moved.x != 0 || moved.y != 0) motion_.put(floored(us), moved.x, moved.y);
}

void Lanes::take_held(std::int64_t us, const Event& event) {
    const std::uint8_t* d = event.data;
    set(LaneKind::latched, 0, us, d[0] != 0, d[0]);
    set(LaneKind::locked, 0, us, d[1] != 0, d[1]);
    set(LaneKind::dragged, 0, us, d[2] != 0, d[2]);
    set(LaneKind::held, 0, us, (d[3] | d[4]) != 0, static_cast<std::uint32_t>(d[3] | d[4] << 8));
}

/// Whoever is down then is not heard until really up: no `ended` follows.
void Lanes::let_go_presses(std::int64_t us) {
    for (std::uint8_t input = 0; input < engine::k_max_inputs; ++input)
        set(LaneKind::press, input, us, false, 0);
}

/// Within known times it says nothing new of presses: one may go on over a gap of the level.
void Lanes::take_snapshot(std::int64_t us, const Event& event) {
    const std::uint8_t* d = event.data;
    const std::uint32_t down = get16(d + 6) | static_cast<std::uint32_t>(d[8]) << 16;
    const bool was_blind = is_blind();
    if (was_blind) {
        blind_.put(floored(us), 0);
        own(LaneKind::lost).set(floored(us), 0);
    }
    set(LaneKind::mode, 0, us, true, d[0]);
    set(LaneKind::scale, 0, us, true, get16(d + 2));
    for (std::uint8_t input = 0; input < engine::k_max_inputs; ++input) {
        const bool is_down = (down >> input & 1) != 0;
        set(LaneKind::level, input, us, is_down, 0);
        if (!was_blind || is_down) continue;
        set(LaneKind::press, input, us, false, 0);
        set(LaneKind::action, input, us, false, 0);
    }
}

std::size_t Lanes::bytes_used() const {
    std::size_t bytes = blind_.bytes_used() + motion_.bytes_used();
    for (const auto& list : lists_) bytes += list.bytes_used();
    return bytes;
}

}  // namespace fettle::trace
