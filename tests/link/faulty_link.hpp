#pragma once
// A link that does to the n-th message what cables, drivers and strange devices do.

#include <cstdint>
#include <deque>
#include <memory>

#include "core/link/link.hpp"

namespace fettle::test {

enum class Harm {
    none,
    drop,         ///< the message does not arrive
    delay,        ///< it arrives 20 s later (answers only; a request is dropped)
    twice,        ///< it arrives twice
    wrong_id,     ///< its request id is another one
    garbage,      ///< every byte of its body is another one
    flip,         ///< one bit of its body is another one
    truncate,     ///< half of it is missing
    oversize,     ///< 200 bytes more (answers only; a request is sent as it is)
    error_reply,  ///< instead of it comes an error reply (answers only; a request is dropped)
    close,        ///< the link is closed from here on
    io,           ///< from here on the system reports an error
    blocked,      ///< from here on no message is taken: each try blocks for 5 s, and more comes in meanwhile
};
constexpr Harm k_harms[] = {Harm::drop, Harm::delay,    Harm::twice,    Harm::wrong_id,    Harm::garbage,
                            Harm::flip, Harm::truncate, Harm::oversize, Harm::error_reply, Harm::close};

struct Plan {
    Harm harm = Harm::none;
    int at = 1;                   ///< the n-th message in either direction, from 1; telemetry does not count
    bool for_ever = false;        ///< that one and all that follow
    bool with_telemetry = false;  ///< telemetry that follows too, though it does not count
};

class FaultyLink : public link::Link {
public:
    FaultyLink(std::unique_ptr<link::Link> inner, Plan plan) : inner_(std::move(inner)), plan_(plan) {}

    Status send(std::span<const std::uint8_t> message) override;
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override;
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    std::uint64_t now_us() const override { return inner_->now_us(); }
    link::ChannelKind channel() const override { return inner_->channel(); }

    int messages() const { return messages_; }
    /// From now on; the count begins anew.
    void set_plan(const Plan& plan);

private:
    struct Late {
        std::uint64_t at_ms;
        link::Message message;
    };
    Harm next();
    bool is_ended() const { return is_closed_ || is_failing_; }
    Unexpected end() const;
    Status block();
    std::optional<link::Message> harmed(Harm harm, link::Message message);

    std::unique_ptr<link::Link> inner_;
    Plan plan_;
    std::deque<Late> late_;
    int messages_ = 0;
    bool is_closed_ = false, is_failing_ = false, is_blocked_ = false;
};

}  // namespace fettle::test
