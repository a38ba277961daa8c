// Telemetry: subscription, sequence, whole time, losses.

#include <algorithm>
#include <utility>

#include "core/link/session.hpp"
#include "core/link/session_detail.hpp"

namespace fettle::link {

using engine::get16;
using wire::MessageType;

namespace {

constexpr std::uint16_t k_late_batches = 64;     // more than a host's buffers hold (Linux 6.1, hidraw: 63)
constexpr std::uint64_t k_resubscribe_ms = 250;  // four snapshots a second at most

}  // namespace

Status Session::subscribe(bool usages, bool edges, Listener listener) {
    std::swap(listener_, listener);
    const std::uint32_t batches_before = counts_.batches;
    Subscription before = subscription_;
    before.is_due = before.is_due || before.is_asked;
    before.is_asked = false;
    // What was subscribed to before must not be asked for behind this request's back.
    subscription_ = {};
    const auto flags = static_cast<std::uint8_t>((usages ? wire::k_subscribe_usages : 0) |
                                                 (edges ? wire::k_subscribe_edges : 0));
    wire::SubscribeReply got{};
    const auto read = [&](const Body& body) { return wire::get_subscribe(body.data(), size_of(body), got); };
    auto reply = request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::subscribe, id, flags); },
        limits_.answer_ms, read);
    if (!reply || !read(*reply)) {
        listener_ = std::move(listener);  // the one before goes on
        subscription_ = before;
        return reply ? fail(Errc::garbled, "subscribe") : reply.failure();
    }
    subscription_.is_on = true;
    subscription_.flags = flags;
    note_boot(got.boot_id);
    // What came before this subscription is nobody's loss; what comes from here on is counted.
    if (counts_.batches == batches_before) sequence_ = static_cast<std::uint16_t>(got.next_sequence - 1);
    return Done{};
}

Status Session::unsubscribe() {
    Subscription before = subscription_;
    subscription_ = {};
    auto done =
        plain_request([](auto* to, auto id) { return wire::put_request(to, MessageType::unsubscribe, id); });
    if (done)
        listener_ = {};
    else
        subscription_ = before;
    return done;
}

/// The link goes on over another channel: the stream begins anew there.
void Session::note_changeover() {
    changeovers_ = link_->changeovers();
    if (!subscription_.is_on) return;
    ++counts_.cuts;
    subscription_.is_due = true;
    subscription_.is_asked = false;
    subscription_.next_ms = 0;
}

/// Asks for the stream anew where that is due; its answer comes as any message. How long to wait for that at
/// most, of wait_ms.
std::uint32_t Session::tend_subscription(std::uint32_t wait_ms) {
    Subscription& s = subscription_;
    if (!s.is_on || (!s.is_due && !s.is_asked)) return wait_ms;
    const std::uint64_t now = link_->now_ms();
    if (s.is_asked && now >= s.until_ms) {
        s.is_asked = false;
        s.is_due = true;
    }
    if (s.is_due && !s.is_asked && now >= s.next_ms) {
        s.id = new_id();
        std::uint8_t message[wire::k_message_max];
        const std::uint8_t size = wire::put_byte_request(message, MessageType::subscribe, s.id, s.flags);
        s.until_ms = now + limits_.answer_ms;
        s.next_ms = now + k_resubscribe_ms;
        // What is wrong with the link is met, and told, by whoever receives.
        const bool is_sent = link_->send(std::span(message, size)).has_value();
        if (link_->changeovers() != changeovers_) note_changeover();
        s.is_asked = is_sent;
        s.is_due = !is_sent;
    }
    const std::uint64_t look_ms = s.is_asked ? s.until_ms : s.next_ms;
    return static_cast<std::uint32_t>(std::min<std::uint64_t>(wait_ms, look_ms > now ? look_ms - now : 1));
}

/// True: it was the answer to the session's own subscribing.
bool Session::take_subscription(const Message& m) {
    Subscription& s = subscription_;
    if (!s.is_asked || m[1] != s.id) return false;
    const bool is_error = m[0] == static_cast<std::uint8_t>(MessageType::error);
    if (!is_error && m[0] != wire::reply_type(MessageType::subscribe)) return false;
    s.is_asked = false;
    wire::SubscribeReply got{};
    if (is_error || !wire::get_subscribe(m.data() + wire::k_message_head,
                                         static_cast<std::uint8_t>(m.size() - wire::k_message_head), got)) {
        s.is_due = true;
        return true;
    }
    ++counts_.resubscribed;
    // What was lost meanwhile the next batch's number says. The batches before a start were another's.
    const bool is_start = got.boot_id != boot_id_;
    note_boot(got.boot_id);
    if (is_start) sequence_ = static_cast<std::uint16_t>(got.next_sequence - 1);
    return true;
}

/// The device started anew: its sequence and its clock have nothing to do with what they were.
void Session::note_boot(std::uint16_t boot_id) {
    if (heard_any_ && boot_id == boot_id_) return;
    note_clock_of(boot_id);
    if (heard_any_) ++counts_.boots;
    heard_any_ = true;
    has_stamp_ = false;
    boot_id_ = boot_id;
    sequence_ = 0xFFFF;  // a start numbers its batches from 0
}

/// False: a batch that was there before, or is older than the last one.
bool Session::note_sequence(std::uint16_t boot_id, std::uint16_t sequence) {
    const bool is_first = !heard_any_;
    note_boot(boot_id);
    if (is_first) sequence_ = static_cast<std::uint16_t>(sequence - 1);
    const auto ahead = static_cast<std::uint16_t>(sequence - sequence_);
    if (ahead == 0 || ahead > 0xFFFF - k_late_batches) {
        ++counts_.repeated;
        return false;
    }
    counts_.batches_lost += ahead - 1u;
    if (ahead > 1) subscription_.is_due = true;
    sequence_ = sequence;
    ++counts_.batches;
    return true;
}

/// The device's clock wraps every 71.6 minutes; the link's clock says how often it did since the last stamp.
/// May be a little below 0: an edge may lie before a stamp that was already seen.
std::int64_t Session::since_last_us(std::uint32_t stamp_us, std::uint64_t now_ms) const {
    return device_step_us(stamp_us - last_us_, static_cast<std::int64_t>(now_ms - last_heard_ms_) * 1000);
}

void Session::take_telemetry(std::span<const std::uint8_t> body) {
    wire::TelemetryReader reader(body.data(), static_cast<std::uint8_t>(body.size()));
    if (!reader.is_valid()) {
        ++counts_.garbled;
        return;
    }
    if (!note_sequence(reader.boot_id(), reader.sequence())) return;
    engine::Event event{};
    const std::uint64_t now_ms = link_->now_ms();
    while (reader.next(event)) {
        if (has_stamp_) whole_us_ += since_last_us(event.at_us, now_ms);
        has_stamp_ = true;
        last_us_ = event.at_us;
        last_heard_ms_ = now_ms;
        ++counts_.events;
        if (event.kind == engine::EventKind::lost) counts_.events_lost += get16(event.data);
        if (listener_) listener_(TimedEvent{whole_us_, event});
    }
    if (reader.garbled()) ++counts_.garbled;
}

}  // namespace fettle::link
