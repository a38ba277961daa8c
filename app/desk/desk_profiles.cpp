// Profiles: opened, made, copied, renamed, removed, compared, restored, taken in from files.

#include <algorithm>

#include "app/desk/desk_inside.hpp"
#include "core/base/utf8.hpp"
#include "core/profile/document.hpp"

namespace fettle::app {

namespace {

constexpr int k_most_names = 99;

OpenedOrNot open_one(store::Store& store, std::int64_t id) {
    auto one = open_in_store(store, id);
    if (!one) return one.failure();
    return std::optional(std::move(*one));
}

/// Under its name, or the first of "name 2", "name 3" ... that is free.
Result<store::ProfileEntry> add_free(store::Store& store, std::int64_t person, profile::Profile profile,
                                     store::RevisionKind kind, const std::string& note) {
    const std::string name = profile.name;
    auto added = store.add_profile(person, profile, kind, note);
    for (int i = 2; !added && added.error().code == Errc::duplicate && i <= k_most_names; ++i) {
        profile.name = name + " " + std::to_string(i);
        added = store.add_profile(person, profile, kind, note);
    }
    return added;
}

OpenedOrNot add_import(store::Store& store, std::int64_t person, const profile::Profile& profile,
                       const std::string& note) {
    const auto added = add_free(store, person, profile, store::RevisionKind::imported, note);
    if (!added) return added.failure();
    if (Status noted = store.set_setting(foreign_key(added->id), "1"); !noted) return noted.failure();
    return open_one(store, added->id);
}

std::string file_name_of(const std::string& path) {
    return path.substr(path.rfind('/') + 1);
}

}  // namespace

void DeskKeeper::Inside::open_profile(std::int64_t id) {
    settle();
    ask_store(
        T::desk_work_open, [id](store::Store& its) { return open_one(its, id); },
        [](Inside& in, const OpenedOrNot& one) { in.opened_or_not(one, true); });
}

void DeskKeeper::Inside::new_profile(const order::NewProfile& order) {
    settle();
    const auto make = [order, folders = asset_folders](store::Store& its) -> OpenedOrNot {
        auto profile = profile_from_asset(order.from_asset, folders);
        if (!profile) return profile.failure();
        profile->name = order.name;
        profile->id = {};
        const auto added = its.add_profile(order.person, *profile);
        if (!added) return added.failure();
        return open_one(its, added->id);
    };
    ask_store(T::desk_work_save, make,
              [](Inside& in, const OpenedOrNot& one) { in.opened_or_not(one, true); });
}

void DeskKeeper::Inside::copy_profile(const order::CopyProfile& order) {
    settle();
    const auto copy = [order](store::Store& its) -> OpenedOrNot {
        const auto entry = its.profile(order.id);
        if (!entry) return entry.failure();
        const auto copied = its.copy_profile(order.id, entry->person, order.name);
        if (!copied) return copied.failure();
        const auto foreign = its.setting(foreign_key(order.id));
        if (!foreign) return foreign.failure();
        if (*foreign)  // a stranger's texts are a stranger's in the copy, too
            if (Status noted = its.set_setting(foreign_key(copied->id), "1"); !noted) return noted.failure();
        return open_one(its, copied->id);
    };
    ask_store(T::desk_work_save, copy,
              [](Inside& in, const OpenedOrNot& one) { in.opened_or_not(one, true); });
}

void DeskKeeper::Inside::rename_profile(const order::RenameProfile& order) {
    settle();
    ask_store(
        T::desk_work_save, [order](store::Store& its) { return its.rename_profile(order.id, order.name); },
        [order](Inside& in, const Status& status) {
            if (!status) return in.problem(status.error());
            Editing& editing = in.desk.editing;
            if (editing.entry == order.id) {  // a name is no edit: undo leaves it
                editing.profile.name = order.name;
                if (in.opened) in.opened->name = order.name;
                if (editing.on_device) editing.on_device->name = order.name;
                for (auto* steps : {&editing.undo, &editing.redo})
                    for (Editing::Step& step : *steps) step.before.name = order.name;
                in.count_changes();
            }
            in.read_people();
        });
}

void DeskKeeper::Inside::remove_profile(const order::RemoveProfile& order) {
    const bool is_open = desk.editing.entry == order.id;
    if (is_open) leave_editing();
    const auto remove = [id = order.id, is_open](store::Store& its) -> OpenedOrNot {
        if (Status removed = its.remove_profile(id); !removed) return removed.failure();
        if (Status gone = forget_settings_of(its, id); !gone) return gone.failure();
        if (!is_open) return std::optional<OpenedProfile>{};
        return open_any(its);
    };
    ask_store(T::desk_work_save, remove, [is_open](Inside& in, const OpenedOrNot& next) {
        if (is_open || !next) return in.opened_or_not(next, false);
        in.read_people();
    });
}

void DeskKeeper::Inside::compare_with(std::int64_t id) {
    desk.people.compared.reset();
    if (id == 0) return;
    ask_store(
        T::desk_work_open, [id](store::Store& its) { return its.load(id); },
        [id](Inside& in, const Result<profile::Profile>& document) {
            if (!document) return in.problem(document.error());
            in.desk.people.compared = std::pair{id, *document};
        });
}

/// As an edit, so that undo takes it away again.
void DeskKeeper::Inside::restore_revision(std::int64_t revision) {
    const auto& revisions = desk.people.revisions;
    const bool is_its_own = std::any_of(revisions.begin(), revisions.end(),
                                        [&](const store::Revision& one) { return one.id == revision; });
    if (!is_its_own) return problem(Error{Errc::not_found, "revision", ""});
    ask_store(
        T::desk_work_open, [revision](store::Store& its) { return its.load_revision(revision); },
        [entry = desk.editing.entry](Inside& in, Result<profile::Profile> document) {
            if (!document) return in.problem(document.error());
            if (in.desk.editing.entry != entry) return;
            document->id = in.desk.editing.profile.id;
            document->name = in.desk.editing.profile.name;
            if (!in.change(edit::Replace{std::move(*document)})) return;
            in.saving.kind = store::RevisionKind::restored;
            in.done(in.text(T::desk_restored));
        });
}

void DeskKeeper::Inside::import_look(const order::ImportLook& order) {
    elsewhere(
        T::desk_work_read, [path = order.path] { return profile::load_file(path); },
        [path = order.path](Inside& in, const Result<profile::Profile>& looked) {
            if (!looked) return in.problem(looked.error());
            in.desk.people.looked_at = *looked;
            in.desk.people.looked_at_path = path;
        });
}

void DeskKeeper::Inside::import_accept() {
    People& people = desk.people;
    if (!people.looked_at) return;
    if (store != nullptr && !people.person) return warn(text(T::desk_nobody));
    profile::Profile profile = std::move(*people.looked_at);
    people.looked_at.reset();
    if (!store::check_name(profile.name, "name")) profile.name = text(T::desk_imported_profile);
    const std::string note = file_name_of(people.looked_at_path);
    const std::string name = profile.name;
    settle();
    if (store == nullptr) {
        set_editing({{}, std::move(profile), true, false});
        return warn(text(T::desk_imported, name));
    }
    with_store(
        T::desk_work_save,
        [profile, note, person = *people.person](store::Store& its) {
            return add_import(its, person, profile, is_utf8(note) ? note : std::string());
        },
        [name](Inside& in, const OpenedOrNot& one) {
            in.opened_or_not(one, false);
            if (one) in.warn(in.text(T::desk_imported, name));
        });
}

}  // namespace fettle::app
