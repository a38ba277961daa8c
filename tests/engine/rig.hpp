#pragma once
// An engine with hands on one side and a computer on the other, on a clock of its own. Every test ends with
// the same check: nothing is held, and nothing came out that the test did not take note of.
//
//   Profile p; const auto in = p.add_switch(1); p.assign(0, in, tap_key(0x04));
//   Rig rig(p);
//   rig.press(in, 80);                       // down for 80 ms, then up
//   CHECK(rig.typed() == "04");              // takes note of it
//   ~Rig: 6 s of silence, then the check

#include <cstdint>
#include <deque>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "core/engine/engine.hpp"
#include "tests/engine/computer.hpp"
#include "tests/engine/profile.hpp"

namespace fettle::engine::testing {

/// A profile that stands in memory, with a storage that can be busy.
struct Stored {
    Setup setup;
    std::vector<std::uint8_t> image;
    std::function<bool()> is_busy;  ///< asked at each read
    explicit Stored(const Profile& profile);
    Stored(const Stored&) = delete;
    Stored& operator=(const Stored&) = delete;
};

/// All that went into a tick, and all that came out: what a replay needs and must reproduce.
struct Tick {
    TickInputs in;
    std::vector<Edge> edges;
    TickOutputs out;
};

class Rig {
public:
    /// Powered, loaded, and 10 ms old (so that edges are no power-up levels, and the receiver listens).
    explicit Rig(const Profile& profile, std::uint32_t start_us = 0);
    ~Rig();
    Rig(const Rig&) = delete;
    Rig& operator=(const Rig&) = delete;

    // Time.
    void run(std::uint32_t ms);
    std::uint32_t now_ms() const { return ticks_; }
    std::uint32_t now_us() const { return now_us_; }

    // Hands.
    void down(std::uint8_t input);  ///< a switch closes now (in the next tick)
    void up(std::uint8_t input);
    void press(std::uint8_t input, std::uint32_t for_ms);  ///< down, that long, up; one ms more
    void edge(std::uint8_t line, bool level, std::uint32_t in_us = 500);
    void axis(std::uint8_t axis, std::int16_t permille) { axes[axis] = permille; }
    /// A remote's frame begins now; its pulses come with time. Gives its length in us.
    std::uint32_t send(const IrFrame& frame);

    // What the host and the device around the engine do.
    void load(const Profile& profile, Cause cause = Cause::profile, bool keep_mode = false,
              std::uint8_t variant = 0);
    void command(std::uint8_t bits);  ///< for one tick; k_command_suspended lasts until it is taken back
    std::uint8_t standing_commands = 0;
    std::uint8_t leds = 0;
    std::uint8_t boot_protocol = 0;
    std::int16_t axes[4] = {0, 0, 0, 0};

    // What came out, taken note of: "04 05" or "02+04" with modifiers; buttons "1 0"; usages "00E2 0000".
    std::string typed();
    std::string clicked();
    std::string played();
    std::vector<Typed> take_typed();
    std::vector<Clicked> take_clicks();
    /// Motion and detents since the last call: "x y", "wheel pan".
    std::string moved();
    std::string scrolled();
    std::uint8_t take_wishes();
    std::uint8_t wished_variant = 0;  ///< that came with the last k_wish_variant

    // Events.
    std::vector<Event> events;
    std::size_t count(EventKind kind) const;
    std::size_t count(EventKind kind, std::uint8_t d0, std::uint8_t d1) const;
    std::vector<Event> of(EventKind kind) const;
    /// Phases of actions in order: "begin 1, end 1", by action number.
    std::string action_story() const;
    void forget_events() { events.clear(); }

    /// What must be true at the end. Called by the destructor; earlier calls are allowed.
    void finish();
    bool is_end_checked = true;       ///< false: the test makes its own end
    std::size_t expected_faults = 0;  ///< EventKind::fault

    Engine engine;
    Computer computer;
    std::vector<Tick> record;  ///< filled while is_recording
    bool is_recording = false;
    Stored& stored() { return *loaded_.back(); }
    std::function<bool()> storage_is_busy;  ///< of every profile that is loaded

private:
    static void collect(void* owner, const Event& event);
    void tick();
    std::deque<Edge> pending_;
    std::vector<std::unique_ptr<Stored>> loaded_;  // all of them: the engine may look at the last one only
    std::uint32_t now_us_;
    std::uint32_t ticks_ = 0;
    std::uint8_t taken_ = 0;
    std::uint8_t once_ = 0;
    std::uint8_t wishes_ = 0;
    std::size_t begun_ = 0, ended_ = 0, faults_ = 0;  // events of all time
};

}  // namespace fettle::engine::testing
