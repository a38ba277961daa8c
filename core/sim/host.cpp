#include "core/sim/host.hpp"

namespace fettle::sim {

using engine::Endpoint;
using engine::Report;

void HostModel::offer(Endpoint endpoint, const Report& report) {
    const auto e = static_cast<unsigned>(endpoint);
    if (offered_[e].report.size != 0) ++overwritten_;
    offered_[e] = {report, (boot_protocol_ >> e & 1) != 0};
}

std::uint8_t HostModel::poll(std::uint64_t now_us) {
    ++ticks_;
    if (!is_reading_ || ticks_ % interval_ms_ != 0) return 0;
    std::uint8_t bits = 0;
    for (std::size_t e = 0; e < offered_.size(); ++e) {
        Report& slot = offered_[e].report;
        if (slot.size == 0) continue;
        const auto endpoint = static_cast<Endpoint>(e);
        if (reader_ && !reader_(endpoint, slot)) continue;
        if (endpoint == Endpoint::keyboard)
            read_keyboard(slot);
        else
            read_pointer(slot, offered_[e].is_boot);
        taken_.push_back({now_us, endpoint, slot});
        slot.size = 0;
        bits |= static_cast<std::uint8_t>(1u << e);
    }
    return bits;
}

void HostModel::read_keyboard(const Report& report) {
    view_.modifiers = report.bytes[0];
    if (report.bytes[2] == engine::k_error_roll_over) {
        ++view_.roll_overs;  // the host keeps what it knew
        return;
    }
    view_.keys.clear();
    for (int i = 2; i < report.size; ++i)
        if (report.bytes[i] != 0) view_.keys.insert(report.bytes[i]);
}

void HostModel::read_pointer(const Report& report, bool is_boot) {
    const std::uint8_t* b = report.bytes;
    if (is_boot) {
        view_.buttons = b[0];
        view_.x += static_cast<std::int8_t>(b[1]);
        view_.y += static_cast<std::int8_t>(b[2]);
        return;
    }
    if (b[0] == engine::k_consumer_report_id) {
        view_.consumer = engine::get16(b + 1);
        return;
    }
    view_.buttons = b[1];
    view_.x += static_cast<std::int16_t>(engine::get16(b + 2));
    view_.y += static_cast<std::int16_t>(engine::get16(b + 4));
    view_.wheel += static_cast<std::int8_t>(b[6]);
    view_.pan += static_cast<std::int8_t>(b[7]);
}

void HostModel::unplug() {
    offered_ = {};
    boot_protocol_ = 0;
    const HostView before = view_;
    view_ = {};
    view_.x = before.x;
    view_.y = before.y;
    view_.wheel = before.wheel;
    view_.pan = before.pan;
    view_.roll_overs = before.roll_overs;
}

}  // namespace fettle::sim
