#pragma once
// Key events in the order in which the window system told them, between two frames. Thread: the window's.

#include <cstdint>
#include <utility>
#include <vector>

#include "app/shell/key_table.hpp"

namespace fettle::app {

enum class KeyChange : std::uint8_t { down, repeat, up };

struct Modifiers {
    bool shift = false, control = false, alt = false;
};

class KeyQueue {
public:
    void on_key(KeyMeaning meaning, KeyChange change, Modifiers modifiers);
    /// What the key before typed. Without one it is a press of its own, down and up: an input method's text,
    /// or a press of which GLFW tells only the character, because it came within the same millisecond as the
    /// press before (GLFW 3.3.8 on X11: seen).
    void on_character(char32_t character);
    bool is_empty() const { return events_.empty(); }
    /// All of them: nothing is joined or dropped.
    std::vector<ui::KeyEvent> take() {
        may_type_ = false;
        return std::exchange(events_, {});
    }

private:
    std::vector<ui::KeyEvent> events_;
    bool may_type_ = false;  ///< the last event is a key that went down and has typed nothing yet
};

}  // namespace fettle::app
