#pragma once
// A link that holds the device's claim as long as it is open.

#include <memory>
#include <utility>

#include "core/link/claim.hpp"
#include "core/link/link.hpp"

namespace fettle::link {

/// Hands everything on to the link inside, which is closed before the claim is let go.
class ClaimedLink : public Link {
public:
    ClaimedLink(Claim claim, std::unique_ptr<Link> inner)
        : claim_(std::move(claim)), inner_(std::move(inner)) {}

    Status send(std::span<const std::uint8_t> message) override { return inner_->send(message); }
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override {
        return inner_->receive(wait_ms);
    }
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    std::uint64_t now_us() const override { return inner_->now_us(); }
    ChannelKind channel() const override { return inner_->channel(); }
    std::uint32_t changeovers() const override { return inner_->changeovers(); }
    bool change_over() override { return inner_->change_over(); }

private:
    Claim claim_;  ///< before inner_: destroyed after it
    std::unique_ptr<Link> inner_;
};

}  // namespace fettle::link
