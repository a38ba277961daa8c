#pragma once
// The link as the station holds it: waits in short slices, so that a long request sees what happens
// meanwhile, sends `release` past a request that still waits for its answer, and gives up a channel that
// floods or whose clock stands still: for another one of the same device where there is one. I/O thread only.

#include <functional>
#include <memory>

#include "core/link/link.hpp"

namespace fettle::app {

class StationLink : public link::Link {
public:
    struct Hooks {
        /// Before every slice of waiting. An error ends the call with it.
        std::function<Status()> pulse;
        std::function<void()> released;  ///< the device answered send_release()
        std::function<bool()> may_change_over;
        /// The silence so far says nothing any more: the link goes on over another channel, or a write that
        /// blocked for long was taken in the end.
        std::function<void()> fresh;
    };
    StationLink(std::unique_ptr<link::Link> inner, Hooks hooks);

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    std::uint64_t now_us() const override { return inner_->now_us(); }
    link::ChannelKind channel() const override { return inner_->channel(); }
    std::uint32_t changeovers() const override { return inner_->changeovers(); }
    bool change_over() override;

    /// A `release` of its own, whatever request runs. Its id, 0, is no session's. Sent again where the link
    /// goes on over another channel before its answer.
    Status send_release();
    /// Its answer is waited for no more.
    void forget_release() { is_releasing_ = false; }
    /// The last write took longer than any write should: the next one may, too.
    bool is_blocked() const { return is_blocked_; }

private:
    Status send_on(std::span<const std::uint8_t> message);
    void note_changeover();
    Status give_up(const char* why);
    Status note_pace();
    Status note_kind(const link::Message& message);

    std::unique_ptr<link::Link> inner_;
    Hooks hooks_;
    std::uint64_t last_ms_ = 0;
    std::uint32_t at_once_ = 0;  ///< receives since the link's clock went on
    std::uint64_t strange_since_ms_ = 0;
    std::uint32_t strange_ = 0;      ///< messages since then that no device sends
    std::uint32_t changeovers_ = 0;  ///< as seen
    bool is_releasing_ = false, is_blocked_ = false;
};

}  // namespace fettle::app
