#include "core/link/memory_link.hpp"

#include "core/wire/frame.hpp"

namespace fettle::link {

MemoryLink::MemoryLink(std::shared_ptr<sim::SimDevice> device, Way way)
    : device_(std::move(device)), way_(way), start_(device_->starts()) {
    unframer_.reset();
    if (way_ == Way::serial) device_->set_dtr(true);
    std::vector<std::uint8_t> old;
    while (way_ == Way::hid && device_->hid_in(old)) {
    }
}

MemoryLink::~MemoryLink() {
    if (way_ == Way::serial && check_open()) device_->set_dtr(false);
}

Status MemoryLink::check_open() const {
    if (!device_->is_plugged()) return fail(Errc::closed, "simulated device", "the cable is out");
    if (device_->starts() != start_) return fail(Errc::closed, "simulated device", "it started anew");
    return Done{};
}

Status MemoryLink::send(std::span<const std::uint8_t> message) {
    if (auto open = check_open(); !open) return open;
    if (message.size() < wire::k_message_head || message.size() > wire::k_message_max)
        return fail(Errc::too_large, "message");
    const auto size = static_cast<std::uint8_t>(message.size());
    if (way_ == Way::hid) {
        std::uint8_t report[wire::k_hid_report_bytes];
        if (!wire::pack_report(message.data(), size, report)) return fail(Errc::too_large, "message");
        device_->hid_out(report);
    } else {
        std::uint8_t frame[wire::k_serial_frame_max];
        const std::uint8_t count = wire::pack_serial(message.data(), size, frame);
        device_->serial_out(std::span(frame, count));
    }
    return Done{};
}

Result<std::optional<Message>> MemoryLink::receive(std::uint32_t wait_ms) {
    for (std::uint32_t waited = 0;; ++waited) {
        if (auto open = check_open(); !open) return open.failure();
        auto message = way_ == Way::hid ? take_hid() : take_serial();
        if (message) return message;
        if (waited >= wait_ms) return std::optional<Message>{};
        device_->advance_ms(1);
    }
}

std::optional<Message> MemoryLink::take_hid() {
    std::vector<std::uint8_t> report;
    while (device_->hid_in(report)) {
        const std::uint8_t* message = nullptr;
        std::uint8_t size = 0;
        if (wire::unpack_report(report.data(), static_cast<std::uint8_t>(report.size()), message, size))
            return Message(message, message + size);
        ++bad_frames_;
    }
    return std::nullopt;
}

std::optional<Message> MemoryLink::take_serial() {
    for (;;) {
        if (serial_at_ == serial_.size()) {
            serial_ = device_->serial_in();
            serial_at_ = 0;
            if (serial_.empty()) return std::nullopt;
        }
        if (unframer_.take(serial_[serial_at_++]))
            return Message(unframer_.message(), unframer_.message() + unframer_.size());
        bad_frames_ += unframer_.take_bad();
    }
}

}  // namespace fettle::link
