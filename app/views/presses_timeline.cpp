#include "app/views/presses_parts.hpp"

namespace fettle::app {

void timeline_part(ui::Ui& ui, const Desk&, TimelineState&, const Orders&) {
    ui.heading(ui.t(T::presses_timeline));
}

}  // namespace fettle::app
