// The window's frame: who and which profile, the device's state, release everything, the last ten seconds,
// and the screen that is shown. Its heights depend on text size and width alone: nothing here moves.
#include <algorithm>
#include <array>
#include <string>
#include <utility>
#include <vector>

#include "app/views/status.hpp"
#include "app/views/strip.hpp"
#include "app/views/views.hpp"

namespace fettle::app {

namespace {

using ui::Key;
using ui::PanelKind;
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

/// Where the parts stand.
struct Places {
    Rect release, status, edits, screens, notice, side, content, strip;
    bool is_narrow = false;
};

float high_of_row(const Ui& ui) {
    return ui.target() + 2 * ui.pad();
}

Places places_of(const Ui& ui) {
    const Rect room = ui.room();
    const float pad = ui.pad();
    const float row = high_of_row(ui);
    const float lines = 2 * (ui.line_height() + 4) + pad;
    Places p;
    p.is_narrow = ui.is_narrow();
    const T words = p.is_narrow ? T::frame_release : T::frame_release_and_key;
    const float release = std::min(0.55f * room.w, ui.chip_width(ui.t(words)) + 2 * pad);
    p.release = {0, 0, release, row};
    float y = row;
    if (p.is_narrow) {
        const float signs = std::max(ui.target(), ui.line_height() + 3 * pad);
        const float edits = 2 * signs + 3 * pad;
        p.edits = {release, 0, edits, row};
        p.screens = {release + edits, 0, room.w - release - edits, row};
        p.status = {0, row, room.w, lines};
        y += lines;
    } else {
        const float edits = ui.chip_width(ui.t(T::frame_undo)) + ui.chip_width(ui.t(T::frame_redo)) + 5 * pad;
        p.edits = {room.w - edits, 0, edits, row};
        p.status = {release, 0, room.w - release - edits, row};
    }
    p.notice = {0, y, room.w, row};
    y += row;
    const float strip = p.is_narrow ? 64 : std::max(84.0f, 2 * (ui.line_height() + 6));
    p.strip = {0, room.h - strip, room.w, strip};
    const float side = p.is_narrow ? 0 : 15 * ui.line_height();
    p.side = {0, y, side, room.h - y - strip};
    p.content = {side, y, room.w - side, room.h - y - strip};
    return p;
}

std::size_t index_of(Screen screen) {
    for (std::size_t i = 0; i < k_order.size(); ++i)
        if (k_order[i].first == screen) return i;
    return 0;
}

void screens_in_side(Ui& ui, const Desk& desk, const Orders& orders) {
    ui.group("screens", ui.t(T::frame_screens));
    for (const auto& [screen, text] : k_order)
        if (ui.option(std::string("screen.") + text_name(text), ui.t(text), desk.screen == screen))
            orders(order::Show{screen});
    ui.end_group();
}

void screens_in_list(Ui& ui, const Desk& desk, const Places& p, const Orders& orders) {
    ui.panel("screens", p.screens, PanelKind::plain);
    ui.group("screens", ui.t(T::frame_screens));
    std::vector<std::string> names;
    for (const auto& [screen, text] : k_order) names.emplace_back(ui.t(text));
    const std::size_t at = index_of(desk.screen);
    if (auto next =
            ui.sign_choice("screens", ui.t(T::frame_screens), names, static_cast<int>(at), ui.width()))
        orders(order::Show{k_order[static_cast<std::size_t>(*next)].first});
    ui.end_group();
    ui.end_panel();
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

void release(Ui& ui, const Places& p, const Orders& orders) {
    ui.panel("always", p.release, PanelKind::always);
    ui.group("top", ui.t(T::frame_always));
    const T shown = p.is_narrow ? T::frame_release : T::frame_release_and_key;
    if (ui.sign_button("release", ui.t(T::frame_release_and_key), ui.t(shown), ui.width()))
        orders(Ask{ask::Release{}});
    ui.end_panel();
}

void status(Ui& ui, const Desk& desk, const Places& p) {
    ui.panel("status", p.status, PanelKind::always);
    const float pad = ui.pad();
    const float line = std::min(ui.line_height() + 4, (p.status.h - pad) / 2);
    const float x = p.status.x + pad;
    const float wide = p.status.w - 2 * pad;
    const float top = p.status.y + (p.status.h - 2 * line) / 2;
    const auto put = [&](const StatusLine& one, float at, float y, float width) {
        ui.chip(one.id, one.kind, one.words, {at, y, width, line});
    };
    // The device's state gets what it needs: it matters more than a long name.
    const StatusLine device = device_line(ui, desk);
    const float right = std::min(0.6f * wide, ui.chip_width(device.words));
    put(who_line(ui, desk), x, top, wide - right);
    put(device, x + wide - right, top, right);
    const auto running = running_lines(ui, desk);
    float all = 0;
    for (const StatusLine& one : running) all += ui.chip_width(one.words);
    float at = x;
    for (const StatusLine& one : running) {
        // Each its share where there is not room for all of them.
        const float needs = ui.chip_width(one.words);
        const float width = all <= wide ? needs : needs * wide / all;
        put(one, at, top + line, width);
        at += width;
    }
    ui.end_panel();
}

void edits(Ui& ui, const Desk& desk, const Places& p, const Orders& orders) {
    ui.panel("top", p.edits, PanelKind::plain);
    ui.group("top", ui.t(T::frame_always));
    const auto label = [&](T text, const std::string& what) {
        return what.empty() ? std::string(ui.t(text)) : std::string(ui.t(text)) + ": " + what;
    };
    const bool can_undo = !desk.editing.undo.empty();
    const bool can_redo = !desk.editing.redo.empty();
    ui.row();
    if (ui.sign_button("undo", label(T::frame_undo, desk.undo_words()),
                       ui.t(p.is_narrow ? T::frame_undo_sign : T::frame_undo), 0, can_undo))
        orders(order::Undo{});
    if (ui.sign_button("redo", label(T::frame_redo, desk.redo_words()),
                       ui.t(p.is_narrow ? T::frame_redo_sign : T::frame_redo), 0, can_redo))
        orders(order::Redo{});
    ui.end_row();
    ui.end_group();
    ui.end_panel();
}

void notice(Ui& ui, const Desk& desk, const Places& p, const Orders& orders) {
    ui.panel("notice", p.notice, PanelKind::plain);
    ui.group("top", ui.t(T::frame_always));
    const float wide = ui.width();
    if (!desk.notice) {
        (void)ui.sign_button("notice", ui.t(T::frame_no_notice), "", wide, false);
    } else {
        const T mark = desk.notice->kind == Notice::Kind::done      ? T::frame_notice_done
                       : desk.notice->kind == Notice::Kind::warning ? T::frame_notice_warning
                                                                    : T::frame_notice_problem;
        const std::string words = ui.t(mark, desk.notice->words);
        const std::vector<std::string> whole{words};
        // One that fits is read; one that does not is shown whole first.
        if (ui.chip_width(words) <= wide) {
            if (ui.sign_button("notice", ui.t(T::frame_notice, words), words, wide))
                orders(order::ForgetNotice{});
        } else if (ui.asking_sign("notice", ui.t(T::frame_notice, words), words, wide, whole,
                                  ui.t(T::frame_notice_read))) {
            orders(order::ForgetNotice{});
        }
    }
    ui.end_group();
    ui.end_panel();
}

void shortcuts(Ui& ui, const Desk& desk, const Places& p, const Orders& orders) {
    if (ui.take_key(Key::f9)) orders(Ask{ask::Release{}});
    if (ui.take_key(Key::f2)) {
        ui::Options options = desk.options;
        options.shows_call_list = !options.shows_call_list;
        orders(order::SetOptions{options});
    }
    if (ui.take_key(Key::z, true)) orders(order::Undo{});
    if (ui.take_key(Key::y, true)) orders(order::Redo{});
    // Out of the screen, to where screens are chosen.
    if (ui.take_key(Key::escape))
        ui.focus(p.is_narrow ? std::string("screens")
                             : std::string("screen.") + text_name(k_order[index_of(desk.screen)].second));
}

/// Of every screen that has some.
std::array<HandsState*, 8> all_hands(ViewState& state) {
    return {&state.connect.hands,       &state.teach.hands,        &state.motion.hands,
            &state.presses.hands,       &state.trial.hands,        &state.fitting.hands,
            &state.fitting.teach.hands, &state.fitting.trial.hands};
}

}  // namespace

void frame_view(Ui& ui, const Desk& desk, ViewState& state, const Orders& give) {
    // What is asked for is done after the frame: a screen reads one desk from its top to its end.
    std::vector<Order> asked;
    const Orders orders = [&asked](Order order) { asked.push_back(std::move(order)); };
    const Places p = places_of(ui);
    shortcuts(ui, desk, p, orders);
    ui.overlay_room({0, p.status.bottom() > p.release.bottom() ? p.status.bottom() : p.release.bottom(),
                     p.strip.w, p.strip.y - std::max(p.status.bottom(), p.release.bottom())});
    release(ui, p, orders);
    status(ui, desk, p);
    edits(ui, desk, p, orders);
    if (p.is_narrow) screens_in_list(ui, desk, p, orders);
    notice(ui, desk, p, orders);
    if (!p.is_narrow) {
        ui.panel("side", p.side, PanelKind::plain);
        screens_in_side(ui, desk, orders);
        ui.end_panel();
    }
    if (state.frame.shown && *state.frame.shown != desk.screen) ui.focus_panel("content");
    state.frame.shown = desk.screen;
    ui.panel("content", p.content);
    shown_screen(ui, desk, state, orders);
    ui.end_panel();
    for (HandsState* hands : all_hands(state)) let_go_of_gone(*hands, orders);
    ui.panel("strip", p.strip, PanelKind::always);
    draw_strip(ui, desk, p.strip);
    ui.end_panel();
    for (Order& order : asked) give(std::move(order));
}

}  // namespace fettle::app
