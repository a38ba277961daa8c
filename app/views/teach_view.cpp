// Teach: press a button on the remote or a switch twice; what agrees is believed, named, and can be undone.
#include <algorithm>

#include "app/views/pulse_picture.hpp"
#include "app/views/views.hpp"
#include "app/words/action_words.hpp"
#include "app/words/infrared_words.hpp"

namespace fettle::app {

namespace {

using ui::NoteKind;
using ui::Ui;

bool has_remote(const profile::Profile& profile) {
    return std::any_of(profile.inputs.begin(), profile.inputs.end(), [](const profile::Input& input) {
        return std::holds_alternative<profile::Infrared>(input.source);
    });
}

void choose(Ui& ui, const Desk& desk, TeachState& state, const Orders& orders) {
    ui.text(ui.t(T::teach_help));
    const bool can = desk.device.state == LinkState::live;
    if (!can) ui.note(NoteKind::warning, ui.t(T::teach_needs_device));
    ui.group("teach.which", ui.t(T::teach_which));
    ui.row();
    if (ui.button("teach.new", ui.t(T::teach_new), ui::Look::strong, can)) {
        state.name.clear();
        orders(order::TeachBegin{});
    }
    if (ui.button("teach.remote", ui.t(T::teach_replace), ui::Look::plain,
                  can && has_remote(desk.editing.profile)))
        orders(order::TeachBegin{"", true});
    ui.end_row();
    ui.heading(ui.t(T::teach_again));
    for (const profile::Input& input : desk.editing.profile.inputs)
        if (ui.button("teach.input." + input.name,
                      ui.t(T::teach_input, input.name, source_words(input.source, ui.options().language)),
                      ui::Look::plain, can))
            orders(order::TeachBegin{input.name, false});
    ui.end_group();
}

/// One sentence: what to do now.
std::string step_words(const Ui& ui, const Teaching& teaching) {
    if (teaching.source) return ui.t(T::teach_agreed, source_words(*teaching.source, ui.options().language));
    if (teaching.mismatch)
        return ui.t(T::teach_mismatch, source_words(teaching.mismatch->first, ui.options().language),
                    source_words(teaching.mismatch->second, ui.options().language));
    if (teaching.first) return ui.t(T::teach_second, source_words(*teaching.first, ui.options().language));
    return ui.t(T::teach_first);
}

void warnings(Ui& ui, const Teaching& teaching) {
    std::string words;
    if (teaching.same_as)
        words = ui.t(T::teach_same, *teaching.same_as);
    else if (teaching.in_the_room == InTheRoom::same_code)
        words = ui.t(T::teach_room_code);
    else if (teaching.in_the_room == InTheRoom::same_address)
        words = ui.t(T::teach_room_address);
    ui.live("teach.warning", 2, words);
}

std::string whom(const Ui& ui, const Teaching& teaching) {
    if (!teaching.input.empty() && teaching.replaces_remote)
        return ui.t(T::teach_whom_left, teaching.input, teaching.left.size());
    return teaching.input.empty() ? std::string(ui.t(T::teach_whom_new))
                                  : ui.t(T::teach_whom, teaching.input);
}

void learn(Ui& ui, const Desk& desk, TeachState& state, const Orders& orders) {
    const Teaching& teaching = desk.teaching;
    ui.large("teach.whom", whom(ui, teaching));
    ui.live("teach.step", 3, step_words(ui, teaching));
    pulse_picture(ui, "teach.pulses", teaching.pulses);
    ui.live("teach.frame", 1, teaching.last_frame ? frame_words(*teaching.last_frame) : "");
    warnings(ui, teaching);
    const bool can = teaching.source && !teaching.same_as;
    if (teaching.input.empty())
        if (auto name = ui.text_field("teach.name", ui.t(T::teach_name), state.name, 32)) state.name = *name;
    ui.group("teach.answer", ui.t(T::teach_answer));
    ui.row();
    if (ui.button("teach.accept", ui.t(T::teach_accept), ui::Look::strong, can)) {
        orders(order::TeachAccept{state.name});
        state.name.clear();
    }
    if (teaching.replaces_remote && ui.button("teach.skip", ui.t(T::teach_skip))) orders(order::TeachSkip{});
    if (ui.button("teach.end", ui.t(T::teach_end))) orders(order::TeachEnd{});
    ui.end_row();
    ui.end_group();
    if (!teaching.replaces_remote) return;
    ui.heading(ui.t(T::teach_any_order));
    ui.row();
    for (const std::string& input : teaching.left)
        if (ui.button("teach.goto." + input, input)) orders(order::TeachBegin{input, true});
    ui.end_row();
}

/// Things that the simulated room has and no profile knows: another remote, and every switch line.
struct Thing {
    std::string id, label;
    profile::InputSource source;
};

std::vector<Thing> things(const Ui& ui) {
    // Codes of our own choice; NEC is the protocol that most remotes speak (common practice, no source).
    constexpr int k_address = 0x31;
    constexpr int k_buttons = 12;
    std::vector<Thing> all;
    for (int i = 1; i <= k_buttons; ++i)
        all.push_back({"teach.other." + std::to_string(i), ui.t(T::teach_other_button, i),
                       profile::Infrared{engine::Protocol::nec, k_address, 0x40 + i, 0, 0}});
    for (int line = 1; line <= static_cast<int>(engine::k_switch_lines); ++line)
        all.push_back({"teach.line." + std::to_string(line), ui.t(T::teach_other_switch, line),
                       profile::Switch{line, true}});
    return all;
}

void room(Ui& ui, const Desk& desk, TeachState& state, const Orders& orders) {
    if (!desk.device.is_simulated) return;
    hands(ui, "teach.hand", desk, state.hands, orders);
    ui.group("teach.other", ui.t(T::teach_other));
    ui.quiet(ui.t(T::teach_other));
    ui.row();
    for (const Thing& thing : things(ui))
        hand(ui, thing.id, thing.label, thing.source, state.hands.down.contains(thing.id), state.hands,
             orders);
    ui.end_row();
    ui.end_group();
}

}  // namespace

void teach_view(Ui& ui, const Desk& desk, TeachState& state, const Orders& orders) {
    if (desk.teaching.is_on)
        learn(ui, desk, state, orders);
    else
        choose(ui, desk, state, orders);
    room(ui, desk, state, orders);
}

}  // namespace fettle::app
