#include "tests/link/faulty_link.hpp"

#include "core/wire/message.hpp"
#include "core/wire/reply.hpp"

namespace fettle::test {

namespace {

constexpr std::uint64_t k_late_ms = 20000;
// A device that never takes a report holds a write of hidapi for so long (Linux 6.1: usbhid).
constexpr std::uint64_t k_block_ms = 5000;

bool is_telemetry(const link::Message& m) {
    return m[0] == static_cast<std::uint8_t>(wire::MessageType::telemetry);
}

link::Message spoiled(Harm harm, link::Message message) {
    const std::size_t head = wire::k_message_head;
    switch (harm) {
        case Harm::wrong_id: message[1] = static_cast<std::uint8_t>(message[1] + 7); break;
        case Harm::garbage:
            for (std::size_t i = head; i < message.size(); ++i) message[i] ^= 0xA5;
            break;
        case Harm::flip:
            if (message.size() > head) message[message.size() - 1] ^= 0x10;
            break;
        case Harm::truncate: message.resize(std::max(head, message.size() / 2)); break;
        case Harm::oversize: message.resize(message.size() + 200, 0xEE); break;
        case Harm::error_reply: {
            std::uint8_t error[wire::k_message_max];
            const auto request = static_cast<std::uint8_t>(message[0] & ~wire::k_reply);
            const std::uint8_t size =
                wire::put_error(error, message[1], {request, wire::WireError::verify, {0, 0}});
            message.assign(error, error + size);
            break;
        }
        case Harm::none:
        case Harm::drop:
        case Harm::delay:
        case Harm::twice:
        case Harm::close:
        case Harm::io:
        case Harm::blocked: break;
    }
    return message;
}

}  // namespace

void FaultyLink::set_plan(const Plan& plan) {
    plan_ = plan;
    messages_ = 0;
    is_closed_ = is_failing_ = is_blocked_ = false;
}

Harm FaultyLink::next() {
    ++messages_;
    const bool is_struck = messages_ == plan_.at || (plan_.for_ever && messages_ > plan_.at);
    if (!is_struck) return Harm::none;
    is_closed_ = is_closed_ || plan_.harm == Harm::close;
    is_failing_ = is_failing_ || plan_.harm == Harm::io;
    is_blocked_ = is_blocked_ || plan_.harm == Harm::blocked;
    return plan_.harm;
}

Unexpected FaultyLink::end() const {
    return fail(is_closed_ ? Errc::closed : Errc::io, "faulty link", "as planned");
}

Status FaultyLink::block() {
    for (const auto until = now_ms() + k_block_ms; now_ms() < until;) {
        auto got = inner_->receive(1);
        if (!got) return got.failure();
        if (*got) late_.push_back({0, std::move(**got)});
    }
    return fail(Errc::timed_out, "faulty link", "as planned");
}

Status FaultyLink::send(std::span<const std::uint8_t> message) {
    if (is_ended()) return end();
    const Harm harm = next();
    if (is_ended()) return end();
    if (is_blocked_) return block();
    if (harm == Harm::drop || harm == Harm::delay || harm == Harm::error_reply) return Done{};
    if (harm == Harm::oversize) return inner_->send(message);
    if (harm == Harm::twice)
        if (auto first = inner_->send(message); !first) return first;
    return inner_->send(spoiled(harm, {message.begin(), message.end()}));
}

std::optional<link::Message> FaultyLink::harmed(Harm harm, link::Message message) {
    if (harm == Harm::drop) return std::nullopt;
    if (harm == Harm::delay) {
        late_.push_back({now_ms() + k_late_ms, std::move(message)});
        return std::nullopt;
    }
    if (harm == Harm::twice) late_.push_front({0, message});
    return spoiled(harm, std::move(message));
}

Result<std::optional<link::Message>> FaultyLink::receive(std::uint32_t wait_ms) {
    const std::uint64_t until = now_ms() + wait_ms;
    for (;;) {
        if (is_ended()) return end();
        if (!late_.empty() && late_.front().at_ms <= now_ms()) {
            link::Message message = std::move(late_.front().message);
            late_.pop_front();
            return std::optional(std::move(message));
        }
        const std::uint64_t now = now_ms();
        auto got = inner_->receive(now < until ? 1 : 0);
        if (!got) return got;
        if (*got) {
            const bool is_uncounted = is_telemetry(**got);
            if (is_uncounted && !(plan_.with_telemetry && plan_.for_ever && messages_ >= plan_.at))
                return got;
            const Harm harm = is_uncounted ? plan_.harm : next();
            if (is_ended()) return end();
            if (auto kept = harmed(harm, std::move(**got))) return std::optional(std::move(*kept));
        }
        if (now_ms() >= until) return std::optional<link::Message>{};
    }
}

}  // namespace fettle::test
