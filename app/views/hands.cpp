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
        const bool was_down = state.down.contains(input.name);
        // A profile that is not known by name tells of no input by that name: then the hand itself is shown.
        const bool is_lit = is_known(desk, input.name) ? is_down(desk, input.name) : was_down;
        const auto held = ui.hold(key, input.name, ui.lamp(key, is_lit));
        if (held.is_down && !was_down) {
            state.down.insert(input.name);
            orders(Ask{ask::Hand{input.source, true, 0}});
        } else if (!held.is_down && was_down) {
            state.down.erase(input.name);
            orders(Ask{ask::Hand{input.source, false, 0}});
        }
        if (held.was_tapped)
            orders(Ask{ask::Hand{input.source, true, static_cast<std::uint32_t>(ui.options().tap_ms)}});
    }
    ui.end_row();
    ui.end_group();
}

}  // namespace fettle::app
