#include "core/trace/recording.hpp"

#include <algorithm>

#include "core/engine/report.hpp"

namespace fettle::trace {

using engine::EventKind;
using engine::PressOutcome;

namespace {

constexpr std::int64_t k_rest_us = 300000;

struct Movement {
    std::int16_t x = 0, y = 0;
    std::int8_t wheel = 0, pan = 0;
    bool is_any() const { return x != 0 || y != 0 || wheel != 0 || pan != 0; }
};

bool is_pointer_report(const engine::Event& event, std::uint8_t id) {
    return event.kind == EventKind::report &&
           event.data[0] == static_cast<std::uint8_t>(engine::Endpoint::pointer) && event.data[1] > 0 &&
           event.data[2] == id;
}

Movement movement(const engine::Event& event) {
    Movement moved;
    if (!is_pointer_report(event, engine::k_pointer_report_id)) return moved;
    const std::uint8_t* b = event.data + 2;
    moved.x = static_cast<std::int16_t>(engine::get16(b + 2));
    moved.y = static_cast<std::int16_t>(engine::get16(b + 4));
    moved.wheel = static_cast<std::int8_t>(b[6]);
    moved.pan = static_cast<std::int8_t>(b[7]);
    return moved;
}

}  // namespace

std::vector<Press> presses(const Recording& recording) {
    std::vector<Press> all;
    for (const auto& [at_us, event] : recording.moments) {
        if (event.kind != EventKind::press) continue;
        const std::uint8_t input = event.data[0];
        const auto outcome = static_cast<PressOutcome>(event.data[1]);
        if (outcome == PressOutcome::accepted) {
            all.push_back({input, at_us, -1, false});
            continue;
        }
        if (outcome != PressOutcome::ended && outcome != PressOutcome::hold_limit) continue;
        const auto open = std::find_if(all.rbegin(), all.rend(),
                                       [&](const Press& p) { return p.input == input && p.ended_us < 0; });
        if (open == all.rend()) continue;
        open->ended_us = at_us;
        open->hit_hold_limit = outcome == PressOutcome::hold_limit;
    }
    return all;
}

std::vector<std::uint32_t> outcomes(const Recording& recording) {
    std::vector<std::uint32_t> counts(static_cast<std::size_t>(PressOutcome::really_up) + 1);
    for (const auto& moment : recording.moments)
        if (moment.event.kind == EventKind::press && moment.event.data[1] < counts.size())
            ++counts[moment.event.data[1]];
    return counts;
}

ReportSums report_sums(const Recording& recording) {
    ReportSums sums;
    for (const auto& moment : recording.moments) {
        const auto& event = moment.event;
        if (event.kind != EventKind::report) continue;
        if (event.data[0] == static_cast<std::uint8_t>(engine::Endpoint::keyboard))
            ++sums.keyboard_reports;
        else if (is_pointer_report(event, engine::k_consumer_report_id))
            ++sums.consumer_reports;
        else
            ++sums.pointer_reports;
        const Movement moved = movement(event);
        sums.x += moved.x;
        sums.y += moved.y;
        sums.wheel += moved.wheel;
        sums.pan += moved.pan;
    }
    return sums;
}

std::int64_t still_after_us(const Recording& recording, std::int64_t finger_up_us) {
    std::int64_t last_us = finger_up_us;
    for (const auto& [at_us, event] : recording.moments) {
        if (at_us <= finger_up_us || !movement(event).is_any()) continue;
        if (at_us - last_us > k_rest_us) break;
        last_us = at_us;
    }
    return last_us - finger_up_us;
}

std::uint32_t repeats_lost(const Recording& recording) {
    std::uint32_t lost = 0;
    for (const auto& moment : recording.moments)
        if (moment.event.kind == EventKind::ir_lost) lost += moment.event.data[1];
    return lost;
}

}  // namespace fettle::trace
