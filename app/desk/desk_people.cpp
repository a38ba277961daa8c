// People, and the lists that screens show of the store.

#include <algorithm>

#include "app/desk/desk_inside.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_most_runs = 200;
/// Of each device, looked through for what it was told to keep.
constexpr std::size_t k_most_kept_runs = 5000;

struct Wanted {
    std::optional<std::int64_t> entry, person;
    std::string serial;
};

Status read_of_profile(store::Store& store, const Wanted& wanted, PeopleRead& to) {
    if (!wanted.entry) return Done{};
    auto revisions = store.revisions(*wanted.entry);
    if (!revisions) return revisions.failure();
    to.revisions = std::move(*revisions);
    const auto devices = store.devices();
    if (!devices) return devices.failure();
    for (const auto& device : *devices) {
        const auto runs = store.runs(device.serial, k_most_kept_runs);
        if (!runs) return runs.failure();
        for (const auto& run : *runs)
            if (run.kind == store::RunKind::kept && run.revision) to.kept_revisions.insert(*run.revision);
    }
    return Done{};
}

Result<PeopleRead> read_all(store::Store& store, const Wanted& wanted) {
    PeopleRead all;
    auto persons = store.people();
    if (!persons) return persons.failure();
    all.persons = std::move(*persons);
    for (const auto& person : all.persons) {
        const auto profiles = store.profiles(person.id);
        if (!profiles) return profiles.failure();
        all.profiles.insert(all.profiles.end(), profiles->begin(), profiles->end());
    }
    if (Status read = read_of_profile(store, wanted, all); !read) return read.failure();
    if (!wanted.serial.empty()) {
        auto runs = store.runs(wanted.serial, k_most_runs);
        if (!runs) return runs.failure();
        all.runs = std::move(*runs);
    }
    if (wanted.person) {
        auto recordings = store.recordings(*wanted.person);
        if (!recordings) return recordings.failure();
        all.recordings = std::move(*recordings);
    }
    return all;
}

struct Removed {
    std::vector<std::string> files;
    std::optional<OpenedProfile> next;
    bool opens_next = false;
};

/// With everything about the person: drafts, and the files of recordings.
Result<Removed> remove_whole(store::Store& store, std::int64_t person, bool opens_next) {
    const auto profiles = store.profiles(person);
    if (!profiles) return profiles.failure();
    auto files = store.remove_person(person);
    if (!files) return files.failure();
    for (const auto& one : *profiles)
        if (Status gone = forget_settings_of(store, one.id); !gone) return gone.failure();
    for (const auto& file : *files) system_files().remove(file);
    Removed removed{std::move(*files), {}, opens_next};
    if (!opens_next) return removed;
    auto next = open_any(store);
    if (!next) return next.failure();
    removed.next = std::move(*next);
    return removed;
}

}  // namespace

void DeskKeeper::Inside::read_people() {
    Wanted wanted{desk.editing.entry, desk.people.person, {}};
    if (desk.device.hello) {
        const auto& raw = desk.device.hello->serial;
        wanted.serial.assign(std::begin(raw), std::find(std::begin(raw), std::end(raw), 0));
    }
    with_store(
        T::desk_work_history, [wanted](store::Store& its) { return read_all(its, wanted); },
        [wanted](Inside& in, Result<PeopleRead> all) {
            if (!all) return in.problem(all.error());
            People& people = in.desk.people;
            people.persons = std::move(all->persons);
            people.profiles = std::move(all->profiles);
            if (!wanted.serial.empty()) people.runs = std::move(all->runs);
            if (in.desk.editing.entry != wanted.entry) return;  // read anew by what opened another one
            people.revisions = std::move(all->revisions);
            people.kept_revisions = std::move(all->kept_revisions);
            in.desk.recording.kept = std::move(all->recordings);
        });
}

void DeskKeeper::Inside::changed_or_not(const Status& status) {
    if (!status) return problem(status.error());
    read_people();
}

void DeskKeeper::Inside::add_person(const order::AddPerson& order) {
    ask_store(
        T::desk_work_save, [order](store::Store& its) { return its.add_person(order.name); },
        [](Inside& in, const Result<store::Person>& added) {
            if (!added) return in.problem(added.error());
            in.read_people();
        });
}

void DeskKeeper::Inside::rename_person(const order::RenamePerson& order) {
    ask_store(
        T::desk_work_save, [order](store::Store& its) { return its.rename_person(order.id, order.name); },
        [](Inside& in, const Status& status) { in.changed_or_not(status); });
}

void DeskKeeper::Inside::remove_person(const order::RemovePerson& order) {
    const bool is_open = desk.people.person == order.id;
    if (is_open) leave_editing();
    ask_store(
        T::desk_work_save,
        [id = order.id, is_open](store::Store& its) { return remove_whole(its, id, is_open); },
        [](Inside& in, const Result<Removed>& removed) {
            if (!removed) return in.problem(removed.error());
            if (removed->opens_next) return in.opened_or_not(removed->next, false);
            in.read_people();
        });
}

}  // namespace fettle::app
