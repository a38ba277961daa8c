#include "app/views/views.hpp"

namespace fettle::app {

void trial_view(ui::Ui& ui, const Desk&, TrialState&, const Orders&) {
    ui.heading(ui.t(T::screen_trial));
}

}  // namespace fettle::app
