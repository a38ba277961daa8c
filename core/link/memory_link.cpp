#include "core/link/memory_link.hpp"

namespace fettle::link {

MemoryLink::MemoryLink(std::shared_ptr<sim::SimDevice> device, Way way)
    : MemoryLink(std::make_unique<MemoryPort>(std::move(device), way), way) {}

MemoryLink::MemoryLink(std::unique_ptr<MemoryPort> port, Way way) : port_(port.get()) {
    if (way == Way::hid)
        framed_ = std::make_unique<HidLink>(std::move(port), ChannelKind::simulated);
    else
        framed_ = std::make_unique<SerialLink>(std::move(port), ChannelKind::simulated);
}

Status MemoryLink::send(std::span<const std::uint8_t> message) {
    if (auto open = port_->check_open(); !open) return open;
    return framed_->send(message);
}

Result<std::optional<Message>> MemoryLink::receive(std::uint32_t wait_ms) {
    if (auto open = port_->check_open(); !open) return open.failure();
    return framed_->receive(wait_ms);
}

}  // namespace fettle::link
