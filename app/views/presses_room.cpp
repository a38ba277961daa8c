// Room test: every infrared code heard in a minute, which of them the edited profile would obey, and the
// noise between them.
#include <algorithm>

#include "app/sim_script.hpp"
#include "app/views/presses_parts.hpp"
#include "app/words/infrared_words.hpp"
#include "app/words/plain_text.hpp"
#include "core/measure/room_codes.hpp"

namespace fettle::app {

namespace {

using ui::Look;
using ui::NoteKind;
using ui::Ui;

std::vector<engine::IrFrame> taught_frames(const profile::Profile& profile) {
    std::vector<engine::IrFrame> frames;
    for (const profile::Input& input : profile.inputs) {
        const auto* infrared = std::get_if<profile::Infrared>(&input.source);
        frames.push_back(infrared != nullptr ? frame_of(*infrared)
                                             : engine::make_ir_frame(engine::Protocol::none, 0, 0));
    }
    return frames;
}

std::string code_words(const measure::RoomCode& code) {
    engine::IrFrame frame = engine::make_ir_frame(code.protocol, code.address, code.command);
    frame.extended = code.extended;
    frame.signature = code.signature;
    return frame_words(frame);
}

std::string obeyed_by(const Ui& ui, const measure::RoomCode& code, const profile::Profile& profile) {
    std::string names;
    for (const std::uint8_t input : code.inputs)
        if (input < profile.inputs.size())
            names += (names.empty() ? "" : ", ") + plain_text(profile.inputs[input].name);
    return names.empty() ? std::string(ui.t(T::room_nobody)) : names;
}

/// What it comes to, in a sentence.
std::string verdict(const Ui& ui, const measure::RoomTest& test) {
    const auto strangers = std::count_if(test.codes.begin(), test.codes.end(),
                                         [](const measure::RoomCode& code) { return code.inputs.empty(); });
    if (test.codes.empty() && test.noise_bursts == 0) return ui.t(T::room_quiet);
    if (strangers == 0 && test.noise_bursts == 0) return ui.t(T::room_only_ours);
    return ui.t(T::room_others, strangers, test.noise_bursts);
}

void result(Ui& ui, const Desk& desk, PressesState& state) {
    const RoomTest& asked = desk.room_test;
    const bool is_other = state.room_from_us != asked.from_us || state.room_to_us != asked.to_us;
    if (state.heard.is_due(desk.roll, ui.now_ms()) || is_other) {
        state.room =
            measure::room_test(desk.roll, asked.from_us, asked.to_us, taught_frames(desk.editing.profile));
        state.room_from_us = asked.from_us;
        state.room_to_us = asked.to_us;
    }
    const measure::RoomTest& test = state.room;
    ui.live("room.verdict", 2, verdict(ui, test));
    for (const measure::RoomCode& code : test.codes)
        ui.fact(
            "room.code." + std::to_string(static_cast<int>(code.protocol)) + "." + std::to_string(code.code),
            code_words(code),
            ui.t(T::room_heard, code.times, code.repeats, obeyed_by(ui, code, desk.editing.profile)));
    ui.fact("room.noise", ui.t(T::room_noise),
            ui.t(T::room_noise_numbers, test.noise_bursts, test.noise_edges));
    ui.fact("room.unknown", ui.t(T::room_unknown), std::to_string(test.unknown_frames));
    if (test.gaps > 0) ui.note(NoteKind::warning, ui.t(T::room_gaps, test.gaps));
}

}  // namespace

void room_part(Ui& ui, const Desk& desk, PressesState& state, const Orders& orders) {
    ui.text(ui.t(T::room_help));
    ui.group("room.control", ui.t(T::presses_room));
    const bool is_live = desk.device.state == LinkState::live;
    if (desk.room_test.is_on) {
        const std::int64_t left_us = std::max<std::int64_t>(desk.room_test.to_us - desk.device_us, 0);
        ui.large("room.left", ui.t(T::trial_left, (left_us + 999'999) / 1'000'000));
        if (ui.button("room.end", ui.t(T::room_end))) orders(order::RoomTestEnd{});
    } else if (ui.button("room.begin", ui.t(T::room_begin), Look::strong, is_live)) {
        orders(order::RoomTestBegin{});
    }
    ui.end_group();
    if (desk.room_test.to_us > desk.room_test.from_us) result(ui, desk, state);
}

}  // namespace fettle::app
