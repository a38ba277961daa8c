#pragma once
// Edges in, HID reports out: the code that the firmware, the simulated device, the curves on the screen and
// the adviser share. Deterministic: the same setup and the same inputs at the same ticks give the same bytes
// everywhere.
//
//   edges -> infrared / lines / axes -> levels -> press rules -> gestures -> actions -> motion, text, grid ->
//   output

#include "core/engine/output.hpp"
#include "core/engine/report.hpp"
#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

/// What the profile on trial must have done before `keep` is offered (contract: only what the profile has).
constexpr uint8_t k_proof_clicked = 1;  ///< a click was pressed and let go, and the host read both
constexpr uint8_t k_proof_let_go = 2;   ///< a press ended and nothing was held after it
constexpr uint8_t k_proof_mode = 4;     ///< a mode was left and come back to

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
    /// Starts with nothing assigned, nothing held.
    void start(const EventSink& sink);
    /// Another profile or variant of it. Whatever was held ends in one report of each kind (`cause` says
    /// why); inputs that are down stay ignored until they were up. `setup` must outlive its use and not
    /// change under it. keep_mode: a variant of the same profile: mode, latches, locks and drags survive.
    void load(const Setup* setup, uint32_t now_us, Cause cause, uint8_t variant, bool keep_mode);
    /// One millisecond.
    void tick(const TickInputs& in, TickOutputs& out);
    /// Mode chosen by the host.
    void go_to_mode(uint8_t mode, uint32_t now_us);

    EngineState state() const;
    const Setup& setup() const;
    /// k_proof_* bits reached since load().
    uint8_t proof() const;
    /// Which of them this profile can reach at all.
    uint8_t proof_needed() const;
    bool holds_anything() const;

private:
    // To be laid out by the implementation. sizeof(Engine) at most 700 bytes.
};

/// What a character display of `columns` by `rows` (20x4 or 16x2) shows: mode, what is held, grid, labels.
/// Fills `columns` characters of `row`, space-padded ASCII, not zero-ended. False while storage is busy.
bool display_row(const Engine& engine, uint8_t row, uint8_t rows, uint8_t columns, char* out);

}  // namespace engine
}  // namespace fettle
