// The simulated device's world: hands, cable, power, and the computer that reads its reports.

#include "app/desk/station_inside.hpp"
#include "app/sim_script.hpp"

namespace fettle::app {

namespace {

constexpr std::uint64_t k_us_a_ms = 1000;

/// held: the button that is down for as long as nobody lets go of it. A second one has taken its place by
/// itself.
Status work_infrared(sim::Hands& hands, std::uint64_t now_us, const profile::Infrared& source,
                     const ask::Hand& hand, std::optional<profile::Infrared>& held) {
    if (!hand.is_down) {
        if (held == source) hands.let_go(now_us);
        return Done{};
    }
    if (source.protocol == profile::Protocol::unknown || source.protocol == profile::Protocol::none)
        return fail(Errc::unsupported, "hand", "a button that nobody can send");
    held.reset();
    if (hand.hold_ms != 0) {
        hands.press_remote(frame_of(source), now_us, hand.hold_ms);
    } else {
        hands.hold_remote(frame_of(source), now_us);
        held = source;
    }
    return Done{};
}

Status work_switch(sim::Hands& hands, std::uint64_t now_us, const profile::Switch& source,
                   const ask::Hand& hand) {
    if (source.line < 1 || source.line > engine::k_switch_lines) return fail(Errc::out_of_range, "line");
    const auto line = static_cast<std::uint8_t>(source.line);
    // closed_low: as Hands has it. Otherwise the contact lifts the line, the levels are the other way round.
    const auto set = [&](bool is_down, std::uint64_t at_us) {
        if (is_down == source.closed_low)
            hands.close_switch(line, at_us);
        else
            hands.open_switch(line, at_us);
    };
    set(hand.is_down, now_us);
    if (hand.is_down && hand.hold_ms != 0) set(false, now_us + hand.hold_ms * k_us_a_ms);
    return Done{};
}

Status work_axis(sim::Hands& hands, std::uint64_t now_us, const profile::Axis& source,
                 const ask::Hand& hand) {
    const auto axis = static_cast<std::uint8_t>(source.axis);
    if (axis >= engine::k_axes) return fail(Errc::out_of_range, "axis");
    const std::int16_t full = source.side == profile::AxisSide::positive ? 1000 : -1000;
    hands.set_axis(axis, now_us, hand.is_down ? full : std::int16_t{0});
    if (hand.is_down && hand.hold_ms != 0) hands.set_axis(axis, now_us + hand.hold_ms * k_us_a_ms, 0);
    return Done{};
}

using Held = std::optional<profile::Infrared>;

Status work(sim::SimDevice& device, const ask::Hand& hand, Held& held) {
    sim::Hands& hands = device.hands();
    const std::uint64_t now_us = device.now_us();
    if (const auto* infrared = std::get_if<profile::Infrared>(&hand.source))
        return work_infrared(hands, now_us, *infrared, hand, held);
    if (const auto* line = std::get_if<profile::Switch>(&hand.source))
        return work_switch(hands, now_us, *line, hand);
    if (const auto* axis = std::get_if<profile::Axis>(&hand.source))
        return work_axis(hands, now_us, *axis, hand);
    return fail(Errc::unsupported, "hand", "not taught yet");
}

Status work(sim::SimDevice& device, const ask::Axis& wanted, Held& /*unused*/) {
    if (wanted.axis >= engine::k_axes) return fail(Errc::out_of_range, "axis");
    device.hands().set_axis(wanted.axis, device.now_us(), wanted.permille);
    return Done{};
}

Status work(sim::SimDevice& device, const ask::Cable& cable, Held& /*unused*/) {
    if (cable.is_plugged)
        device.plug_cable();
    else
        device.pull_cable();
    return Done{};
}

Status work(sim::SimDevice& device, const ask::PowerCut& /*unused*/, Held& /*unused*/) {
    device.cut_power();
    return Done{};
}

bool is_same(const sim::HostView& a, const sim::HostView& b) {
    return a.modifiers == b.modifiers && a.keys == b.keys && a.buttons == b.buttons &&
           a.consumer == b.consumer && a.x == b.x && a.y == b.y && a.wheel == b.wheel && a.pan == b.pan &&
           a.roll_overs == b.roll_overs;
}

}  // namespace

void Station::Inside::work_hands(const Waiting& waiting) {
    const bool is_real = now.attached && now.attached->channel != link::ChannelKind::simulated;
    const auto device = is_real ? nullptr : source.simulated();
    if (!device) return tell(waiting, Error{Errc::unsupported, "hand", "the device is not simulated"});
    const Status done = std::visit(
        [&](const auto& what) -> Status {
            if constexpr (requires { work(*device, what, held_button); })
                return work(*device, what, held_button);
            else
                return fail(Errc::unsupported, "hand");
        },
        waiting.what);
    next_look_ms = round_ms;  // a cable may have come or gone
    tell(waiting, error_of(done));
}

/// What the simulated computer has down. The reports that it read are not kept: nobody asks for them.
void Station::Inside::note_computer() {
    const bool is_real = now.attached && now.attached->channel != link::ChannelKind::simulated;
    const auto device = is_real ? nullptr : source.simulated();
    if (!device) {
        if (now.computer) touch();
        now.computer.reset();
        return;
    }
    device->host().forget_taken();
    if (now.computer && is_same(*now.computer, device->host().view())) return;
    now.computer = device->host().view();
    touch();
}

}  // namespace fettle::app
