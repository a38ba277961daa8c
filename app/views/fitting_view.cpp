#include "app/views/views.hpp"

namespace fettle::app {

void fitting_view(ui::Ui& ui, const Desk&, FittingState&, const Orders&) {
    ui.heading(ui.t(T::screen_fitting));
}

}  // namespace fettle::app
