#pragma once
// Two channels of one device as one link: the first is used, the second is the fallback.

#include <memory>
#include <string>

#include "core/link/link.hpp"

namespace fettle::link {

/// Goes on over the fallback when the first channel is closed, fails or blocks (its write timed out), or when
/// the session has no answer over it (change_over()). There is no way back within one link: the next opening
/// begins with the first again. Closed when both are, and `detail` then says why each was.
class PairedLink : public Link {
public:
    /// Both are open and on one clock.
    PairedLink(std::unique_ptr<Link> first, std::unique_ptr<Link> fallback);

    /// A message that the first channel did not take is sent over the fallback by this very call.
    Status send(std::span<const std::uint8_t> message) override;
    /// Nothing, at once, where the first channel failed: nobody has asked over the fallback yet.
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override;
    std::uint64_t now_us() const override;
    /// The one that is used now.
    ChannelKind channel() const override;
    std::uint32_t changeovers() const override { return changeovers_; }
    /// False, too, where the fallback is found closed: the first channel stays in use. What the fallback had
    /// to say before is dropped.
    bool change_over() override;

private:
    void use_fallback(std::string why);
    Unexpected closed(const Error& error) const;

    std::unique_ptr<Link> used_, fallback_;  ///< fallback_: nullptr once it is used or was found dead
    std::string lost_;                       ///< why the other channel is of no use, "" where it is not known
    std::uint32_t changeovers_ = 0;
};

}  // namespace fettle::link
