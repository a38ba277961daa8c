// Connect: what is attached, and what of it cannot be opened and why.
#include <algorithm>
#include <cmath>

#include "app/views/connect_parts.hpp"
#include "app/words/plain_text.hpp"
#include "app/words/sentences.hpp"
#include "app/words/udev_rule.hpp"

namespace fettle::app {

namespace {

using link::Attached;
using ui::Ui;

constexpr std::size_t k_least_real_rows = 3, k_simulated_rows = 2;

bool is_real(const Attached& one) {
    return one.channel != link::ChannelKind::simulated;
}

/// So many lines hold a text of so many em.
int lines_for(const Ui& ui, float ems) {
    return std::clamp(static_cast<int>(std::ceil(ems * ui.line_height() / ui.width())), 1, 12);
}

/// Who is gone leaves a free row, who is new takes the first one.
void seat(std::vector<std::string>& rows, const std::vector<Attached>& here, std::size_t least) {
    rows.resize(std::max(rows.size(), least));
    for (std::string& row : rows)
        if (std::none_of(here.begin(), here.end(), [&](const Attached& one) { return one.path == row; }))
            row.clear();
    for (const Attached& one : here) {
        if (std::find(rows.begin(), rows.end(), one.path) != rows.end()) continue;
        const auto free = std::find(rows.begin(), rows.end(), "");
        if (free == rows.end())
            rows.push_back(one.path);
        else
            *free = one.path;
    }
}

/// What tells it from others comes first: a line may be cut at its end.
std::string attached_words(const Ui& ui, const Attached& one) {
    const std::string product = one.product.empty() ? ui.t(T::connect_unnamed) : plain_text(one.product);
    std::string name = one.serial.empty() ? ui.t(T::connect_no_serial) : plain_text(one.serial);
    if (!one.place.empty()) name = ui.t(T::connect_place, name, plain_text(one.place));
    const std::string words = ui.t(T::connect_open, name, channel_words(ui, one), product);
    return one.is_accessible ? words : ui.t(T::connect_shut, words);
}

void rows(Ui& ui, const Desk& desk, const std::vector<std::string>& paths, const Orders& orders) {
    const int lines = lines_for(ui, 46);
    for (const std::string& path : paths) {
        const auto& found = desk.device.found;
        const auto one = std::find_if(found.begin(), found.end(),
                                      [&](const Attached& other) { return other.path == path; });
        if (one == found.end()) {
            ui.room_of_option(lines);
            continue;
        }
        const bool is_open = desk.device.attached && desk.device.attached->path == path &&
                             desk.device.state != LinkState::absent;
        if (ui.option_of_lines("connect.open." + path, attached_words(ui, *one), lines, is_open) && !is_open)
            orders(Ask{ask::Connect{path}});
    }
}

/// One sentence for each thing that stands in the way; where nothing is attached, one for the cable.
std::string hindrances(const Ui& ui, const Desk& desk) {
    std::string words;
    const auto add = [&words](const std::string& more) { words += (words.empty() ? "" : " ") + more; };
    std::size_t real = 0;
    for (const Attached& one : desk.device.found) {
        if (!is_real(one)) continue;
        ++real;
        if (!one.is_accessible)
            add(sentence({Errc::no_access, one.path, ""}, DeviceThen::not_involved, ui.options().language));
    }
    for (const link::Stranger& stranger : desk.device.strangers)
        add(ui.t(T::connect_stranger,
                 stranger.product.empty() ? ui.t(T::connect_unnamed) : plain_text(stranger.product),
                 plain_text(stranger.place)));
    if (real > 1 && desk.device.state == LinkState::absent) add(ui.t(T::connect_several));
    if (real == 0 && desk.device.strangers.empty()) add(ui.t(T::connect_nothing));
    return words;
}

void rule(Ui& ui, ConnectState& state) {
    if (ui.toggle("connect.rule", ui.t(T::connect_rule), state.shows_rule))
        state.shows_rule = !state.shows_rule;
    if (!state.shows_rule) return;
    ui.text(ui.t(T::rule_place, k_udev_rule_place));
    ui.text(ui.t(T::rule_who));
    ui.quiet(k_udev_rule);
}

}  // namespace

std::string channel_words(const Ui& ui, const Attached& one) {
    switch (one.channel) {
        case link::ChannelKind::simulated:
            return ui.t(one.path.ends_with(":serial") ? T::connect_simulated_serial : T::connect_simulated);
        case link::ChannelKind::serial: return ui.t(T::connect_serial);
        case link::ChannelKind::hid: break;
    }
    const std::string hid = ui.t(T::connect_hid);
    return one.fallback_path.empty() ? hid : ui.t(T::connect_with_fallback, hid);
}

void connect_found(Ui& ui, const Desk& desk, ConnectState& state, const Orders& orders) {
    std::vector<Attached> real, simulated;
    for (const Attached& one : desk.device.found) (is_real(one) ? real : simulated).push_back(one);
    seat(state.real_rows, real, k_least_real_rows);
    seat(state.simulated_rows, simulated, k_simulated_rows);
    ui.group("connect.found", ui.t(T::connect_found));
    ui.heading(ui.t(T::connect_found));
    ui.live("connect.hint", lines_for(ui, 190), hindrances(ui, desk));
    rows(ui, desk, state.real_rows, orders);
    rows(ui, desk, state.simulated_rows, orders);
    ui.row();
    if (ui.button("connect.close", ui.t(T::connect_close), ui::Look::plain,
                  desk.device.state != LinkState::absent))
        orders(Ask{ask::Disconnect{}});
    ui.end_row();
    rule(ui, state);
    ui.end_group();
}

}  // namespace fettle::app
