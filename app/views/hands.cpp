#include "app/views/hands.hpp"

#include <algorithm>

namespace fettle::app {

namespace {

bool is_known(const Desk& desk, const std::string& input) {
    return std::find(desk.names.inputs.begin(), desk.names.inputs.end(), input) != desk.names.inputs.end();
}

}  // namespace

bool is_down(const Desk& desk, const std::string& input) {
    const auto& names = desk.names.inputs;
    const auto found = std::find(names.begin(), names.end(), input);
    if (found == names.end()) return false;
    const auto index = static_cast<std::size_t>(found - names.begin());
    return index < desk.down.size() && desk.down[index];
}

void hand(ui::Ui& ui, const std::string& id, std::string_view label, const profile::InputSource& source,
          bool is_lit, HandsState& state, const Orders& orders) {
    state.drawn.insert(id);
    const auto held = ui.hold(id, label, is_lit);
    const bool was_down = state.down.contains(id);
    if (held.is_down && !was_down) {
        state.down.emplace(id, source);
        orders(Ask{ask::Hand{source, true, 0}});
    } else if (!held.is_down && was_down) {
        orders(Ask{ask::Hand{state.down.at(id), false, 0}});
        state.down.erase(id);
    }
    if (held.was_tapped)
        orders(Ask{ask::Hand{source, true, static_cast<std::uint32_t>(ui.options().tap_ms)}});
}

void let_go_of_gone(HandsState& state, const Orders& orders) {
    for (auto it = state.down.begin(); it != state.down.end();) {
        if (state.drawn.contains(it->first)) {
            ++it;
            continue;
        }
        orders(Ask{ask::Hand{it->second, false, 0}});
        it = state.down.erase(it);
    }
    state.drawn.clear();
}

void hands(ui::Ui& ui, std::string_view id, const Desk& desk, HandsState& state, const Orders& orders) {
    if (!desk.device.is_simulated) return;
    const profile::Profile& runs = desk.editing.on_device ? *desk.editing.on_device : desk.editing.profile;
    const std::string prefix(id);
    ui.group(prefix, ui.t(T::hands_title));
    ui.quiet(ui.t(T::hands_help));
    ui.row();
    for (const profile::Input& input : runs.inputs) {
        if (std::holds_alternative<profile::Untaught>(input.source)) continue;
        const std::string key = prefix + "." + input.name;
        // A profile that is not known by name tells of no input by that name: then the hand itself is shown.
        const bool is_lit = is_known(desk, input.name) ? is_down(desk, input.name) : state.down.contains(key);
        hand(ui, key, input.name, input.source, ui.lamp(key, is_lit), state, orders);
    }
    ui.end_row();
    ui.end_group();
}

}  // namespace fettle::app
