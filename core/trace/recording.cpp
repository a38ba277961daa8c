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

enum class Shape { none, keyboard, mouse, boot_mouse, consumer };

/// What a report is, from its endpoint, size and id (core/engine/report.hpp). A boot mouse report whose
/// buttons are those of the consumer id (the secondary alone) cannot be told from one: it counts as that, and
/// moves nothing.
Shape shape(const engine::Event& event) {
    const std::uint8_t size = event.data[1], id = event.data[2];
    if (event.kind != EventKind::report || size == 0) return Shape::none;
    if (event.data[0] == static_cast<std::uint8_t>(engine::Endpoint::keyboard)) return Shape::keyboard;
    if (size == engine::k_pointer_report_bytes) return Shape::mouse;
    if (size != engine::k_boot_mouse_report_bytes) return Shape::none;
    return id == engine::k_consumer_report_id ? Shape::consumer : Shape::boot_mouse;
}

Movement movement(const engine::Event& event) {
    const std::uint8_t* b = event.data + 2;
    Movement moved;
    switch (shape(event)) {
        case Shape::mouse:
            moved.x = static_cast<std::int16_t>(engine::get16(b + 2));
            moved.y = static_cast<std::int16_t>(engine::get16(b + 4));
            moved.wheel = static_cast<std::int8_t>(b[6]);
            moved.pan = static_cast<std::int8_t>(b[7]);
            break;
        case Shape::boot_mouse:
            moved.x = static_cast<std::int8_t>(b[1]);
            moved.y = static_cast<std::int8_t>(b[2]);
            break;
        case Shape::none:
        case Shape::keyboard:
        case Shape::consumer: break;
    }
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
        switch (shape(moment.event)) {
            case Shape::none: continue;
            case Shape::keyboard: ++sums.keyboard_reports; break;
            case Shape::mouse:
            case Shape::boot_mouse: ++sums.pointer_reports; break;
            case Shape::consumer: ++sums.consumer_reports; break;
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
