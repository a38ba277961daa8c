#include "app/views/views.hpp"

namespace fettle::app {

void presses_view(ui::Ui& ui, const Desk&, PressesState&, const Orders&) {
    ui.heading(ui.t(T::screen_presses));
}

}  // namespace fettle::app
