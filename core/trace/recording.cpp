#include "core/trace/recording.hpp"

#include <algorithm>

#include "core/trace/report_shape.hpp"

namespace fettle::trace {

using engine::EventKind;
using engine::PressOutcome;

namespace {

constexpr std::int64_t k_rest_us = 300000;

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
        switch (report_shape(moment.event)) {
            case ReportShape::none: continue;
            case ReportShape::keyboard: ++sums.keyboard_reports; break;
            case ReportShape::mouse:
            case ReportShape::boot_mouse: ++sums.pointer_reports; break;
            case ReportShape::consumer: ++sums.consumer_reports; break;
        }
        const Movement moved = movement(moment.event);
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
