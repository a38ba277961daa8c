#pragma once
// Edges in, HID reports out: the code that the firmware, the simulated device, the curves on the screen and
// the adviser share. Deterministic: the same setup and the same inputs at the same ticks give the same bytes
// everywhere.
//
//   edges -> infrared / lines / axes -> levels -> press rules -> gestures -> actions -> motion, text, grid ->
//   output

#include "core/engine/actions.hpp"
#include "core/engine/gestures.hpp"
#include "core/engine/lines.hpp"
#include "core/engine/press.hpp"
#include "core/engine/receiver.hpp"
#include "core/engine/remote.hpp"

namespace fettle {
namespace engine {

struct EngineState {
    uint8_t mode;
    uint8_t variant;
    uint16_t scale_permille;
    uint32_t inputs_down;  ///< a bit per input, level after the source
    HeldState held;
    uint8_t grid_row, grid_column;
    uint8_t leds;
    uint8_t typing;  ///< text being typed + 1, 0 = none
};

class Engine {
public:
    /// Starts with nothing assigned, nothing held. Until load() a tick only keeps track of the lines.
    void start(const EventSink& sink);
    /// Another profile or variant of it. Whatever was held ends in one report of each kind (`cause` says
    /// why: profile or start); inputs that are down stay ignored until they were up. `setup` must outlive its
    /// use and not change under it; it may be the same object as before, filled anew. keep_mode: a variant of
    /// the same profile: mode, latches, locks, drags, a text that is being typed and the proofs survive; what
    /// presses hold ends.
    void load(const Setup* setup, uint32_t now_us, Cause cause, uint8_t variant, bool keep_mode);
    /// One millisecond. Edges of the very first tick after start() say how the lines stand: a switch or axis
    /// that is down in it was down at power-up and is ignored until it was up. (A remote cannot be: what it
    /// holds is heard with its next whole frame.) While the host sleeps presses do nothing and end nothing
    /// but what was held.
    void tick(const TickInputs& in, TickOutputs& out);
    /// Mode chosen by the host. What presses hold goes on until they end. Unknown modes: nothing.
    void go_to_mode(uint8_t mode, uint32_t now_us);
    /// Tells the whole state: snapshot, held, grid. is_on_trial: what the engine cannot know.
    void snapshot(uint32_t now_us, bool is_on_trial) const;

    EngineState state() const;
    uint8_t variant() const { return variant_; }
    bool is_loaded() const { return setup_ != nullptr; }
    /// Only after load().
    const Setup& setup() const { return *setup_; }
    /// k_proof_* bits reached since load() of another profile.
    uint8_t proof() const { return actions_.proofs().reached(); }
    /// Which of them this profile can reach at all. All of them while the storage has not yet told.
    uint8_t proof_needed() const { return actions_.proofs().needed(); }
    bool holds_anything() const { return output_.holds_anything(); }

private:
    Work work(uint32_t now_us);
    void take_edges(const TickInputs& in);
    void take_frame(const IrFrame& frame, uint32_t end_us);
    uint8_t input_of(Protocol protocol, uint32_t code) const;
    void take_levels(const TickInputs& in, uint32_t before);
    void take_commands(const TickInputs& in);
    void take_presses(uint32_t now_us);
    void step_presses(uint32_t due, uint32_t now_us);
    void take_step(const PressStep& step, uint8_t input, uint32_t now_us);
    void queue(const Waiting& waiting, uint32_t now_us);
    void act(uint32_t now_us);
    void move_on(uint32_t now_us, TickOutputs& out);
    void end_presses(uint32_t now_us, Cause cause);
    void release_presses(uint32_t now_us, Cause cause);
    void look_for_proofs();
    void keep_remote();

    // In an order that leaves no gaps.
    const Setup* setup_;
    EventSink sink_;
    Output output_;
    uint8_t leds_, variant_;
    Motion motion_;
    Presses presses_;
    Receiver receiver_;
    Remote remote_;
    Actions actions_;
    uint16_t now_ms_;  ///< counts ticks
    Lines lines_;
    uint32_t down_;         ///< levels, a bit per input
    uint32_t remote_code_;  ///< of the infrared input that was heard last
    Gestures gestures_;
    uint8_t remote_down_;                      ///< the infrared input in down_
    Protocol remote_protocol_ FETTLE_BITS(4);  ///< with remote_code_
    bool is_first_tick_ FETTLE_BITS(1), is_suspended_ FETTLE_BITS(1);
};

/// Flags of EventKind::snapshot.
constexpr uint8_t k_snapshot_on_trial = 1;
constexpr uint8_t k_snapshot_suspended = 2;

/// Contract: what one engine takes of a small board's memory.
constexpr size_t k_engine_bytes_max = 700;
static_assert(sizeof(Engine) <= k_engine_bytes_max, "contract: at most 700 bytes");

/// What a character display of `columns` by `rows` (20x4 or 16x2) shows: mode, what is held, grid, labels.
/// Fills `columns` characters of `row`, space-padded ASCII, not zero-ended. False while storage is busy.
/// notice: a few words that the engine does not know (a trial and its seconds), nullptr: none.
bool display_row(const Engine& engine, uint8_t row, uint8_t rows, uint8_t columns, char* out,
                 const char* notice = nullptr);

}  // namespace engine
}  // namespace fettle
