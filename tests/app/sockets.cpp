#include "tests/app/sockets.hpp"

#include "core/engine/bytes.hpp"
#include "core/link/memory_link.hpp"
#include "core/wire/message.hpp"

namespace fettle::app::test {

namespace {

/// Says that it is HID. The n-th message does not arrive: the cable is out.
class PulledLink : public link::Link {
public:
    PulledLink(std::shared_ptr<sim::SimDevice> device, Sockets& sockets)
        : device_(device), inner_(std::move(device), link::MemoryLink::Way::hid), sockets_(sockets) {}

    Status send(std::span<const std::uint8_t> message) override {
        count();
        return inner_.send(message);
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        auto got = inner_.receive(wait_ms);
        if (!got || !*got) return got;
        if (count()) return inner_.receive(0);
        if (sockets_.is_mute) return std::optional<link::Message>{};
        if ((**got)[0] == wire::reply_type(wire::MessageType::hello) && sockets_.contract_version != 0)
            engine::put16((**got).data() + wire::k_message_head, sockets_.contract_version);
        return got;
    }
    std::uint64_t now_ms() const override { return inner_.now_ms(); }
    link::ChannelKind channel() const override { return link::ChannelKind::hid; }

private:
    bool count() {
        if (++sockets_.messages != sockets_.pull_at) return false;
        device_->pull_cable();
        return true;
    }

    std::shared_ptr<sim::SimDevice> device_;
    link::MemoryLink inner_;
    Sockets& sockets_;
};

}  // namespace

Result<link::Sight> Sockets::look() {
    if (blind) return Unexpected{*blind};
    return sight;
}

Result<std::unique_ptr<link::Link>> Sockets::open(const link::Attached& attached) {
    opened.push_back(attached);
    messages = 0;
    if (const auto held = holders.find(attached.path); held != holders.end())
        return fail(Errc::in_use, attached.path, held->second);
    const auto device = devices.find(attached.path);
    if (device == devices.end()) return fail(Errc::no_access, attached.path);
    return std::unique_ptr<link::Link>(std::make_unique<PulledLink>(device->second, *this));
}

std::optional<std::string> Sockets::holder(const link::Attached& attached) {
    const auto held = holders.find(attached.path);
    if (held == holders.end()) return std::nullopt;
    return held->second;
}

link::Attached& Sockets::plug(const std::string& path, const std::string& serial, const std::string& place) {
    devices[path] = std::make_shared<sim::SimDevice>();
    devices[path]->advance_ms(500);
    sight.devices.push_back({link::ChannelKind::hid, path, serial, "Fettle access device", place, "", true});
    return sight.devices.back();
}

}  // namespace fettle::app::test
