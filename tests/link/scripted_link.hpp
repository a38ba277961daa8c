#pragma once
// A link whose other end is a function: for devices that no simulated one can be made to be.

#include <deque>
#include <functional>

#include "core/link/link.hpp"
#include "core/wire/reply.hpp"
#include "core/wire/request.hpp"

namespace fettle::test {

/// The other end gets each message and may put answers into `answers`.
class ScriptedLink : public link::Link {
public:
    using Device = std::function<void(const link::Message&, std::deque<link::Message>& answers)>;
    explicit ScriptedLink(Device device) : device_(std::move(device)) {}

    Status send(std::span<const std::uint8_t> message) override {
        ++sent_;
        device_(link::Message(message.begin(), message.end()), answers_);
        return Done{};
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        if (answers_.empty()) {
            now_ms_ += wait_ms;
            return std::optional<link::Message>{};
        }
        ++now_ms_;  // as on a bus: a message takes time
        link::Message message = std::move(answers_.front());
        answers_.pop_front();
        return std::optional(std::move(message));
    }
    std::uint64_t now_ms() const override { return now_ms_; }
    link::ChannelKind channel() const override { return link::ChannelKind::simulated; }

    int sent() const { return sent_; }
    std::deque<link::Message>& answers() { return answers_; }
    void pass_ms(std::uint64_t ms) { now_ms_ += ms; }

private:
    Device device_;
    std::deque<link::Message> answers_;
    std::uint64_t now_ms_ = 0;
    int sent_ = 0;
};

/// A whole hello reply of a device with two slots of 480 bytes.
inline link::Message hello_reply(std::uint8_t id, std::uint16_t contract_version = 1,
                                 std::uint8_t format = 1) {
    wire::HelloReply hello{};
    hello.contract_version = contract_version;
    hello.engine_build = 1;
    hello.image_format = format;
    hello.slots = 2;
    hello.slot_bytes = 480;
    hello.boot_id = 7;
    std::uint8_t raw[wire::k_message_max];
    return {raw, raw + wire::put_hello(raw, id, hello)};
}

}  // namespace fettle::test
