// Recordings: begin, end, name, save, open, export. What a recording contains is said before it leaves.
#include "app/views/dates.hpp"
#include "app/views/presses_parts.hpp"
#include "app/words/plain_text.hpp"
#include "core/trace/roll_export.hpp"

namespace fettle::app {

namespace {

using ui::Look;
using ui::NoteKind;
using ui::Ui;

constexpr int k_name_characters = 64;
constexpr int k_path_characters = 400;

void control(Ui& ui, const Desk& desk, PressesState& state, const Orders& orders) {
    ui.group("record.control", ui.t(T::record_control));
    const bool can_begin = desk.device.state == LinkState::live && !desk.recording.done;
    ui.live("record.now", 1,
            desk.recording.is_on ? ui.t(T::record_runs, desk.recording.events)
                                 : std::string(ui.t(T::record_rests)));
    ui.row();
    if (desk.recording.is_on) {
        if (ui.button("record.end", ui.t(T::record_end), Look::strong)) orders(order::RecordEnd{});
    } else {
        if (ui.button("record.begin", ui.t(T::record_begin), Look::strong, can_begin))
            orders(order::RecordBegin{false});
        const std::string question[] = {ui.t(T::record_usages_ask), ui.t(T::record_usages_ask_more)};
        if (ui.asking_button("record.begin_usages", ui.t(T::record_begin_usages), question,
                             ui.t(T::record_usages_yes), Look::danger, can_begin))
            orders(order::RecordBegin{true});
    }
    ui.end_row();
    if (desk.recording.done) {
        ui.note(NoteKind::hint, ui.t(T::record_waits, desk.recording.done->size()));
        if (auto name = ui.text_field("record.name", ui.t(T::record_name), state.name, k_name_characters))
            state.name = *name;
        if (ui.button("record.save", ui.t(T::record_save), Look::strong, !state.name.empty())) {
            orders(order::RecordSave{state.name});
            state.name.clear();
        }
        // What is looked at is closed first: one order closes either.
        const std::string question[] = {ui.t(T::record_forget_ask)};
        if (ui.asking_button("record.forget", ui.t(T::record_forget), question, ui.t(T::record_forget),
                             Look::danger, !desk.recording.opened))
            orders(order::RecordClose{});
    }
    ui.end_group();
}

void export_part(Ui& ui, const Desk& desk, PressesState& state, const Orders& orders) {
    const trace::Roll& roll = desk.recording.opened ? *desk.recording.opened
                              : desk.recording.done ? *desk.recording.done
                                                    : desk.roll;
    if (state.exported.is_due(roll, ui.now_ms())) state.contents = trace::contents(roll);
    const trace::Contents& in = state.contents;
    ui.group("record.export", ui.t(T::record_export));
    ui.heading(ui.t(T::record_export));
    ui.live("record.contents", 2,
            ui.t(T::record_contents, in.events, static_cast<double>(in.long_us()) / 1e6) + " " +
                (in.has_key_usages() ? ui.t(T::record_contents_usages, in.key_usages)
                                     : std::string(ui.t(T::record_contents_covered))));
    ui.row();
    if (ui.button("record.csv", ui.t(T::record_csv), Look::plain, in.events > 0))
        orders(order::RecordExport{order::ExportForm::csv, ""});
    if (ui.button("record.vcd", ui.t(T::record_vcd), Look::plain, in.events > 0))
        orders(order::RecordExport{order::ExportForm::vcd, ""});
    ui.end_row();
    ui.end_group();
}

void kept(Ui& ui, const Desk& desk, const Orders& orders) {
    ui.group("record.kept", ui.t(T::record_kept));
    ui.heading(ui.t(T::record_kept));
    if (desk.recording.kept.empty()) ui.quiet(ui.t(T::record_none));
    const auto all = desk.recording.kept;  // an order may change the list at once
    for (const store::RecordingEntry& one : all) {
        const std::string id = "record." + std::to_string(one.id);
        ui.text(ui.t(T::record_entry, plain_text(one.name), date_words(one.at_ms),
                     static_cast<double>(one.duration_ms) / 1000.0,
                     ui.t(one.has_usages ? T::record_with_usages : T::record_without_usages)));
        ui.row();
        if (ui.button(id + ".open", ui.t(T::record_open, plain_text(one.name))))
            orders(order::RecordOpen{one.file_path});
        if (auto name = ui.text_field(id + ".rename", ui.t(T::record_name), one.name, k_name_characters);
            name && !name->empty() && *name != one.name)
            orders(order::RecordRename{one.id, *name});
        const std::string question[] = {ui.t(T::record_remove_ask)};
        if (ui.asking_button(id + ".remove", ui.t(T::record_remove, plain_text(one.name)), question,
                             ui.t(T::record_remove_yes)))
            orders(order::RecordRemove{one.id});
        ui.end_row();
    }
    ui.end_group();
}

void open_file(Ui& ui, const Desk& desk, PressesState& state, const Orders& orders) {
    ui.group("record.file", ui.t(T::record_file));
    if (desk.recording.opened) {
        ui.note(NoteKind::hint, ui.t(T::record_looking, plain_text(desk.recording.opened_name)));
        if (ui.button("record.close", ui.t(T::record_close), Look::strong)) orders(order::RecordClose{});
    }
    ui.row();
    if (auto path = ui.text_field("record.path", ui.t(T::record_file), state.open_path, k_path_characters))
        state.open_path = *path;
    if (ui.button("record.open_path", ui.t(T::record_open_file), Look::plain, !state.open_path.empty()))
        orders(order::RecordOpen{state.open_path});
    ui.end_row();
    ui.end_group();
}

}  // namespace

void recordings_part(Ui& ui, const Desk& desk, PressesState& state, const Orders& orders) {
    ui.text(ui.t(T::record_help));
    control(ui, desk, state, orders);
    export_part(ui, desk, state, orders);
    kept(ui, desk, orders);
    open_file(ui, desk, state, orders);
}

}  // namespace fettle::app
