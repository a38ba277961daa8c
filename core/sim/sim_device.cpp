#include "core/sim/sim_device.hpp"

#include <algorithm>
#include <cstring>
#include <utility>

#include "core/wire/frame.hpp"

namespace fettle::sim {

using engine::TickInputs;
using engine::TickOutputs;
using wire::Channel;

namespace {
constexpr std::uint32_t k_tick_us = 1000;
constexpr std::size_t k_reports_kept = 63;
constexpr std::size_t k_serial_kept = 4096;
constexpr std::uint8_t k_reset_power = 0;
constexpr std::uint8_t k_board_simulated = 0;
}  // namespace

SimDevice::SimDevice(const SimOptions& options, const std::array<std::uint8_t, wire::k_eeprom_bytes>* eeprom)
    : options_(options), hands_(options.seed) {
    if (eeprom != nullptr) eeprom_.set_bytes(*eeprom);
    start(k_reset_power);
}

void SimDevice::start(std::uint8_t reset_cause) {
    wire::DeviceIdentity identity{};
    std::memcpy(identity.serial, options_.serial.data(),
                std::min(options_.serial.size(), sizeof identity.serial));
    identity.board = k_board_simulated;
    identity.features = wire::k_feature_serial;
    identity.display_rows = 4;
    identity.display_columns = 20;
    identity.boot_id = ++boot_id_;
    identity.reset_cause = reset_cause;
    identity.inject = wire::InjectHook{this, &take_injection};
    device_ = std::make_unique<wire::Device>();
    device_->start(eeprom_.door(), identity, static_cast<std::uint32_t>(now_us_));
    is_first_tick_ = true;
    hid_out_.clear();
    hid_in_.clear();
    serial_out_.clear();
    serial_in_.clear();
}

bool SimDevice::take_injection(void* owner, std::uint8_t line, const wire::InjectStep* steps,
                               std::uint8_t count) {
    auto& self = *static_cast<SimDevice*>(owner);
    self.injected_us_ = std::max(self.injected_us_, self.now_us_);
    for (std::uint8_t i = 0; i < count; ++i) {
        self.injected_us_ += steps[i].after_us;
        self.hands_.inject(line, self.injected_us_, steps[i].level != 0);
    }
    return true;
}

void SimDevice::advance_ms(std::uint32_t ms) {
    for (std::uint32_t i = 0; i < ms; ++i) tick();
}

/// What the pins and the bus say since the last tick. False: no power, and what the hands do is lost.
bool SimDevice::feed(TickInputs& in) {
    edges_.clear();
    // A board reads how its lines stand before it says anything.
    if (is_plugged_ && is_first_tick_) edges_ = hands_.levels(now_us_ - k_tick_us);
    const auto edges = hands_.take(now_us_);
    const auto& axes = hands_.axes(now_us_);
    if (!is_plugged_) return false;
    is_first_tick_ = false;
    edges_.insert(edges_.end(), edges.begin(), edges.end());
    in.now_us = static_cast<std::uint32_t>(now_us_);
    in.edges = edges_.data();
    in.edge_count = static_cast<std::uint8_t>(std::min<std::size_t>(edges_.size(), 255));
    std::copy(axes.begin(), axes.end(), in.axes);
    in.leds = host_.leds();
    in.taken = is_suspended_ ? 0 : host_.poll(now_us_);
    in.commands = is_suspended_ ? engine::k_command_suspended : 0;
    in.boot_protocol = host_.boot_protocol();
    return true;
}

void SimDevice::tick() {
    now_us_ += k_tick_us;
    TickInputs in{};
    if (!feed(in)) return;
    eeprom_.advance_us(k_tick_us);
    TickOutputs out{};
    device_->tick(in, out);
    for (int e = 0; e < 2; ++e)
        if (out.reports[e].size != 0) host_.offer(static_cast<engine::Endpoint>(e), out.reports[e]);
    if (is_suspended_) return;
    collect_messages();
    deliver();
}

void SimDevice::collect_messages() {
    std::uint8_t message[wire::k_message_max];
    const auto now = static_cast<std::uint32_t>(now_us_);
    // One report a frame on the raw interface (USB full speed, bInterval 1).
    const bool has_room = !holds_reports_ || hid_in_.empty();
    if (const std::uint8_t size = has_room ? device_->send(Channel::hid, message, now) : 0; size != 0) {
        std::vector<std::uint8_t> report(wire::k_hid_report_bytes);
        if (hid_in_.size() >= k_reports_kept)
            ++hid_dropped_;
        else if (wire::pack_report(message, size, report.data()))
            hid_in_.push_back(std::move(report));
    }
    while (serial_in_.size() < k_serial_kept) {
        const std::uint8_t size = device_->send(Channel::serial, message, now);
        if (size == 0) break;
        std::uint8_t frame[wire::k_serial_frame_max];
        const std::uint8_t count = wire::pack_serial(message, size, frame);
        serial_in_.insert(serial_in_.end(), frame, frame + count);
    }
}

void SimDevice::exchange() {
    if (!is_plugged_ || is_suspended_) return;
    collect_messages();
    deliver();
}

void SimDevice::hid_out(std::span<const std::uint8_t> report) {
    if (!is_plugged_) return;
    if (recorder_) recorder_(now_us_, report);
    hid_out_.emplace_back(report.begin(), report.end());
    deliver();
}

void SimDevice::deliver() {
    if (is_suspended_) return;
    const auto now = static_cast<std::uint32_t>(now_us_);
    while (!hid_out_.empty() && device_->can_receive(Channel::hid)) {
        const std::vector<std::uint8_t> report = std::move(hid_out_.front());
        hid_out_.pop_front();
        const std::uint8_t* message = nullptr;
        std::uint8_t size = 0;
        const auto bytes = static_cast<std::uint8_t>(std::min<std::size_t>(report.size(), 255));
        if (wire::unpack_report(report.data(), bytes, message, size))
            device_->receive(Channel::hid, message, size, now);
        else
            device_->bad_frame();
    }
    while (!serial_out_.empty() && device_->can_receive(Channel::serial)) {
        device_->serial_byte(serial_out_.front(), now);
        serial_out_.pop_front();
    }
}

bool SimDevice::hid_in(std::vector<std::uint8_t>& report) {
    if (hid_in_.empty()) return false;
    report = std::move(hid_in_.front());
    hid_in_.pop_front();
    return true;
}

void SimDevice::serial_out(std::span<const std::uint8_t> bytes) {
    if (!is_plugged_) return;
    serial_out_.insert(serial_out_.end(), bytes.begin(), bytes.end());
    deliver();
}

std::vector<std::uint8_t> SimDevice::serial_in() {
    return std::exchange(serial_in_, {});
}

void SimDevice::set_dtr(bool is_up) {
    if (!is_plugged_) return;
    serial_out_.clear();
    if (!is_up) serial_in_.clear();
    device_->serial_dtr(is_up);
}

void SimDevice::cut_power(Torn torn) {
    eeprom_.cut_power(torn);
    host_.unplug();
    if (is_plugged_) start(k_reset_power);
}

void SimDevice::pull_cable() {
    is_plugged_ = false;
    eeprom_.cut_power(Torn::old_value);
    host_.unplug();
    hid_out_.clear();
    hid_in_.clear();
    serial_out_.clear();
    serial_in_.clear();
}

void SimDevice::plug_cable() {
    if (is_plugged_) return;
    is_plugged_ = true;
    start(k_reset_power);
}

}  // namespace fettle::sim
