#include "core/link/memory_link.hpp"

namespace fettle::link {

MemoryLink::MemoryLink(std::shared_ptr<sim::SimDevice> device, Way way)
    : MemoryLink(std::make_unique<MemoryPort>(std::move(device), way), way) {}

MemoryLink::MemoryLink(std::unique_ptr<MemoryPort> port, Way way)
    : port_(port.get()), framed_(framed(std::move(port), way)) {}

MemoryLink::Framed MemoryLink::framed(std::unique_ptr<MemoryPort> port, Way way) {
    if (way == Way::hid) return Framed(std::in_place_type<HidLink>, std::move(port), ChannelKind::simulated);
    return Framed(std::in_place_type<SerialLink>, std::move(port), ChannelKind::simulated);
}

Link& MemoryLink::inner() {
    return std::visit([](auto& link) -> Link& { return link; }, framed_);
}

Status MemoryLink::send(std::span<const std::uint8_t> message) {
    if (auto open = port_->check_open(); !open) return open;
    return inner().send(message);
}

Result<std::optional<Message>> MemoryLink::receive(std::uint32_t wait_ms) {
    if (auto open = port_->check_open(); !open) return open.failure();
    return inner().receive(wait_ms);
}

std::uint32_t MemoryLink::bad_frames() const {
    return std::visit([](const auto& link) { return link.bad_frames(); }, framed_);
}

}  // namespace fettle::link
