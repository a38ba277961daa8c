// People and profiles: several people, several profiles each; nothing is lost but what somebody removes.
#include <algorithm>
#include <array>
#include <utility>

#include "app/views/dates.hpp"
#include "app/views/views.hpp"
#include "app/words/action_words.hpp"
#include "app/words/change_words.hpp"
#include "app/words/plain_text.hpp"

namespace fettle::app {

namespace {

using ui::Look;
using ui::NoteKind;
using ui::Ui;

constexpr std::size_t k_most_revisions = 15;
constexpr std::size_t k_most_differences = 60;
constexpr int k_name_characters = 64;
constexpr int k_path_characters = 400;

struct Example {
    T words;
    const char* asset;
};
constexpr std::array<Example, 4> k_examples{{{T::people_built_in, ""},
                                             {T::people_volunteer, "volunteer"},
                                             {T::people_one_switch, "one_switch"},
                                             {T::people_stick_and_tube, "stick_and_tube"}}};

std::int64_t person_shown(const Desk& desk, const PeopleState& state) {
    const auto& all = desk.people.persons;
    const auto is_there = [&](std::int64_t id) {
        return std::any_of(all.begin(), all.end(), [&](const store::Person& one) { return one.id == id; });
    };
    if (is_there(state.person)) return state.person;
    if (desk.people.person && is_there(*desk.people.person)) return *desk.people.person;
    return all.empty() ? 0 : all.front().id;
}

void persons(Ui& ui, const Desk& desk, PeopleState& state, const Orders& orders) {
    const std::int64_t shown = person_shown(desk, state);
    ui.group("people.persons", ui.t(T::people_who));
    ui.heading(ui.t(T::people_who));
    ui.row();
    for (const store::Person& one : desk.people.persons)
        if (ui.option("people.person." + std::to_string(one.id), plain_text(one.name), one.id == shown))
            state.person = one.id;
    ui.end_row();
    ui.row();
    if (auto name = ui.text_field("people.add", ui.t(T::people_new_name), "", k_name_characters);
        name && !name->empty())
        orders(order::AddPerson{*name});
    for (const store::Person& one : desk.people.persons) {
        if (one.id != shown) continue;
        if (auto name = ui.text_field("people.rename", ui.t(T::people_rename), one.name, k_name_characters);
            name && *name != one.name)
            orders(order::RenamePerson{one.id, *name});
    }
    ui.end_row();
    const std::string question[] = {ui.t(T::people_remove_ask)};
    ui.row();
    if (ui.button("people.export_person", ui.t(T::people_export_person), Look::plain, shown != 0))
        orders(order::ExportPerson{shown, ""});
    if (ui.asking_button("people.remove", ui.t(T::people_remove), question, ui.t(T::people_remove_yes),
                         Look::danger, shown != 0))
        orders(order::RemovePerson{shown});
    ui.end_row();
    ui.end_group();
}

void profiles(Ui& ui, const Desk& desk, PeopleState& state, const Orders& orders) {
    const std::int64_t shown = person_shown(desk, state);
    ui.group("people.profiles", ui.t(T::people_profiles));
    ui.heading(ui.t(T::people_profiles));
    bool is_any = false;
    for (const store::ProfileEntry& one : desk.people.profiles) {
        if (one.person != shown) continue;
        is_any = true;
        const bool is_open = desk.editing.entry == one.id;
        if (ui.option("people.open." + std::to_string(one.id),
                      ui.t(T::people_open, plain_text(one.name), one.version, date_words(one.changed_ms)),
                      is_open) &&
            !is_open)
            orders(order::OpenProfile{one.id});
    }
    if (!is_any) ui.quiet(ui.t(T::people_no_profiles));
    std::vector<std::string> examples;
    for (const Example& example : k_examples) examples.emplace_back(ui.t(example.words));
    ui.row();
    if (auto next = ui.choice("people.example", ui.t(T::people_begin_as), examples, state.example))
        state.example = *next;
    if (auto name =
            ui.text_field("people.new", ui.t(T::people_new_profile_name), "", k_name_characters, shown != 0);
        name && !name->empty())
        orders(order::NewProfile{shown, *name, k_examples[static_cast<std::size_t>(state.example)].asset});
    ui.end_row();
    ui.end_group();
}

void open_profile_part(Ui& ui, const Desk& desk, const Orders& orders) {
    if (!desk.editing.entry) return;
    const std::int64_t id = *desk.editing.entry;
    const std::string& name = desk.editing.profile.name;
    ui.group("people.this", ui.t(T::people_this));
    ui.heading(std::string(ui.t(T::people_this)) + ": " + plain_text(name));
    ui.row();
    if (auto next =
            ui.text_field("people.profile_name", ui.t(T::people_profile_name), name, k_name_characters);
        next && !next->empty() && *next != name)
        orders(order::RenameProfile{id, *next});
    if (auto copy = ui.text_field("people.copy", ui.t(T::people_copy), ui.t(T::people_copy_of, name),
                                  k_name_characters);
        copy && !copy->empty())
        orders(order::CopyProfile{id, *copy});
    ui.end_row();
    ui.row();
    if (ui.button("people.take", ui.t(T::people_take), Look::plain, desk.device.state == LinkState::live))
        orders(order::TakeFromDevice{});
    const std::string question[] = {ui.t(T::people_remove_profile_ask)};
    if (ui.asking_button("people.remove_profile", ui.t(T::people_remove_profile), question,
                         ui.t(T::people_remove_profile_yes)))
        orders(order::RemoveProfile{id});
    ui.end_row();
    ui.end_group();
}

void two_sides(Ui& ui, const std::string& left, const std::string& right) {
    ui.column(0, 2);
    ui.text(left);
    ui.column(1, 2);
    ui.text(right);
    ui.end_columns();
}

void differences(Ui& ui, const Desk& desk) {
    const profile::Profile& other = desk.people.compared->second;
    two_sides(ui, ui.t(T::people_compare_this, plain_text(desk.editing.profile.name)),
              ui.t(T::people_compare_other, plain_text(other.name)));
    const auto all = profile::diff(desk.editing.profile, other);
    if (all.empty()) ui.note(NoteKind::good, ui.t(T::people_compare_same));
    const auto side = [&](const profile::Change& change, const std::string& value) {
        return value.empty() ? std::string(ui.t(T::people_none)) : value_words(change, value);
    };
    for (std::size_t i = 0; i < std::min(all.size(), k_most_differences); ++i) {
        ui.quiet(change_place(all[i], ui.options().language));
        two_sides(ui, side(all[i], all[i].before), side(all[i], all[i].after));
    }
    if (all.size() > k_most_differences) ui.quiet(ui.t(T::trial_more, all.size() - k_most_differences));
}

void compare(Ui& ui, const Desk& desk, const Orders& orders) {
    std::vector<std::string> names{ui.t(T::people_compare_none)};
    std::vector<std::int64_t> ids{0};
    int chosen = 0;
    for (const store::ProfileEntry& one : desk.people.profiles) {
        if (desk.editing.entry == one.id) continue;
        if (desk.people.compared && desk.people.compared->first == one.id)
            chosen = static_cast<int>(ids.size());
        ids.push_back(one.id);
        names.push_back(plain_text(one.name));
    }
    ui.group("people.compare", ui.t(T::people_compare));
    if (auto next = ui.choice("people.compare", ui.t(T::people_compare), names, chosen))
        orders(order::CompareWith{ids[static_cast<std::size_t>(*next)]});
    ui.end_group();
    if (desk.people.compared) differences(ui, desk);
}

const char* kind_words(const Ui& ui, store::RevisionKind kind) {
    switch (kind) {
        case store::RevisionKind::edited: return ui.t(T::people_kind_edited);
        case store::RevisionKind::kept_on_device: return ui.t(T::people_kind_kept);
        case store::RevisionKind::imported: return ui.t(T::people_kind_imported);
        case store::RevisionKind::restored: return ui.t(T::people_kind_restored);
        case store::RevisionKind::renamed: return ui.t(T::people_kind_renamed);
        case store::RevisionKind::copied: return ui.t(T::people_kind_copied);
    }
    return "";
}

void revisions(Ui& ui, const Desk& desk, PeopleState& state, const Orders& orders) {
    const auto& all = desk.people.revisions;
    if (all.empty()) return;
    ui.group("people.revisions", ui.t(T::people_revisions));
    if (ui.toggle("people.revisions", ui.t(T::people_revisions), state.shows_revisions))
        state.shows_revisions = !state.shows_revisions;
    for (std::size_t i = 0; state.shows_revisions && i < std::min(all.size(), k_most_revisions); ++i) {
        const bool is_kept = desk.people.kept_revisions.contains(all[i].id);
        const std::string words = ui.t(is_kept ? T::people_revision_on_device : T::people_revision,
                                       date_words(all[i].at_ms), kind_words(ui, all[i].kind));
        if (ui.button("people.restore." + std::to_string(all[i].id), ui.t(T::people_restore, words),
                      Look::plain, i > 0))
            orders(order::RestoreRevision{all[i].id});
    }
    ui.end_group();
}

void looked_at(Ui& ui, const Desk& desk, const Orders& orders) {
    const profile::Profile& file = *desk.people.looked_at;
    const auto lines = everything_it_can_send(file, ui.options().language);
    if (lines.empty()) ui.note(NoteKind::good, ui.t(T::people_import_nothing));
    if (!lines.empty()) ui.note(NoteKind::warning, ui.t(T::people_import_what, plain_text(file.name)));
    for (const std::string& line : lines) ui.text(plain_text(line));
    ui.row();
    if (ui.button("people.import_take", ui.t(T::people_import_take), Look::strong))
        orders(order::ImportAccept{});
    if (ui.button("people.import_leave", ui.t(T::people_import_leave))) orders(order::ImportForget{});
    ui.end_row();
}

void files(Ui& ui, const Desk& desk, PeopleState& state, const Orders& orders) {
    ui.group("people.files", ui.t(T::people_files));
    ui.heading(ui.t(T::people_files));
    ui.row();
    if (auto path = ui.text_field("people.import_path", ui.t(T::people_import_path), state.import_path,
                                  k_path_characters))
        state.import_path = *path;
    if (ui.button("people.import", ui.t(T::people_import_look), Look::plain, !state.import_path.empty()))
        orders(order::ImportLook{state.import_path});
    ui.end_row();
    if (desk.people.looked_at) looked_at(ui, desk, orders);
    const std::string target = state.export_path.empty()
                                   ? desk.data_folder + "/" + desk.editing.profile.name + ".json"
                                   : state.export_path;
    ui.row();
    if (auto path =
            ui.text_field("people.export_path", ui.t(T::people_export_path), target, k_path_characters))
        state.export_path = *path;
    if (ui.button("people.export", ui.t(T::people_export))) orders(order::ExportProfile{target});
    ui.end_row();
    ui.end_group();
}

}  // namespace

void people_view(Ui& ui, const Desk& desk, PeopleState& state, const Orders& orders) {
    persons(ui, desk, state, orders);
    profiles(ui, desk, state, orders);
    open_profile_part(ui, desk, orders);
    compare(ui, desk, orders);
    revisions(ui, desk, state, orders);
    files(ui, desk, state, orders);
}

}  // namespace fettle::app
