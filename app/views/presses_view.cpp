// Presses: what the hands did and what the device made of it, now and in recordings.
#include <array>
#include <utility>

#include "app/views/presses_parts.hpp"

namespace fettle::app {

namespace {

constexpr std::array<std::pair<PressesPart, T>, 4> k_parts{
    {{PressesPart::timeline, T::presses_timeline},
     {PressesPart::times, T::presses_times},
     {PressesPart::room, T::presses_room},
     {PressesPart::recordings, T::presses_recordings}}};

}  // namespace

void presses_view(ui::Ui& ui, const Desk& desk, PressesState& state, const Orders& orders) {
    ui.group("presses.parts", ui.t(T::presses_parts));
    ui.row();
    for (const auto& [part, words] : k_parts)
        if (ui.option(std::string("presses.part.") + text_name(words), ui.t(words), state.part == part))
            state.part = part;
    ui.end_row();
    ui.end_group();
    switch (state.part) {
        case PressesPart::timeline: timeline_part(ui, desk, state.timeline, orders); break;
        case PressesPart::times: times_part(ui, desk, state.times, orders); break;
        case PressesPart::room: room_part(ui, desk, state, orders); break;
        case PressesPart::recordings: recordings_part(ui, desk, state, orders); break;
    }
    hands(ui, "presses.hand", desk, state.hands, orders);
}

}  // namespace fettle::app
