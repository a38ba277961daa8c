#include "app/views/views.hpp"

namespace fettle::app {

void assign_view(ui::Ui& ui, const Desk&, AssignState&, const Orders&) {
    ui.heading(ui.t(T::screen_assign));
}

}  // namespace fettle::app
