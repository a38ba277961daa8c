#pragma once
// What gestures do. Whatever an action holds down is remembered by its input, so that it ends with the press
// in whatever mode that happens. Ending never needs the storage.
//
// A gesture takes its action from the mode that all gestures before it have made, at the moment it is acted
// on: a press that was accepted in one mode and became a long press in another does what the other says.

#include "core/engine/grid.hpp"
#include "core/engine/modes.hpp"
#include "core/engine/motion.hpp"
#include "core/engine/output.hpp"
#include "core/engine/proof.hpp"
#include "core/engine/repeats.hpp"
#include "core/engine/scale.hpp"
#include "core/engine/typing.hpp"

namespace fettle {
namespace engine {

/// What an action works on and what it knows of the moment.
struct Work {
    const Setup& setup;
    Output& output;
    Motion& motion;
    const EventSink& sink;
    uint32_t now_us;
    uint16_t now_ms;
    uint8_t variant;  ///< that runs now
};

class Actions {
public:
    void reset();

    /// False while the storage is busy: nothing was done, try again in a later tick.
    bool begin(const Work& work, uint8_t input, Gesture gesture);
    /// Told, but not done (the host sleeps).
    void refuse(const Work& work, uint8_t input, Gesture gesture) const;
    /// What the input's press holds ends. Nothing, if it holds nothing.
    void end(const Work& work, uint8_t input, Cause cause);
    void end_all(const Work& work, Cause cause);
    /// One millisecond: repeats and text.
    void tick(const Work& work, uint8_t leds);
    /// Another profile: first mode, nothing wished. After end_all() and cut_text().
    void load(const Work& work, Cause cause);
    void go_to_mode(const Work& work, uint8_t mode, Cause cause);
    void cut_text(const Work& work) { typing_.cut(work.now_us, work.sink); }

    /// True once after a `release everything` was pressed.
    bool take_release();
    /// Wishes since the last call (k_wish_*), and the variant with k_wish_variant.
    uint8_t take_wishes(uint8_t& variant);

    uint8_t mode() const { return modes_.mode(); }
    uint16_t scale_permille() const { return scale_.permille(); }
    const Grid& grid() const { return grid_; }
    uint8_t typing() const { return typing_.text_plus_one(); }
    Proofs& proofs() { return proofs_; }
    const Proofs& proofs() const { return proofs_; }
    /// The action that the input's press has begun and not ended, 0 = none.
    uint8_t held(uint8_t input) const { return held_[input]; }

private:
    enum class Done : uint8_t { yes, refused, storage_busy };

    uint8_t number_of(const Setup& setup, uint8_t input, Gesture gesture) const;
    Done perform(const Work& work, uint8_t input, const ActionDef& action);
    Done chord(const Work& work, uint8_t input, const ActionDef& action);
    Done button(const Work& work, uint8_t input, const ActionDef& action);
    Done change_mode(const Work& work, uint8_t input, const ActionDef& action);
    Done change_scale(const Work& work, uint8_t input, const ActionDef& action);
    Done pick(const Work& work);
    Done move_mark(const Work& work, Direction direction);
    Done wish(const Work& work, const ActionDef& action);
    void repeat_later(const Work& work, uint8_t input, uint8_t repeat_plus_one);
    void repeat_now(const Work& work, uint8_t input, const ActionDef& action);
    void mode_became(const Work& work, uint8_t from, Cause cause);
    void scale_became(const Work& work, uint16_t from);

    Modes modes_;
    Scale scale_;
    Repeats repeats_;
    Typing typing_;
    Grid grid_;
    Proofs proofs_;
    uint8_t held_[k_max_inputs];  ///< action numbers
    uint8_t wishes_ : 4;          ///< k_wish_*
    uint8_t wished_variant_ : 3;
    uint8_t is_release_wanted_ : 1;
};

/// Repeat setting of an action + 1, 0 when it does not repeat.
uint8_t repeat_of(const ActionDef& action);

}  // namespace engine
}  // namespace fettle
