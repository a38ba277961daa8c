#include "app/views/views.hpp"

namespace fettle::app {

void teach_view(ui::Ui& ui, const Desk&, TeachState&, const Orders&) {
    ui.heading(ui.t(T::screen_teach));
}

}  // namespace fettle::app
