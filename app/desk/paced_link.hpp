#pragma once
// Makes the simulated clock follow a real one, so that a person can press and watch. I/O thread only.

#include <functional>
#include <memory>

#include "core/base/clock.hpp"
#include "core/link/link.hpp"

namespace fettle::app {

/// How far the simulated clock is behind the real one. The two start together at the first question.
class Pace {
public:
    using Sleep = std::function<void(std::uint32_t ms)>;
    /// sleep: waits that long; a test lets its clock go on instead. clock: outlives it.
    Pace(const Clock& clock, Sleep sleep) : clock_(clock), sleep_(std::move(sleep)) {}

    /// Whole ms that the simulated clock has to go to be where the real one is. More than 5 s behind (the
    /// computer slept) is not made up for.
    std::uint32_t behind_ms(std::uint64_t simulated_us);
    std::int64_t now_us() const { return clock_.monotonic_us(); }
    void sleep(std::uint32_t ms) const { sleep_(ms); }

private:
    const Clock& clock_;
    Sleep sleep_;
    bool has_begun_ = false;
    std::int64_t real_us_ = 0, simulated_us_ = 0;
};

/// inner: a link whose time passes in receive() only.
class PacedLink : public link::Link {
public:
    PacedLink(std::unique_ptr<link::Link> inner, std::shared_ptr<Pace> pace)
        : inner_(std::move(inner)), pace_(std::move(pace)) {}

    Status send(std::span<const std::uint8_t> message) override { return inner_->send(message); }
    /// wait_ms: of the real clock.
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    std::uint64_t now_us() const override { return inner_->now_us(); }
    link::ChannelKind channel() const override { return inner_->channel(); }

private:
    std::unique_ptr<link::Link> inner_;
    std::shared_ptr<Pace> pace_;
};

}  // namespace fettle::app
