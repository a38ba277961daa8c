#pragma once
// Types a text from storage, one stroke after another, each once the one before was read by the host and
// `stroke_gap_ms` has passed. Waits while storage or output is busy; never loses or doubles a stroke.
//
//   state    | begin(text)        | step: ready, more | step: ready, none left | step: not ready | cut
//   idle     | finding, event 1   | -                 | -                      | -               | -
//   finding  | cut (2), begin     | typing            | -                      | finding         | idle,
//   event 2 typing   | cut (2), begin     | types, waits      | idle, event 0          | typing          |
//   idle, event 2

#include "core/engine/event.hpp"
#include "core/engine/output.hpp"
#include "core/engine/stroke.hpp"

namespace fettle {
namespace engine {

class Typing {
public:
    void reset();
    bool is_on() const { return text_ != 0; }
    /// The text that is being typed + 1, 0 = none.
    uint8_t text_plus_one() const { return text_; }

    void begin(uint8_t text, uint32_t now_us, const EventSink& sink);
    void cut(uint32_t now_us, const EventSink& sink);
    /// One millisecond. leds: the host's, as it last sent them.
    void tick(const Setup& setup, Output& output, uint8_t leds, uint32_t now_us, const EventSink& sink);

private:
    bool find(const Setup& setup);
    void type(const Setup& setup, Output& output, uint8_t leds);

    uint16_t at_, end_;  ///< offsets in the image; at_ == 0: not found yet (an image starts with its header)
    uint16_t wait_ms_;
    uint8_t text_;  ///< + 1, 0 = none
};

}  // namespace engine
}  // namespace fettle
