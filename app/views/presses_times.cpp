#include "app/views/presses_parts.hpp"

namespace fettle::app {

void times_part(ui::Ui& ui, const Desk&, TimesState&, const Orders&) {
    ui.heading(ui.t(T::presses_times));
}

}  // namespace fettle::app
