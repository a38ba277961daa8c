#include "core/link/memory_port.hpp"

#include <algorithm>

namespace fettle::link {

MemoryPort::MemoryPort(std::shared_ptr<sim::SimDevice> device, Way way)
    : device_(std::move(device)), way_(way), start_(device_->starts()) {
    if (way_ == Way::serial) device_->set_dtr(true);
    std::vector<std::uint8_t> old;
    while (way_ == Way::hid && device_->hid_in(old)) {
    }
}

MemoryPort::~MemoryPort() {
    if (way_ == Way::serial && check_open()) device_->set_dtr(false);
}

Status MemoryPort::check_open() const {
    if (!device_->is_plugged()) return fail(Errc::closed, "simulated device", "the cable is out");
    if (device_->starts() != start_) return fail(Errc::closed, "simulated device", "it started anew");
    return Done{};
}

Status MemoryPort::write(std::span<const std::uint8_t> bytes) {
    if (auto open = check_open(); !open) return open;
    if (way_ == Way::hid)
        device_->hid_out(bytes);
    else
        device_->serial_out(bytes);
    return Done{};
}

Result<std::size_t> MemoryPort::read(std::span<std::uint8_t> to, std::uint32_t wait_ms) {
    for (std::uint32_t waited = 0;; ++waited) {
        if (auto open = check_open(); !open) return open.failure();
        const std::size_t got = take(to);
        if (got != 0 || waited >= wait_ms) return got;
        device_->advance_ms(1);
    }
}

std::size_t MemoryPort::take(std::span<std::uint8_t> to) {
    if (way_ == Way::hid) {
        std::vector<std::uint8_t> report;
        if (!device_->hid_in(report)) return 0;
        const std::size_t count = std::min(report.size(), to.size());
        std::copy_n(report.begin(), count, to.begin());
        return count;
    }
    if (serial_at_ == serial_.size()) {
        serial_ = device_->serial_in();
        serial_at_ = 0;
    }
    const std::size_t count = std::min(serial_.size() - serial_at_, to.size());
    std::copy_n(serial_.begin() + static_cast<std::ptrdiff_t>(serial_at_), count, to.begin());
    serial_at_ += count;
    return count;
}

}  // namespace fettle::link
