// Recordings: a roll of their own beside the live one, from begin to end, then a file in
// data_folder/recordings.

#include <algorithm>

#include "app/desk/desk_inside.hpp"
#include "core/base/log.hpp"

namespace fettle::app {

namespace {

/// The whole wire name of a device.
std::string serial_of(const std::optional<wire::HelloReply>& hello) {
    if (!hello) return {};
    const auto* end = std::find(std::begin(hello->serial), std::end(hello->serial), 0);
    return {std::begin(hello->serial), end};
}

/// A name that no file has yet: name, name-2, name-3 ...
std::string free_path(const std::string& folder, const std::string& name, const char* ending) {
    std::string path = folder + "/" + name + ending;
    for (int i = 2; system_files().mode_of(path) >= 0; ++i)
        path = folder + "/" + name + "-" + std::to_string(i) + ending;
    return path;
}

struct Kept {
    store::RecordingEntry entry;
};

/// The file first, then its place in the list: a kill between them leaves a file that can be opened.
Result<Kept> keep_recording(store::Store* store, const trace::Roll& roll, const trace::RollLabel& label,
                            store::RecordingEntry entry, const std::string& folder) {
    if (Status made = make_folder(folder); !made) return made.failure();
    const std::string day = calendar_text(label.began_ms).substr(0, 10);
    entry.file_path = free_path(folder, day + "-" + safe_file_name(label.name), ".roll");
    if (Status saved = trace::save_roll(entry.file_path, roll, label); !saved) return saved.failure();
    if (store == nullptr || entry.person == 0) return Kept{entry};
    auto added = store->add_recording(entry);
    if (!added && added.error().code == Errc::not_found && entry.profile) {  // removed since
        entry.profile.reset();
        added = store->add_recording(entry);
    }
    if (added) return Kept{*added};
    system_files().remove(entry.file_path);
    return added.failure();
}

}  // namespace

std::string safe_file_name(const std::string& name) {
    std::string safe;
    for (const char c : name) {
        const bool is_plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        if (is_plain)
            safe += c;
        else if (!safe.empty() && safe.back() != '-')
            safe += '-';
        if (safe.size() >= 60) break;
    }
    while (!safe.empty() && safe.back() == '-') safe.pop_back();
    return safe.empty() ? "unnamed" : safe;
}

void DeskKeeper::Inside::record_begin(const order::RecordBegin& order) {
    Recording& recording = desk.recording;
    if (recording.is_on) return;
    if (recording.done) return warn(text(T::desk_recording_unsaved));
    if (!is_live()) return problem(Error{Errc::closed, "device", ""});
    // Consent for this recording alone; subscribing anew, the device tells how everything stands.
    station.ask(ask::AgreeUsages{order.with_usages});
    recording.is_on = true;
    recording.with_usages = order.with_usages;
    recording.began_us = desk.device_us;
    recording.began_calendar_ms = clock.calendar_ms();
    recording.events = 0;
    trace::RollInfo info;
    info.image_crc = desk.device.hello->image_crc;
    info.engine_build = desk.device.hello->engine_build;
    info.has_usages = order.with_usages;
    recorded.emplace();
    recorded->clear(info);
    label = trace::RollLabel{};
    label.began_ms = recording.began_calendar_ms;
    label.device_serial = serial_of(desk.device.hello);
    label.input_names = desk.names.inputs;
    label.mode_names = desk.names.modes;
    if (const KnownImage* one = find_known(info.image_crc)) label.profile_image = one->image;
    recorded_entry = desk.editing.entry;
}

void DeskKeeper::Inside::record_end() {
    Recording& recording = desk.recording;
    if (!recording.is_on) return;
    recording.is_on = false;
    if (recording.with_usages) station.ask(ask::AgreeUsages{false});
    recording.with_usages = false;
    if (recorded->is_empty()) {
        warn(text(T::desk_recording_empty));
    } else {
        recording.done = std::make_shared<const trace::Roll>(std::move(*recorded));
        done(text(T::desk_recording_ended, recording.done->size()));
    }
    recorded.reset();
}

void DeskKeeper::Inside::record_save(const order::RecordSave& order) {
    if (desk.recording.is_on) record_end();
    const auto roll = desk.recording.done;
    if (!roll) return warn(text(T::desk_recording_none));
    if (desk.data_folder.empty()) return warn(text(T::desk_no_folder));
    if (Status good = store::check_name(order.name, "name"); !good) return problem(good.error());
    label.name = order.name;
    store::RecordingEntry entry;
    entry.person = desk.people.person.value_or(0);
    entry.profile = recorded_entry;
    entry.name = order.name;
    entry.duration_ms = (roll->last_us() - roll->first_us()) / 1000;
    entry.has_usages = roll->info().has_usages;
    const std::string folder = desk.data_folder + "/recordings";
    elsewhere(
        T::desk_work_recording,
        [roll, entry, folder, its_label = label, its = store] {
            return keep_recording(its, *roll, its_label, entry, folder);
        },
        [roll](Inside& in, const Result<Kept>& kept) {
            if (!kept) return in.problem(kept.error());
            if (in.desk.recording.done == roll) in.desk.recording.done.reset();
            in.done(in.text(T::desk_recording_saved, kept->entry.name));
            in.read_people();
        });
}

void DeskKeeper::Inside::record_open(const order::RecordOpen& order) {
    using Opened = std::shared_ptr<trace::SavedRoll>;
    elsewhere(
        T::desk_work_read,
        [path = order.path]() -> Result<Opened> {
            auto saved = trace::open_roll(path);
            if (!saved) return saved.failure();
            return std::make_shared<trace::SavedRoll>(std::move(*saved));
        },
        [](Inside& in, const Result<Opened>& opened_roll) {
            if (!opened_roll) return in.problem(opened_roll.error());
            const Opened& saved = *opened_roll;
            in.desk.recording.opened = std::shared_ptr<const trace::Roll>(saved, &saved->roll);
            in.desk.recording.opened_name = saved->label.name;
            in.desk.recording.opened_names = EventNames{};
            in.desk.recording.opened_names.inputs = saved->label.input_names;
            in.desk.recording.opened_names.modes = saved->label.mode_names;
            in.done(in.text(T::desk_opened, saved->label.name));
        });
}

void DeskKeeper::Inside::record_rename(const order::RecordRename& order) {
    ask_store(
        T::desk_work_save, [order](store::Store& its) { return its.rename_recording(order.id, order.name); },
        [](Inside& in, const Status& status) { in.changed_or_not(status); });
}

void DeskKeeper::Inside::record_remove(const order::RecordRemove& order) {
    const auto& kept = desk.recording.kept;
    const auto at = std::find_if(kept.begin(), kept.end(),
                                 [&](const store::RecordingEntry& one) { return one.id == order.id; });
    if (at == kept.end()) return problem(Error{Errc::not_found, "recording", ""});
    ask_store(
        T::desk_work_save,
        [id = order.id, path = at->file_path](store::Store& its) -> Status {
            if (Status removed = its.remove_recording(id); !removed) return removed;
            const int gone = system_files().remove(path);
            if (gone < 0 && system_files().mode_of(path) >= 0) return file_failure(gone, path);
            return Done{};
        },
        [name = at->name](Inside& in, const Status& status) {
            in.changed_or_not(status);
            if (status) in.done(in.text(T::desk_removed, name));
        });
}

}  // namespace fettle::app
