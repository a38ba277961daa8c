#include "app/shell/pointer_queue.hpp"

namespace fettle::app {

PointerNow PointerQueue::take_frame() {
    now_.wheel = 0;
    bool has_changed = false;
    while (!events_.empty()) {
        const Event event = events_.front();
        // After a change of the button the frame ends where it happened: a move or a second change waits.
        if (has_changed && event.kind != Kind::wheel) break;
        events_.pop_front();
        switch (event.kind) {
            case Kind::move: now_.place = event.place; break;
            case Kind::wheel: now_.wheel += event.wheel; break;
            case Kind::button:
                has_changed = now_.primary_down != event.is_down;
                now_.primary_down = event.is_down;
                break;
        }
    }
    return now_;
}

}  // namespace fettle::app
