#include "app/views/views.hpp"

namespace fettle::app {

void motion_view(ui::Ui& ui, const Desk&, MotionState&, const Orders&) {
    ui.heading(ui.t(T::screen_motion));
}

}  // namespace fettle::app
