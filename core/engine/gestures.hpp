#pragma once
// Gestures that wait for their action: reading one from storage may be refused for some milliseconds. First
// in, first out, so that ends stay behind their begins and the result does not depend on when storage
// answered.

#include "core/engine/setup.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_gesture_room = 8;

/// What waits: a gesture that begins, or the end of an input's press.
struct Waiting {
    uint8_t input;
    bool is_end;
    Gesture gesture;  ///< of a begin
};

class Gestures {
public:
    void clear() { count_ = 0; }
    bool is_empty() const { return count_ == 0; }
    /// False when full: nothing was added.
    bool add(const Waiting& waiting);
    /// The oldest. Only when not empty.
    Waiting first() const;
    void drop_first();
    /// Everything of one input is forgotten.
    void drop(uint8_t input);

private:
    uint8_t cells_[k_gesture_room];  ///< input | gesture << 5; gesture 3 is an end. Oldest first.
    uint8_t count_;
};

}  // namespace engine
}  // namespace fettle
