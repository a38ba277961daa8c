// Exports: rolls as CSV and VCD, profiles and people as JSON. What is written is said.

#include <algorithm>

#include "app/desk/desk_inside.hpp"
#include "core/profile/document.hpp"
#include "core/trace/roll_export.hpp"

namespace fettle::app {

namespace {

/// Events of the live roll that are copied in one frame: some 2 ms.
constexpr std::size_t k_copied_a_frame = 20'000;
/// An export is put together in memory before it takes the place of a file.
constexpr std::size_t k_largest_export_bytes = std::size_t{1} << 30;

struct Exported {
    std::string path;
    trace::Contents contents;
};

std::string folder_of(const std::string& path) {
    const auto slash = path.rfind('/');
    return slash == std::string::npos || slash == 0 ? "" : path.substr(0, slash);
}

Status write_file(const std::string& path, const std::string& content, bool makes_folder) {
    if (makes_folder)
        if (Status made = make_folder(folder_of(path)); !made) return made;
    return save_file(path, content, Privacy::only_me);
}

Result<Exported> export_roll(const trace::Roll& roll, const trace::ExportNames& names, order::ExportForm form,
                             const std::string& path, bool makes_folder) {
    std::string content;
    const auto sink = [&](std::string_view piece) {
        if (content.size() + piece.size() > k_largest_export_bytes) return false;
        content += piece;
        return true;
    };
    const bool is_whole = form == order::ExportForm::csv ? trace::export_csv(roll, names, {}, sink)
                                                         : trace::export_vcd(roll, names, {}, sink);
    if (!is_whole) return fail(Errc::too_large, path);
    if (Status saved = write_file(path, content, makes_folder); !saved) return saved.failure();
    return Exported{path, trace::contents(roll)};
}

}  // namespace

std::string DeskKeeper::Inside::export_path(const std::string& asked, const std::string& name,
                                            const char* ending) const {
    if (!asked.empty() || desk.data_folder.empty()) return asked;
    return desk.data_folder + "/exports/" + safe_file_name(name) + ending;
}

void DeskKeeper::Inside::record_export(const order::RecordExport& order) {
    Recording& recording = desk.recording;
    if (recording.opened) return write_export(recording.opened, recording.opened_names, order);
    if (recording.done) return write_export(recording.done, desk.names, order);
    if (desk.roll.is_empty()) return warn(text(T::desk_recording_empty));
    copying.emplace();
    copying->roll.clear(desk.roll.info());
    copying->end = desk.roll.size();
    copying->order = order;
}

/// The live roll goes on while the worker writes, so that its events are copied first.
void DeskKeeper::Inside::copy_on() {
    if (!copying) return;
    copying->end = std::min(copying->end, desk.roll.size());
    const std::size_t until = std::min(copying->next + k_copied_a_frame, copying->end);
    auto walk = desk.roll.walk(copying->next);
    trace::Moment moment;
    for (; copying->next < until && walk.next(moment); ++copying->next) {
        if (trace::is_gap(moment.event))
            copying->roll.append_gap(trace::gap_batches(moment.event));
        else
            copying->roll.append(moment.at_us, moment.event);
    }
    if (copying->next < copying->end) return;
    const auto order = copying->order;
    const auto roll = std::make_shared<const trace::Roll>(std::move(copying->roll));
    copying.reset();
    write_export(roll, desk.names, order);
}

void DeskKeeper::Inside::write_export(std::shared_ptr<const trace::Roll> roll, const EventNames& names,
                                      const order::RecordExport& order) {
    const Recording& recording = desk.recording;
    const std::string name = recording.opened ? recording.opened_name : desk.editing.profile.name;
    const bool is_csv = order.form == order::ExportForm::csv;
    const std::string path = export_path(order.path, name, is_csv ? ".csv" : ".vcd");
    if (path.empty()) return warn(text(T::desk_no_folder));
    trace::ExportNames its_names{names.inputs, names.modes, name};
    elsewhere(
        T::desk_work_export,
        [roll, its_names, path, form = order.form, makes_folder = order.path.empty()] {
            return export_roll(*roll, its_names, form, path, makes_folder);
        },
        [](Inside& in, const Result<Exported>& exported) {
            if (!exported) return in.problem(exported.error());
            const trace::Contents& c = exported->contents;
            in.done(in.text(T::desk_exported_events, exported->path, c.events, c.long_us() / 1'000'000,
                            c.key_usages, c.covered_usages));
        });
}

void DeskKeeper::Inside::export_profile(const order::ExportProfile& order) {
    const profile::Profile& profile = desk.editing.profile;
    const std::string path = export_path(order.path, profile.name, ".json");
    if (path.empty()) return warn(text(T::desk_no_folder));
    elsewhere(
        T::desk_work_export,
        [path, document = profile::write(profile), makes_folder = order.path.empty()] {
            return write_file(path, document, makes_folder);
        },
        [path](Inside& in, const Status& status) {
            if (!status) return in.problem(status.error());
            in.done(in.text(T::desk_exported, path));
        });
}

void DeskKeeper::Inside::export_person(const order::ExportPerson& order) {
    const auto& persons = desk.people.persons;
    const auto at = std::find_if(persons.begin(), persons.end(),
                                 [&](const store::Person& one) { return one.id == order.id; });
    if (at == persons.end()) return problem(Error{Errc::not_found, "person", ""});
    const std::string path = export_path(order.path, at->name, ".json");
    if (path.empty()) return warn(text(T::desk_no_folder));
    ask_store(
        T::desk_work_export,
        [path, id = order.id, makes_folder = order.path.empty()](store::Store& its) -> Status {
            const auto document = its.export_person(id);
            if (!document) return document.failure();
            return write_file(path, *document, makes_folder);
        },
        [path](Inside& in, const Status& status) {
            if (!status) return in.problem(status.error());
            in.done(in.text(T::desk_exported, path));
        });
}

}  // namespace fettle::app
