// First fitting: leads someone who never did this through it once, one question a page. It can be left at any
// page and gone on with later.
#include "app/views/fitting_pages.hpp"
#include "app/views/views.hpp"

namespace fettle::app {

namespace {

using ui::Look;
using ui::NoteKind;
using ui::Ui;

bool can_go_on(const Desk& desk, const FittingState& state) {
    switch (state.page) {
        case FittingPage::help: return state.can_reach_help.has_value();
        case FittingPage::hurt: return state.hurts.has_value();
        case FittingPage::device: return desk.device.state == LinkState::live;
        case FittingPage::teach: return !desk.teaching.is_on;
        case FittingPage::trial: return desk.is_on_device() && !desk.trying.is_running;
        case FittingPage::done: return false;
        default: return true;
    }
}

void turn(FittingState& state, int by) {
    const int next = static_cast<int>(state.page) + by;
    if (next >= 0 && next < k_fitting_pages) state.page = static_cast<FittingPage>(next);
}

void pages(Ui& ui, const Desk& desk, FittingState& state) {
    ui.group("fitting.pages", ui.t(T::fitting_pages));
    ui.row();
    if (ui.button("fitting.back", ui.t(T::control_back), Look::plain, state.page != FittingPage::welcome))
        turn(state, -1);
    if (ui.button("fitting.next", ui.t(T::fitting_next), Look::strong, can_go_on(desk, state)))
        turn(state, 1);
    ui.end_row();
    ui.quiet(ui.t(T::fitting_page, static_cast<int>(state.page) + 1, k_fitting_pages));
    ui.end_group();
}

void yes_or_no(Ui& ui, const char* id, T question, std::optional<bool>& answer) {
    ui.large("fitting.question", ui.t(question));
    ui.group(id, ui.t(question));
    ui.row();
    if (ui.option(std::string(id) + ".yes", ui.t(T::control_yes), answer == true)) answer = true;
    if (ui.option(std::string(id) + ".no", ui.t(T::fitting_no), answer == false)) answer = false;
    ui.end_row();
    ui.end_group();
}

void welcome(Ui& ui) {
    ui.large("fitting.question", ui.t(T::screen_fitting));
    ui.text(ui.t(T::fitting_welcome));
    ui.note(NoteKind::warning, ui.t(T::fitting_caution_device));
    ui.note(NoteKind::warning, ui.t(T::fitting_caution_therapist));
    ui.note(NoteKind::warning, ui.t(T::fitting_caution_power));
}

void device(Ui& ui, const Desk& desk, const Orders& orders) {
    ui.large("fitting.question", ui.t(T::fitting_device));
    const bool is_live = desk.device.state == LinkState::live;
    ui.live("fitting.device", 2, ui.t(is_live ? T::fitting_device_here : T::fitting_device_missing));
    ui.group("fitting.found", ui.t(T::fitting_device));
    for (const link::Attached& one : desk.device.found)
        if (ui.button("fitting.open." + one.path, ui.t(T::fitting_open, one.product, one.serial), Look::plain,
                      !is_live))
            orders(Ask{ask::Connect{one.path}});
    ui.end_group();
}

void done(Ui& ui, FittingState& state, const Orders& orders) {
    ui.large("fitting.question", ui.t(T::fitting_done));
    ui.text(ui.t(T::fitting_done_help));
    ui.row();
    if (ui.button("fitting.to_assign", ui.t(T::screen_assign))) orders(order::Show{Screen::assign});
    if (ui.button("fitting.again", ui.t(T::fitting_again))) state = {};
    ui.end_row();
}

}  // namespace

void fitting_view(Ui& ui, const Desk& desk, FittingState& state, const Orders& orders) {
    pages(ui, desk, state);
    switch (state.page) {
        case FittingPage::welcome: welcome(ui); break;
        case FittingPage::help:
            yes_or_no(ui, "fitting.help", T::fitting_help, state.can_reach_help);
            if (state.can_reach_help == false) ui.note(NoteKind::problem, ui.t(T::fitting_help_no));
            break;
        case FittingPage::hurt:
            yes_or_no(ui, "fitting.hurt", T::fitting_hurt, state.hurts);
            if (state.hurts == true) ui.note(NoteKind::problem, ui.t(T::fitting_hurt_yes));
            break;
        case FittingPage::device: device(ui, desk, orders); break;
        case FittingPage::teach:
            ui.large("fitting.question", ui.t(T::fitting_teach));
            teach_view(ui, desk, state.teach, orders);
            break;
        case FittingPage::assign: fitting_assign(ui, desk, state, orders); break;
        case FittingPage::motion: fitting_motion(ui, desk, state, orders); break;
        case FittingPage::presses: fitting_presses(ui, desk, orders); break;
        case FittingPage::trial:
            ui.large("fitting.question", ui.t(T::fitting_trial));
            trial_view(ui, desk, state.trial, orders);
            break;
        case FittingPage::done: done(ui, state, orders); break;
    }
}

}  // namespace fettle::app
