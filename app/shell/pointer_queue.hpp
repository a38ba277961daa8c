#pragma once
// Pointer events between two frames, handed on so that no click is lost: a frame sees one change of the
// button at most, and sees it where it happened. Thread: the window's.

#include <cstdint>
#include <deque>

#include "app/ui/geometry.hpp"

namespace fettle::app {

/// What a frame sees.
struct PointerNow {
    ui::Point place{-1, -1};
    bool primary_down = false;
    float wheel = 0;  ///< detents since the frame before, up positive
    bool operator==(const PointerNow&) const = default;
};

class PointerQueue {
public:
    void on_move(ui::Point place) { events_.push_back({Kind::move, place, false, 0}); }
    void on_leave() { on_move({-1, -1}); }
    void on_button(bool is_down) { events_.push_back({Kind::button, {}, is_down, 0}); }
    void on_wheel(float detents) { events_.push_back({Kind::wheel, {}, false, detents}); }
    /// As far as one frame may go.
    PointerNow take_frame();
    /// More waits: another frame is needed.
    bool has_more() const { return !events_.empty(); }

private:
    enum class Kind : std::uint8_t { move, button, wheel };
    struct Event {
        Kind kind;
        ui::Point place;
        bool is_down;
        float wheel;
    };
    std::deque<Event> events_;
    PointerNow now_;
};

}  // namespace fettle::app
