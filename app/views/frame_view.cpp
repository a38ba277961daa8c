// The window's frame: who and which profile, the device's state, release everything, the last ten seconds,
// and the screen that is shown. Nothing here moves.
#include <array>
#include <string>
#include <utility>

#include "app/views/views.hpp"

namespace fettle::app {

namespace {

using ui::Rect;
using ui::Ui;

constexpr std::array<std::pair<Screen, T>, k_screens> k_order{{{Screen::connect, T::screen_connect},
                                                               {Screen::teach, T::screen_teach},
                                                               {Screen::assign, T::screen_assign},
                                                               {Screen::motion, T::screen_motion},
                                                               {Screen::presses, T::screen_presses},
                                                               {Screen::trial, T::screen_trial},
                                                               {Screen::people, T::screen_people},
                                                               {Screen::fitting, T::screen_fitting},
                                                               {Screen::settings, T::screen_settings}}};

void screens(Ui& ui, const Desk& desk, const Orders& orders, bool is_narrow) {
    ui.group("screens", ui.t(T::frame_screens));
    if (is_narrow) {
        std::vector<std::string> names;
        int chosen = 0;
        for (std::size_t i = 0; i < k_order.size(); ++i) {
            names.emplace_back(ui.t(k_order[i].second));
            if (k_order[i].first == desk.screen) chosen = static_cast<int>(i);
        }
        if (auto next = ui.choice("screens", ui.t(T::frame_screens), names, chosen))
            orders(order::Show{k_order[static_cast<std::size_t>(*next)].first});
    } else {
        for (const auto& [screen, text] : k_order)
            if (ui.option(std::string("screen.") + text_name(text), ui.t(text), desk.screen == screen))
                orders(order::Show{screen});
    }
    ui.end_group();
}

void shown_screen(Ui& ui, const Desk& desk, ViewState& state, const Orders& orders) {
    switch (desk.screen) {
        case Screen::connect: connect_view(ui, desk, state.connect, orders); break;
        case Screen::teach: teach_view(ui, desk, state.teach, orders); break;
        case Screen::assign: assign_view(ui, desk, state.assign, orders); break;
        case Screen::motion: motion_view(ui, desk, state.motion, orders); break;
        case Screen::presses: presses_view(ui, desk, state.presses, orders); break;
        case Screen::trial: trial_view(ui, desk, state.trial, orders); break;
        case Screen::people: people_view(ui, desk, state.people, orders); break;
        case Screen::settings: settings_view(ui, desk, state.settings, orders); break;
        case Screen::fitting: fitting_view(ui, desk, state.fitting, orders); break;
    }
}

void top(Ui& ui, const Desk& desk, const Orders& orders) {
    ui.group("top", ui.t(T::frame_always));
    ui.row();
    if (ui.button("release", std::string(ui.t(T::frame_release)) + " (" + ui.t(T::frame_release_key) + ")",
                  ui::Look::danger))
        orders(Ask{ask::Release{}});
    if (ui.button("undo", ui.t(T::frame_undo), ui::Look::plain, !desk.editing.undo.empty()))
        orders(order::Undo{});
    if (ui.button("redo", ui.t(T::frame_redo), ui::Look::plain, !desk.editing.redo.empty()))
        orders(order::Redo{});
    ui.end_row();
    ui.live("who", 1, desk.editing.profile.name);
    ui.end_group();
}

void shortcuts(Ui& ui, const Orders& orders) {
    if (ui.take_key(ui::Key::f9)) orders(Ask{ask::Release{}});
    if (ui.take_key(ui::Key::z, true)) orders(order::Undo{});
    if (ui.take_key(ui::Key::y, true)) orders(order::Redo{});
}

}  // namespace

void frame_view(Ui& ui, const Desk& desk, ViewState& state, const Orders& orders) {
    shortcuts(ui, orders);
    const ui::Point size = ui.input().size;
    const bool is_narrow = ui.is_narrow();
    const float top_high =
        ui.target() + 4 * ui.pad() + ui.line_height() + (is_narrow ? ui.target() + ui.line_height() : 0);
    const float strip_high = 90;
    const float side = is_narrow ? 0 : 17 * ui.line_height();
    ui.panel("top", Rect{0, 0, size.x, top_high});
    top(ui, desk, orders);
    if (is_narrow) screens(ui, desk, orders, true);
    ui.end_panel();
    if (!is_narrow) {
        ui.panel("side", Rect{0, top_high, side, size.y - top_high - strip_high});
        screens(ui, desk, orders, false);
        ui.end_panel();
    }
    ui.panel("content", Rect{side, top_high, size.x - side, size.y - top_high - strip_high});
    shown_screen(ui, desk, state, orders);
    ui.end_panel();
}

}  // namespace fettle::app
