#include "app/views/views.hpp"

namespace fettle::app {

void connect_view(ui::Ui& ui, const Desk&, ConnectState&, const Orders&) {
    ui.heading(ui.t(T::screen_connect));
}

}  // namespace fettle::app
