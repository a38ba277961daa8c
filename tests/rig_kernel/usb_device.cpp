#include "tests/rig_kernel/usb_device.hpp"

#include <algorithm>
#include <utility>

namespace fettle::rig {

namespace {

// Source: USB 2.0, table 9-4.
constexpr std::uint8_t k_get_status = 0, k_clear_feature = 1, k_set_feature = 3, k_set_address = 5;
constexpr std::uint8_t k_get_descriptor = 6, k_get_configuration = 8, k_set_configuration = 9;
constexpr std::uint8_t k_get_interface = 10, k_set_interface = 11;
constexpr std::uint16_t k_remote_wakeup = 1;
constexpr std::uint8_t k_recipient = 0x1F, k_to_device = 0, k_kind = 0x60, k_class = 0x20;
// Source: HID 1.11, 7.2.
constexpr std::uint8_t k_get_report = 1, k_get_idle = 2, k_get_protocol = 3;
constexpr std::uint8_t k_set_report = 9, k_set_idle = 10, k_set_protocol = 11;
constexpr std::uint8_t k_input_report = 1, k_output_report = 2;
// Source: CDC PSTN 1.2, 6.3.
constexpr std::uint8_t k_set_line_coding = 0x20, k_get_line_coding = 0x21, k_set_control_line_state = 0x22;
constexpr std::uint16_t k_dtr = 1;

constexpr std::uint8_t k_hid_interfaces = 3;

std::uint8_t high(std::uint16_t value) {
    return static_cast<std::uint8_t>(value >> 8);
}
std::uint8_t low(std::uint16_t value) {
    return static_cast<std::uint8_t>(value & 0xFF);
}

Bytes from_rom(const std::uint8_t* rom, std::uint16_t count) {
    Bytes bytes(count);
    wire::read_rom(rom, bytes.data(), count);
    return bytes;
}

std::string text_from_rom(const char* rom, std::uint8_t count) {
    const Bytes bytes = from_rom(reinterpret_cast<const std::uint8_t*>(rom), count);
    return {bytes.begin(), bytes.end()};
}

Bytes report_descriptor(std::uint8_t interface) {
    using namespace wire;
    if (interface == k_keyboard_interface)
        return from_rom(k_keyboard_descriptor, k_keyboard_descriptor_bytes);
    if (interface == k_pointer_interface) return from_rom(k_pointer_descriptor, k_pointer_descriptor_bytes);
    return from_rom(k_raw_descriptor, k_raw_descriptor_bytes);
}

}  // namespace

bool is_raw_request(const SetupPacket& setup) {
    return (setup.request_type & k_kind) == k_class && setup.request == k_set_report &&
           setup.index == wire::k_raw_interface && high(setup.value) == k_output_report;
}

UsbDevice::UsbDevice(sim::SimDevice& device, std::string serial) : device_(&device) {
    use(device, std::move(serial));
}

UsbDevice::~UsbDevice() {
    let_go();
}

void UsbDevice::use(sim::SimDevice& device, std::string serial) {
    let_go();
    device_ = &device;
    serial_ = std::move(serial);
    device_->hold_reports(true);
    device_->host().read_by([this](engine::Endpoint endpoint, const engine::Report& report) {
        return take_report(endpoint, report);
    });
    if (is_dtr_up_) device_->set_dtr(true);
}

void UsbDevice::let_go() {
    device_->host().read_by({});
    device_->hold_reports(false);
    crafted_.clear();
    raw_.clear();
    serial_bytes_.clear();
}

void UsbDevice::connect(Bus* bus) {
    bus_ = bus;
    crafted_.clear();
    raw_.clear();
    serial_bytes_.clear();
    idle_ = {};
    is_configured_ = can_wake_ = is_dtr_up_ = is_starved_ = false;
}

bool UsbDevice::take_starved() {
    return std::exchange(is_starved_, false);
}

bool UsbDevice::is_read_up() const {
    return bus_ != nullptr && crafted_.empty() && bus_->wanted(wire::k_keyboard_endpoint) != 0 &&
           bus_->wanted(wire::k_pointer_endpoint) != 0;
}

bool UsbDevice::take_report(engine::Endpoint endpoint, const engine::Report& report) {
    const bool is_keyboard = endpoint == engine::Endpoint::keyboard;
    const std::uint8_t address = is_keyboard ? wire::k_keyboard_endpoint : wire::k_pointer_endpoint;
    if (bus_ == nullptr || bus_->wanted(address) == 0) {
        is_starved_ = true;
        return false;
    }
    Bytes& last = last_[is_keyboard ? wire::k_keyboard_interface : wire::k_pointer_interface];
    last.assign(report.bytes, report.bytes + report.size);
    bus_->give(address, last);
    return true;
}

bool UsbDevice::control(const SetupPacket& setup, std::span<const std::uint8_t> data, Bytes& answer) {
    answer.clear();
    if ((setup.request_type & k_kind) == 0) return standard(setup, answer);
    if ((setup.request_type & k_kind) != k_class) return false;
    if (low(setup.index) < k_hid_interfaces) return hid(setup, data, answer);
    return low(setup.index) == wire::k_serial_interface && serial_port(setup, data, answer);
}

bool UsbDevice::standard(const SetupPacket& setup, Bytes& answer) {
    const bool is_device = (setup.request_type & k_recipient) == k_to_device;
    switch (setup.request) {
        case k_get_status:
            answer = {static_cast<std::uint8_t>(is_device && can_wake_ ? 2 : 0), 0};
            return true;
        case k_clear_feature:
        case k_set_feature:
            if (!is_device) return setup.value == 0;  // an endpoint's halt
            if (setup.value != k_remote_wakeup) return false;
            can_wake_ = setup.request == k_set_feature;
            return true;
        case k_set_address: return true;
        case k_get_descriptor: return descriptor(setup, answer);
        case k_get_configuration: answer = {static_cast<std::uint8_t>(is_configured_ ? 1 : 0)}; return true;
        case k_set_configuration: is_configured_ = setup.value == 1; return setup.value <= 1;
        case k_get_interface: answer = {0}; return true;
        case k_set_interface: return setup.value == 0;
        default: return false;
    }
}

bool UsbDevice::descriptor(const SetupPacket& setup, Bytes& answer) const {
    const std::uint8_t interface = low(setup.index);
    switch (high(setup.value)) {
        case 0x01: answer = from_rom(wire::k_device_descriptor, wire::k_device_descriptor_bytes); return true;
        case 0x02: answer = configuration(); return true;
        case 0x03: return string_descriptor(low(setup.value), answer);
        case 0x22:
            if (interface >= k_hid_interfaces) return false;
            answer = report_descriptor(interface);
            return true;
        default: return false;  // no device qualifier: full speed only
    }
}

Bytes UsbDevice::configuration() const {
    Bytes all = from_rom(wire::k_configuration_descriptor, wire::k_configuration_descriptor_bytes);
    if (!is_foreign_) return all;
    constexpr std::uint8_t k_head_and_keyboard = 9 + 9 + 9 + 7;
    all.resize(k_head_and_keyboard);
    all[2] = k_head_and_keyboard;
    all[3] = 0;
    all[4] = 1;  // interface
    return all;
}

bool UsbDevice::string_descriptor(std::uint8_t number, Bytes& answer) const {
    if (number == 0) {
        answer = {4, 3, 0x09, 0x04};  // English, United States
        return true;
    }
    std::string text;
    switch (number) {
        case wire::k_maker_string: text = text_from_rom(wire::k_maker_text, wire::k_maker_text_bytes); break;
        case wire::k_product_string:
            text = text_from_rom(wire::k_product_text, wire::k_product_text_bytes);
            break;
        case wire::k_serial_string: text = serial_; break;
        default: return false;
    }
    answer = {static_cast<std::uint8_t>(2 + 2 * text.size()), 3};
    for (const char c : text) {
        answer.push_back(static_cast<std::uint8_t>(c));
        answer.push_back(0);
    }
    return true;
}

bool UsbDevice::hid(const SetupPacket& setup, std::span<const std::uint8_t> data, Bytes& answer) {
    const std::uint8_t interface = low(setup.index);
    switch (setup.request) {
        case k_get_report:
            if (high(setup.value) != k_input_report) return false;
            answer = last_[interface];
            return true;
        case k_get_idle: answer = {idle_[interface]}; return true;
        case k_get_protocol: {
            const bool is_boot = (device_->host().boot_protocol() >> interface & 1) != 0;
            answer = {static_cast<std::uint8_t>(is_boot ? 0 : 1)};
            return interface != wire::k_raw_interface;
        }
        case k_set_report: return set_report(setup, data);
        case k_set_idle: idle_[interface] = high(setup.value); return true;
        case k_set_protocol: return set_protocol(setup);
        default: return false;
    }
}

bool UsbDevice::set_report(const SetupPacket& setup, std::span<const std::uint8_t> data) {
    if (high(setup.value) != k_output_report) return false;
    const std::uint8_t interface = low(setup.index);
    if (interface == wire::k_keyboard_interface) {
        if (data.empty()) return false;
        device_->host().set_leds(data[0]);
        return true;
    }
    if (interface != wire::k_raw_interface) return false;
    device_->hid_out(data);
    return true;
}

bool UsbDevice::set_protocol(const SetupPacket& setup) {
    const std::uint8_t interface = low(setup.index);
    if (interface >= wire::k_raw_interface || setup.value > 1) return false;
    // Interface and Endpoint have the same numbers.
    const auto bit = static_cast<std::uint8_t>(1u << interface);
    const std::uint8_t others = static_cast<std::uint8_t>(device_->host().boot_protocol() & ~bit);
    device_->host().set_boot_protocol(setup.value == 0 ? others | bit : others);
    return true;
}

bool UsbDevice::serial_port(const SetupPacket& setup, std::span<const std::uint8_t> data, Bytes& answer) {
    switch (setup.request) {
        case k_set_line_coding:
            if (data.size() != line_coding_.size()) return false;
            std::copy(data.begin(), data.end(), line_coding_.begin());
            return true;
        case k_get_line_coding: answer.assign(line_coding_.begin(), line_coding_.end()); return true;
        case k_set_control_line_state: {
            const bool is_up = (setup.value & k_dtr) != 0;
            if (is_up != is_dtr_up_) device_->set_dtr(is_up);
            if (!is_up) serial_bytes_.clear();
            is_dtr_up_ = is_up;
            return true;
        }
        default: return false;
    }
}

bool UsbDevice::put(std::uint8_t endpoint, std::span<const std::uint8_t> packet) {
    if (endpoint != wire::k_serial_out_endpoint) return false;
    device_->serial_out(packet);
    return true;
}

void UsbDevice::serve() {
    if (bus_ == nullptr) return;
    while (!crafted_.empty() && bus_->wanted(crafted_.front().endpoint) != 0) {
        bus_->give(crafted_.front().endpoint, crafted_.front().report);
        crafted_.pop_front();
    }
    if (is_instant_) device_->exchange();
    serve_raw();
    serve_serial();
}

void UsbDevice::serve_raw() {
    Bytes report;
    for (;;) {
        // One report in the endpoint at a time; what bends them may hold others back.
        const bool waits = !raw_.empty() && raw_.front().at_us <= device_->now_us();
        if (waits && bus_->wanted(wire::k_raw_endpoint) == 0) return;
        if (waits) {
            last_[wire::k_raw_interface] = raw_.front().bytes;
            bus_->give(wire::k_raw_endpoint, raw_.front().bytes);
            raw_.pop_front();
            continue;
        }
        if (!device_->hid_in(report)) return;
        auto bent = bender_ ? bender_(device_->now_us(), report)
                            : std::vector<TimedPacket>{{device_->now_us(), report}};
        for (TimedPacket& packet : bent) raw_.push_back(std::move(packet));
        std::stable_sort(raw_.begin(), raw_.end(),
                         [](const TimedPacket& a, const TimedPacket& b) { return a.at_us < b.at_us; });
    }
}

void UsbDevice::serve_serial() {
    const Bytes fresh = device_->serial_in();
    serial_bytes_.insert(serial_bytes_.end(), fresh.begin(), fresh.end());
    while (!serial_bytes_.empty()) {
        const std::size_t room = bus_->wanted(wire::k_serial_in_endpoint);
        if (room == 0) return;
        const auto count = static_cast<std::ptrdiff_t>(std::min(room, serial_bytes_.size()));
        const Bytes packet(serial_bytes_.begin(), serial_bytes_.begin() + count);
        serial_bytes_.erase(serial_bytes_.begin(), serial_bytes_.begin() + count);
        bus_->give(wire::k_serial_in_endpoint, packet);
    }
}

}  // namespace fettle::rig
