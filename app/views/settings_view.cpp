#include "app/views/views.hpp"

namespace fettle::app {

void settings_view(ui::Ui& ui, const Desk&, SettingsState&, const Orders&) {
    ui.heading(ui.t(T::screen_settings));
}

}  // namespace fettle::app
