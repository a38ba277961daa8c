#include "tests/engine/computer.hpp"

namespace fettle::engine::testing {

void Computer::offer(Endpoint endpoint, const Report& report) {
    if (report.size == 0) return;
    Report& slot = offered_[static_cast<std::size_t>(endpoint)];
    was_handed_two = was_handed_two || slot.size != 0;
    slot = report;
}

std::uint8_t Computer::poll(std::uint32_t ms) {
    if (!is_reading || ms % interval_ms != 0) return 0;
    std::uint8_t taken = 0;
    if (offered_[0].size != 0) {
        read_keyboard(offered_[0], ms);
        taken = k_taken_keyboard;
    }
    if (offered_[1].size != 0) {
        read_pointer(offered_[1], ms);
        taken = static_cast<std::uint8_t>(taken | k_taken_pointer);
    }
    offered_[0] = offered_[1] = Report{};
    return taken;
}

void Computer::reset() {
    offered_[0] = offered_[1] = Report{};
    modifiers = buttons = 0;
    media = 0;
    keys.clear();
}

void Computer::read_keyboard(const Report& report, std::uint32_t ms) {
    if (report.bytes[0] != modifiers) modifier_history.push_back(report.bytes[0]);
    modifiers = report.bytes[0];
    std::set<std::uint8_t> now;
    for (int i = 2; i < 8; ++i)
        if (report.bytes[i] > k_error_roll_over) now.insert(report.bytes[i]);
    for (const std::uint8_t usage : now)
        if (keys.count(usage) == 0) typed.push_back({ms, modifiers, usage});
    keys = now;
}

void Computer::read_pointer(const Report& report, std::uint32_t ms) {
    if (report.bytes[0] == k_consumer_report_id) {
        const std::uint16_t now = get16(report.bytes + 1);
        if (now != media) medias.push_back({ms, now});
        media = now;
        return;
    }
    if (report.bytes[1] != buttons) clicks.push_back({ms, modifiers, report.bytes[1]});
    buttons = report.bytes[1];
    const auto dx = static_cast<std::int16_t>(get16(report.bytes + 2));
    const auto dy = static_cast<std::int16_t>(get16(report.bytes + 4));
    if (dx != 0 || dy != 0) last_motion_ms = ms;
    x += dx;
    y += dy;
    wheel += static_cast<std::int8_t>(report.bytes[6]);
    pan += static_cast<std::int8_t>(report.bytes[7]);
}

}  // namespace fettle::engine::testing
