#pragma once
// Requests and answers over one link: ids, time limits, repeats that are safe because requests are
// idempotent, and telemetry handed on with its losses counted. Owned by the link's I/O thread.
//
// Where the link goes on over another channel (PairedLink), what is asked is asked again there at once, with
// the same id; where no try is answered, or what comes is no answer, the link is asked to go on over another
// channel and the tries begin anew. After that, and after any gap in the sequence, telemetry is subscribed to
// again by the session itself, for the full snapshot that a stream begins with: beside whatever runs, never
// waited for.

#include <array>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/link/clock_map.hpp"
#include "core/link/link.hpp"
#include "core/wire/reply.hpp"
#include "core/wire/request.hpp"

namespace fettle::link {

/// One telemetry event with the time of the device made whole (u32 us wraps every 71.6 minutes).
struct TimedEvent {
    std::int64_t at_us =
        0;  ///< since the first telemetry that was seen, device time; time without power does not count
    engine::Event event{};
};

/// What was heard of the device's telemetry so far.
struct TelemetryCounts {
    std::uint64_t events = 0;
    std::uint32_t batches = 0;
    std::uint32_t batches_lost = 0;  ///< gaps in the sequence, from the subscription on
    std::uint32_t repeated = 0;      ///< batches that came twice or late: not handed on
    std::uint32_t events_lost = 0;   ///< as the device says (EventKind::lost)
    std::uint32_t garbled = 0;       ///< batches that do not decode, or not to their end
    std::uint32_t boots = 0;         ///< changes of the boot id: the device started anew
    std::uint32_t cuts = 0;  ///< changes of the channel: what waited in the device then is counted nowhere
    std::uint32_t resubscribed = 0;  ///< by the session itself, after a cut or a gap
};

struct Limits {
    std::uint32_t answer_ms = 500;  ///< one try
    std::uint32_t slow_ms = 6000;   ///< finish, keep, revert: the device checks or writes its storage
    int tries = 3;
    std::uint32_t busy_ms = 10000;  ///< how long `busy` is asked again
};

/// Called while a long work goes on: done and whole in bytes. False cancels.
using Progress = std::function<bool(std::size_t done, std::size_t whole)>;

struct PushResult {
    wire::TrialReply trial{};
    std::size_t bytes_sent = 0;
    std::uint16_t bytes_to_write = 0;  ///< what the device said that it would change
};

/// How long a question and its answer took.
struct PingFigures {
    std::uint64_t round_trip_us = 0;  ///< link's clock, from the first try on
    std::uint32_t inside_us = 0;      ///< of it, between the device's taking it and its answer's leaving
    std::uint32_t device_us = 0;      ///< the device's clock when it took it; wraps every 71.6 minutes
};

struct DisplayRow {
    std::uint8_t rows = 0;  ///< of the whole display
    std::string text;
};

class Session {
public:
    /// Greets the device. Errors: timed_out (it says nothing), foreign (it says something, but nothing that a
    /// device of ours says: a hello that does not decode, a contract that never was, errors only), closed,
    /// io, busy. A newer device is spoken to in what both know.
    static Result<std::unique_ptr<Session>> open(std::unique_ptr<Link> link, Limits limits = {});

    const wire::HelloReply& hello() const { return hello_; }
    std::string serial() const;
    /// It speaks a newer contract than this program.
    bool is_newer() const { return hello_.contract_version > engine::k_contract_version; }

    /// Asked anew (after a push or a keep the answer differs).
    Result<wire::HelloReply> greet();
    Result<wire::InfoReply> info();
    /// slot: a number, or wire::k_slot_current / k_slot_spare. Errors: garbled (CRC differs), cancelled, and
    /// those of every request: closed, timed_out, busy, unsupported, refused.
    Result<std::vector<std::uint8_t>> read_image(std::uint8_t slot, const Progress& progress = {});
    /// Writes to the spare slot, verifies, starts the trial (trial_s 0: the profile's own time). The kept
    /// profile is untouched whatever happens here. Errors: too_large, garbled (no image), version (the device
    /// reads older images only), not_found (the trial began and was over before its answer came), mismatch,
    /// cancelled, and those of every request.
    Result<PushResult> push(std::span<const std::uint8_t> image, std::uint16_t trial_s,
                            const Progress& progress = {});
    Result<wire::TrialReply> trial();
    Result<wire::TrialReply> keep(std::uint16_t trial_id, std::uint32_t crc, bool helper_overrides);
    Result<wire::TrialReply> revert(std::uint16_t trial_id, std::uint32_t crc);
    Result<wire::TrialReply> extend(std::uint16_t trial_id, std::uint32_t crc, std::uint16_t seconds);
    Status release();
    Status set_mode(std::uint8_t mode);
    Status set_variant(std::uint8_t variant);
    /// One row of the device's character display.
    Result<std::string> display(std::uint8_t row);
    /// The same with the number of rows. row: below it, or the request fails (garbled).
    Result<DisplayRow> display_row(std::uint8_t row);
    /// Served whatever the device is at. Feeds clock(). Errors: garbled (an answer to another question),
    /// closed, timed_out.
    Result<PingFigures> ping();
    /// The device's clock on the link's (Link::now_us()), by the pings since it started.
    const ClockMap& clock() const { return clock_; }
    /// When an event happened, on the link's clock. Nothing before the first ping since the device started,
    /// and for an event of an earlier start.
    std::optional<std::int64_t> host_us(const TimedEvent& event) const;

    /// Simulated device only. Safe to ask again: the device takes a request that it had just now only once.
    Status inject(std::uint8_t line, std::span<const wire::InjectStep> edges);

    using Listener = std::function<void(const TimedEvent&)>;
    /// usages: the person agreed that key usages are recorded. Events come during any call of this session.
    Status subscribe(bool usages, bool edges, Listener listener);
    Status unsubscribe();
    /// Lets `ms` of the link's time pass and hands on what arrives.
    Status listen(std::uint32_t ms);
    const TelemetryCounts& telemetry() const { return counts_; }

    Link& link() { return *link_; }

private:
    Session(std::unique_ptr<Link> link, Limits limits);

    using Body = std::vector<std::uint8_t>;
    /// Writes a whole request (core/wire/request.hpp) with the id that it is given, and says its size.
    using Writer = std::function<std::uint8_t(std::uint8_t* to, std::uint8_t id)>;
    /// Whether a body can be the answer. What cannot is handed on all the same where no other channel is
    /// left.
    using Reader = std::function<bool(const Body&)>;
    struct Try {
        Result<Body> reply;
        bool is_readable = true;  ///< false: it came under the request's id and is no answer to it
    };
    Result<Body> request(const Writer& write, std::uint32_t answer_ms, const Reader& is_answer);
    Try request_once(const Writer& write, std::uint8_t id, std::uint32_t answer_ms, const Reader& is_answer);
    std::uint8_t new_id();
    Result<std::optional<Message>> receive(std::uint32_t wait_ms);
    Try await(std::uint8_t type, std::uint8_t id, std::uint32_t answer_ms, const Reader& is_answer);
    Result<wire::TrialReply> trial_request(const Writer& write, std::optional<std::uint32_t> crc = {});
    Status plain_request(const Writer& write);
    Status write_blocks(std::span<const std::uint8_t> image, const Progress& progress);
    Unexpected of_greeting(const Error& error) const;

    // session_telemetry.cpp
    void take_telemetry(std::span<const std::uint8_t> body);
    bool note_sequence(std::uint16_t boot_id, std::uint16_t sequence);
    void note_boot(std::uint16_t boot_id);
    std::int64_t since_last_us(std::uint32_t stamp_us, std::uint64_t now_ms) const;
    void note_changeover();
    std::uint32_t tend_subscription(std::uint32_t wait_ms);
    bool take_subscription(const Message& message);

    // session_clock.cpp
    void note_ping(std::uint64_t sent_us, std::uint64_t received_us, const wire::PingReply& reply);
    void note_clock_of(std::uint16_t boot_id);

    /// What was subscribed to, and the session's own asking for it anew.
    struct Subscription {
        bool is_on = false;
        std::uint8_t flags = 0;
        bool is_due = false, is_asked = false;  ///< asked: its answer is awaited
        std::uint8_t id = 0;
        std::uint64_t until_ms = 0;  ///< link's clock: how long it is awaited
        std::uint64_t next_ms = 0;   ///< not before
    };
    /// The device's clock in pings, made whole.
    struct PingClock {
        bool is_set = false;
        std::uint32_t last_us = 0;
        std::int64_t whole_us = 0;
        std::uint64_t heard_ms = 0;  ///< link's clock
    };

    std::unique_ptr<Link> link_;
    Limits limits_;
    wire::HelloReply hello_{};
    Listener listener_;
    TelemetryCounts counts_;
    Subscription subscription_;
    std::uint32_t changeovers_ = 0;       ///< of the link, as seen
    std::uint32_t sent_changeovers_ = 0;  ///< when the request that runs was sent
    std::uint32_t strange_ = 0;           ///< messages that no device of ours sends
    std::uint8_t next_id_ = 1;
    std::uint32_t next_stamp_ = 1;
    bool heard_any_ = false;
    std::uint16_t boot_id_ = 0;
    std::uint16_t sequence_ = 0;
    bool has_stamp_ = false;  ///< of this start of the device
    std::int64_t whole_us_ = 0;
    std::uint32_t last_us_ = 0;
    std::uint64_t last_heard_ms_ = 0;  ///< link's clock
    ClockMap clock_;
    PingClock ping_clock_;
    std::optional<std::uint16_t> clock_boot_;
};

}  // namespace fettle::link
