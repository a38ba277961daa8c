#pragma once
// A host that knows only the reports that it read, and a clock that drives Output one millisecond a tick.
// On destruction everything is let go and the host must see nothing held: the check after every test.

#include <functional>
#include <string>
#include <vector>

#include "core/engine/output.hpp"

namespace fettle::engine {

/// What a report changed, in the words of a host. mods: modifiers that the host knew at that moment.
struct Seen {
    enum What { key_down, key_up, button_down, button_up, consumer_down, consumer_up, wheel, pan };
    uint32_t at_ms;
    What what;
    int code;
    uint8_t mods;
};

/// Rebuilds key and button edges from reports alone, as a class driver does.
class Host {
public:
    void read_keyboard(uint32_t now_ms, const Report& report);
    void read_pointer(uint32_t now_ms, const Report& report, bool is_boot);

    bool is_all_up() const;
    std::vector<int> downs(Seen::What what) const;
    std::vector<Seen> only(Seen::What what) const;
    /// "k04+/02 k04- b0+ ce9+ w3": key, button, consumer usage, wheel; after the slash the modifiers.
    std::string story() const;

    std::vector<Seen> seen;
    std::vector<Report> keyboard_reports, pointer_reports;
    int64_t x = 0, y = 0, wheel = 0, pan = 0;
    uint8_t modifiers = 0;
    uint8_t buttons = 0;
    uint16_t consumer = 0;
    std::vector<uint8_t> keys;
    int rolled_over = 0;
    /// Called before each button edge is noted, with the position at that time.
    std::function<void(const Seen&)> at_edge;

private:
    void note(uint32_t now_ms, Seen::What what, int code);
};

class Rig {
public:
    Rig();
    ~Rig();
    Rig(const Rig&) = delete;
    Rig& operator=(const Rig&) = delete;

    /// One millisecond. The host reads when its poll is due; `taken` is told to Output in the next tick.
    void tick(uint8_t commands = 0);
    void run(uint32_t ms);
    /// Until nothing changes: all taps shown. Fails after 5 s of device time.
    void settle();
    uint32_t now_ms() const { return now_ms_; }
    const EventSink& sink() const { return sink_; }
    std::vector<Event> events_of(EventKind kind) const;
    /// Does the check of the destructor now.
    void finish();

    Output out;
    Host host;
    std::vector<Event> events;
    /// Does the host read this endpoint in this millisecond? Every millisecond by default.
    std::function<bool(Endpoint, uint32_t)> is_polled;
    bool reads_pointer_first = false;
    uint8_t boot_protocol = 0;
    uint8_t steady_commands = 0;
    /// Reports with the time they were handed over.
    std::vector<std::pair<uint32_t, Report>> handed[2];

private:
    void poll(Endpoint endpoint);

    EventSink sink_;
    uint32_t now_ms_ = 0;
    uint8_t taken_ = 0;
    Report buffer_[2];
    bool is_full_[2] = {false, false};
    bool is_buffer_boot_ = false;
    bool is_finished_ = false;
};

}  // namespace fettle::engine
