#include "app/views/views.hpp"

namespace fettle::app {

void people_view(ui::Ui& ui, const Desk&, PeopleState&, const Orders&) {
    ui.heading(ui.t(T::screen_people));
}

}  // namespace fettle::app
