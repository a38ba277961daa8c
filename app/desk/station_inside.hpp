#pragma once
// What a Station is made of. Shared by its sources, and by nobody else.
// Three parts: what both threads touch, each under its lock; what the I/O thread knows; what it does.

#include <array>
#include <condition_variable>
#include <string>

#include "app/desk/station.hpp"
#include "app/desk/station_choice.hpp"
#include "app/desk/station_link.hpp"
#include "app/desk/station_state.hpp"

namespace fettle::app {

struct Waiting {
    std::uint32_t ticket = 0;
    Ask what;
};

/// Who may serve an Ask, and when.
enum class AskKind : std::uint8_t { link, hands, release, cancel, connect, consent };
AskKind kind_of(const Ask& ask);
constexpr unsigned bit(AskKind kind) {
    return 1u << static_cast<unsigned>(kind);
}

struct Station::Inside {
    Inside(LinkSource& from, const Clock& window_clock) : source(from), clock(window_clock) {}

    // --- both threads ---
    std::mutex asks_lock;
    std::deque<Waiting> asks;
    std::condition_variable asked;
    std::uint32_t last_ticket = 0;
    std::atomic<bool> has_asks{false};
    std::mutex tolds_lock;
    std::deque<Told> tolds;
    std::mutex shared_lock;
    DeviceNow shared;
    std::atomic<std::int64_t> beat_ms{0};
    std::atomic<bool> is_stopping{false};
    Ring<Heard, 65536> heard;
    std::function<void()> wake;
    std::thread thread;

    // --- the I/O thread ---
    LinkSource& source;
    const Clock& clock;
    DeviceNow now;
    bool is_touched = false;  ///< `now` differs from `shared`
    bool has_news = false;
    std::unique_ptr<StationLink> fresh_link;  ///< open, not greeted
    std::unique_ptr<link::Session> session;
    StationLink* link = nullptr;  ///< of either

    bool is_wanted = false;
    Wanted wanted;
    std::string pinned_number;  ///< what the pinned device itself calls its serial number
    std::optional<std::int64_t> barred_since_ms;
    std::optional<std::uint32_t> connecting;  ///< ticket of the Connect that runs
    std::vector<std::uint32_t> disconnecting;
    bool was_live = false;  ///< since Connect: the next time is a reconnect
    bool is_in_request = false, is_letting_go = false, is_cancelled = false;
    std::uint64_t let_go_until_ms = 0;     ///< link's clock
    std::vector<std::uint32_t> releasing;  ///< past a running request, not answered yet
    std::int64_t releasing_since_ms = 0;

    std::int64_t alive_ms = 0;      ///< last sign of life, window's clock, as all below
    std::int64_t telemetry_ms = 0;  ///< last telemetry
    std::int64_t round_ms = 0;      ///< this round's beginning
    int failed_pings = 0;
    std::int64_t next_try_ms = 0, next_look_ms = 0, next_tend_ms = 0;
    std::int64_t next_ping_ms = 0, next_trial_ms = 0, next_info_ms = 0, next_display_ms = 0;
    int display_row = -1;  ///< to be asked next, -1: none
    bool is_refresh_due = false, is_trial_due = false, is_display_stale = false, is_subscribe_due = false;
    std::array<double, 10> round_trips_ms{};
    std::size_t pings = 0;
    std::uint16_t start = 0;
    std::array<std::uint8_t, engine::k_event_data_bytes> last_held{}, last_grid{}, last_trial{};
    std::optional<profile::Infrared> held_button;  ///< of the simulated remote
    std::uint32_t known_boots = 0;                 ///< of this session: the device said so itself
    link::TelemetryCounts counted{};               ///< as of the last event
    std::uint64_t ring_lost = 0;                   ///< as of the last event that fitted

    // station.cpp: the two sides' meeting
    std::int64_t now_ms() const { return clock.monotonic_us() / 1000; }
    std::optional<Waiting> take_ask(unsigned kinds);
    bool is_waiting(unsigned kinds);
    void tell(Told told);
    void tell(const Waiting& waiting, std::optional<Error> error);
    void tell_ticket(std::uint32_t ticket, std::size_t index, std::optional<Error> error);
    void publish();
    void touch() { is_touched = true; }
    void run();

    // station_round.cpp: one step of each state
    void step();
    void move(LinkEvent event);
    void fail_with(const Error& error);
    Status pulse();
    void note_silence();
    void look();
    Choice choose() const;
    bool note_barred(const std::optional<link::Attached>& barred);
    void round_absent();
    void round_opening();
    void open_link(const link::Attached& chosen);
    StationLink::Hooks hooks();
    void note_fresh();
    void round_greeting();
    Status greet();
    void begin_session();
    int pings_to_close() const;
    void round_open();
    void round_closing();
    void close();
    void lose(const Error& error);
    void refuse_waiting(const Error& error);
    void end_connecting(std::optional<Error> error);
    void shut_down();
    void tend();
    void expire_releases();

    // station_requests.cpp
    void carry_out(Waiting waiting);
    void serve_without_link();
    void serve_urgent();
    void connect(const Waiting& waiting, const ask::Connect& asked_for);
    void disconnect(const Waiting& waiting);
    void cancel(const Waiting& waiting);
    void release(const Waiting& waiting);
    void send_release_past(const Waiting& waiting);
    void agree(const Waiting& waiting, bool is_agreed);
    void push(const Waiting& waiting, const ask::Push& asked_for);
    void read_image(const Waiting& waiting, const ask::ReadImage& asked_for);
    using TrialCall = std::function<Result<wire::TrialReply>(const wire::TrialReply& running)>;
    void on_trial(const Waiting& waiting, bool is_keep, const TrialCall& call);
    void plain(const Waiting& waiting, const std::function<Status()>& call);
    void finish(Told told, const Waiting& waiting, std::optional<Error> error);
    void take_trial(const wire::TrialReply& trial);
    /// After every call of the session: what it says of the link.
    void note(const std::optional<Error>& error);
    void note_alive();
    Error no_link() const;

    // station_chores.cpp: what is asked of the device without a person's asking
    bool chore();
    bool chore_subscribe();
    bool chore_refresh();
    bool chore_trial();
    bool chore_ping();
    bool chore_info();
    bool chore_display();
    bool ping();
    Status subscribe();
    void hear(const link::TimedEvent& timed);
    void count(const engine::Event& event);
    bool is_told_again(const engine::Event& event);
    std::uint32_t take_gap();

    // station_hands.cpp: the simulated device's world
    void work_hands(const Waiting& waiting);
    void note_computer();
};

/// A session's call that is one request: pulse() may end it.
class InRequest {
public:
    explicit InRequest(bool& is_in) : is_in_(is_in) { is_in_ = true; }
    ~InRequest() { is_in_ = false; }
    InRequest(const InRequest&) = delete;
    InRequest& operator=(const InRequest&) = delete;

private:
    bool& is_in_;
};

template <typename T>
std::optional<Error> error_of(const Result<T>& result) {
    if (result) return std::nullopt;
    return result.error();
}

}  // namespace fettle::app
