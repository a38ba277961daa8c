#pragma once
// A device whose answers stand on a tape: after each request it does what the next steps say.

#include <deque>

#include "core/link/link.hpp"
#include "core/wire/reply.hpp"
#include "tests/fuzz/tape.hpp"

namespace fettle::fuzz {

/// A step is a byte, and mostly counted bytes. Bit 7: another step follows for the same request.
enum class Answer : std::uint8_t {
    reply = 0,      ///< of the request's type and id, with this body
    error = 1,      ///< an error reply under its id, with this body
    raw = 2,        ///< these bytes
    telemetry = 3,  ///< with this body
    nothing = 4,
    close = 5,
    foreign_id = 6,  ///< as `reply`, under another id
    changeover = 7,  ///< the link goes on over another channel
};
constexpr std::uint8_t k_answers = 8;
constexpr std::uint8_t k_more = 0x80;

/// At the end of the tape the link is closed.
class TapeLink : public link::Link {
public:
    TapeLink(Tape& tape, bool has_other_channel) : tape_(tape), has_other_(has_other_channel) {}

    Status send(std::span<const std::uint8_t> message) override {
        must(message.size() >= wire::k_message_head && message.size() <= wire::k_message_max,
             "a request has 2 to 62 bytes");
        if (is_closed_) return fail(Errc::closed, "tape");
        for (bool more = true; more && !is_closed_;) {
            is_closed_ = tape_.is_empty();
            const std::uint8_t step = tape_.byte();
            more = (step & k_more) != 0;
            answer(static_cast<Answer>((step & ~k_more) % k_answers), message);
        }
        return Done{};
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        if (answers_.empty()) {
            if (is_closed_) return fail(Errc::closed, "tape");
            now_ms_ += wait_ms;
            return std::optional<link::Message>{};
        }
        ++now_ms_;
        link::Message first = std::move(answers_.front());
        answers_.pop_front();
        return std::optional(std::move(first));
    }
    std::uint64_t now_ms() const override { return now_ms_; }
    link::ChannelKind channel() const override { return link::ChannelKind::hid; }
    std::uint32_t changeovers() const override { return changeovers_; }
    bool change_over() override {
        if (!has_other_) return false;
        has_other_ = false;
        ++changeovers_;
        return true;
    }

    void put(link::Message message) { answers_.push_back(std::move(message)); }
    void pass_ms(std::uint64_t ms) { now_ms_ += ms; }

private:
    void answer(Answer kind, std::span<const std::uint8_t> request) {
        link::Message message = {static_cast<std::uint8_t>(request[0] | wire::k_reply), request[1]};
        switch (kind) {
            case Answer::reply: break;
            case Answer::error: message[0] = static_cast<std::uint8_t>(wire::MessageType::error); break;
            case Answer::raw: message.clear(); break;
            case Answer::telemetry:
                message = {static_cast<std::uint8_t>(wire::MessageType::telemetry), 0};
                break;
            case Answer::nothing: return;
            case Answer::close: is_closed_ = true; return;
            case Answer::foreign_id: ++message[1]; break;
            case Answer::changeover: ++changeovers_; return;
        }
        const Bytes body = tape_.counted();
        message.insert(message.end(), body.begin(), body.end());
        answers_.push_back(std::move(message));
    }

    Tape& tape_;
    bool has_other_;
    std::deque<link::Message> answers_;
    std::uint64_t now_ms_ = 0;
    std::uint32_t changeovers_ = 0;
    bool is_closed_ = false;
};

}  // namespace fettle::fuzz
