#include "tests/trace/events.hpp"

#include <algorithm>
#include <random>

#include "core/engine/report.hpp"

namespace fettle::test {

using engine::Event;
using engine::EventKind;
using engine::PressOutcome;

Event event(EventKind kind, std::initializer_list<int> data) {
    Event e{};
    e.kind = kind;
    std::size_t i = 0;
    for (const int byte : data) e.data[i++] = static_cast<std::uint8_t>(byte);
    return e;
}

Event level(int input, bool is_down) {
    return event(EventKind::level, {input, is_down ? 1 : 0});
}

Event press(int input, PressOutcome outcome) {
    return event(EventKind::press, {input, static_cast<int>(outcome)});
}

Event snapshot(int mode, std::uint32_t down) {
    Event e = event(EventKind::snapshot, {mode, 0});
    engine::put16(e.data + 2, 1000);
    engine::put16(e.data + 6, static_cast<std::uint16_t>(down & 0xFFFF));
    e.data[8] = static_cast<std::uint8_t>(down >> 16 & 0xFF);
    return e;
}

Event pointer(int x, int y, int buttons) {
    Event e = event(EventKind::report, {1, 8, engine::k_pointer_report_id, buttons});
    engine::put16(e.data + 4, static_cast<std::uint16_t>(x));
    engine::put16(e.data + 6, static_cast<std::uint16_t>(y));
    return e;
}

Event keyboard(int modifiers, int usage) {
    return event(EventKind::report, {0, 8, modifiers, 0, usage});
}

Event infrared(int protocol, bool is_repeat, std::uint32_t code) {
    Event e = event(EventKind::ir_frame, {protocol | (is_repeat ? 0x80 : 0), 0xFF});
    engine::put32(e.data + 2, code);
    return e;
}

Event lost(int count) {
    Event e = event(EventKind::lost, {});
    engine::put16(e.data, static_cast<std::uint16_t>(count));
    return e;
}

namespace {

class Random {
public:
    explicit Random(std::uint32_t seed) : engine_(seed) {}
    int to(int most) { return static_cast<int>(engine_() % static_cast<std::uint32_t>(most + 1)); }
    bool is(int permille) { return to(999) < permille; }
    std::uint32_t bits() { return static_cast<std::uint32_t>(engine_()); }

private:
    std::mt19937 engine_;
};

Event random_event(Random& random) {
    const int input = random.to(4) == 0 ? random.to(25) : random.to(2);  // 24 and 25: none that there is
    switch (random.to(15)) {
        case 0:
        case 1: return level(input, random.to(1) == 1);
        case 2: return press(input, static_cast<PressOutcome>(random.to(9)));
        case 3: return press(input, random.to(1) == 1 ? PressOutcome::accepted : PressOutcome::ended);
        case 4: return event(EventKind::gesture, {input, random.to(2), random.to(3), random.to(9)});
        case 5: return event(EventKind::action, {input, random.to(3), random.to(3)});
        case 6: return event(EventKind::mode, {random.to(3), 0});
        case 7:
            return event(EventKind::held,
                         {random.to(1), random.to(1) * 2, random.to(1), random.to(2), random.to(1)});
        case 8:
        case 9: return pointer(random.to(40) - 20, random.to(8) - 4, random.to(5) == 0 ? 1 : 0);
        case 10: return keyboard(random.to(1) * 2, random.to(1) * random.to(100));
        case 11:
            return event(EventKind::report, {1, 3, random.to(2), random.to(1) * 0xE9, random.to(1) * 0xFF});
        case 12: return infrared(random.to(11), random.to(1) == 1, random.bits());
        case 13: return event(EventKind::ir_noise, {random.to(255)});
        case 14: return event(EventKind::scale, {random.to(255), random.to(3)});
        default: break;
    }
    constexpr EventKind k_others[] = {EventKind::edge,    EventKind::ir_lost,     EventKind::taken,
                                      EventKind::trial,   EventKind::drag_broken, EventKind::released,
                                      EventKind::variant, EventKind::text,        EventKind::leds,
                                      EventKind::fault,   EventKind::grid,        EventKind::unread};
    Event e = event(k_others[random.to(11)], {});
    for (std::uint8_t i = 0; i < engine::event_size(e.kind); ++i)
        e.data[i] = static_cast<std::uint8_t>(random.to(255));
    return e;
}

}  // namespace

trace::Recording random_moments(const Mix& mix) {
    Random random(mix.seed);
    trace::Recording made;
    std::int64_t now_us = random.to(1000);
    for (std::size_t i = 0; i < mix.count; ++i) {
        if (random.to(3) != 0) now_us += random.to(static_cast<int>(mix.longest_step_us));
        if (random.is(5)) now_us += 250000;  // the pointer comes to rest
        const std::int64_t slip_us = random.to(9) == 0 ? random.to(static_cast<int>(mix.most_slip_us)) : 0;
        if (random.is(mix.gaps_permille)) {
            Event gap{};
            gap.data[0] = static_cast<std::uint8_t>(random.to(3));
            made.moments.push_back({now_us, gap});
        } else if (random.is(mix.gaps_permille)) {
            made.moments.push_back({now_us - slip_us, lost(random.to(3))});
        } else if ((i == 0 && mix.begins_with_snapshot) || random.is(mix.snapshots_permille)) {
            made.moments.push_back({now_us - slip_us, snapshot(random.to(3), random.bits() & random.bits())});
        } else {
            made.moments.push_back({now_us - slip_us, random_event(random)});
        }
    }
    return made;
}

trace::Roll random_roll(const Mix& mix) {
    trace::Roll roll;
    for (const auto& [at_us, event] : random_moments(mix).moments) {
        if (trace::is_gap(event))
            roll.append_gap(trace::gap_batches(event));
        else
            roll.append(at_us, event);
    }
    return roll;
}

}  // namespace fettle::test
