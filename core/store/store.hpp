#pragma once
// People, their profiles with every revision, what each device has run, recordings, settings: one SQLite
// file.
//
// Promises. A change is whole or not made at all, through a kill or a lost power at any instant; when it has
// returned Done it is on the disk. What is removed is overwritten with zeros in the file (the file system may
// still have old blocks of its own; that is beyond us). No copies lie beside the file once a call has
// returned. The file is 0600. A file that is not ours, is damaged or comes from a newer version is refused,
// unchanged.
//
// Errors that any call may give: busy (another program holds the file beyond StoreOptions::busy_timeout_ms),
// disk_full, denied, io, garbled (the file was damaged while open). After any error nothing has changed;
// only when the very last step fails (io: syncing the folder after all is done) the change may be in place,
// whole.
// not_found: no person, profile, revision or recording has that id.
//
// Thread: one, the worker's; calls wait for the disk. Owner: main, the worker uses it. One store a file.

#include <cstddef>
#include <cstdint>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/profile/model.hpp"
#include "core/store/entries.hpp"

namespace fettle::store {

/// Version of the file's tables (PRAGMA user_version). Older ones are brought up to it when they are opened.
inline constexpr int k_schema_version = 1;

inline constexpr std::size_t k_name_most_code_points = 64;
inline constexpr std::size_t k_note_most_bytes = 1000;
inline constexpr std::size_t k_path_most_bytes = 4096;
inline constexpr std::size_t k_setting_most_bytes = 65536;

/// Names of people, profiles, recordings; serials of devices: 1 to 64 code points of UTF-8 without control
/// characters (U+0000 to U+001F, U+007F to U+009F), not spaces alone. A profile's name must also please the
/// document (profile::validate). `where` goes into the error. Errors: out_of_range (length, spaces alone),
/// syntax (ill-formed UTF-8, a control character). Thread: any.
[[nodiscard]] Status check_name(std::string_view name, const std::string& where);

struct StoreOptions {
    int busy_timeout_ms = 2000;  ///< how long a call waits for another program; 0: not at all
};

/// What save gives back.
struct Saved {
    Revision revision;    ///< the one that now has the content
    bool is_new = false;  ///< false: the content was that of the latest revision already
    bool operator==(const Saved&) const = default;
};

class Store {
public:
    /// Makes folder and file when they are missing. `path`: a file, or ":memory:" for one that is gone with
    /// the store. `clock` outlives the store. Errors: version (from a newer program), garbled (damaged, or
    /// another program's), denied (also: no write permission at all), not_found ("" as a path).
    [[nodiscard]] static Result<std::unique_ptr<Store>> open(const std::string& path, const Clock& clock,
                                                             const StoreOptions& options = {});
    ~Store();
    Store(const Store&) = delete;
    Store& operator=(const Store&) = delete;

    // --- people ---

    /// In the order in which they were added.
    [[nodiscard]] Result<std::vector<Person>> people();
    [[nodiscard]] Result<Person> person(std::int64_t person);
    /// Errors: those of check_name, duplicate.
    [[nodiscard]] Result<Person> add_person(std::string_view name);
    /// Errors: those of check_name, duplicate, not_found.
    [[nodiscard]] Status rename_person(std::int64_t person, std::string_view name);
    /// Removes the person whole: profiles, revisions, recordings' entries, and the device runs of their
    /// profiles. There is no way back (export_person first). Gives the paths of the recordings' files, which
    /// the caller removes. Errors: not_found.
    [[nodiscard]] Result<std::vector<std::string>> remove_person(std::int64_t person);

    // --- profiles ---

    /// In the order in which they were added. Errors: not_found.
    [[nodiscard]] Result<std::vector<ProfileEntry>> profiles(std::int64_t person);
    [[nodiscard]] Result<ProfileEntry> profile(std::int64_t profile);
    /// The entry whose documents have this id, if there is one: what a device runs.
    [[nodiscard]] Result<std::optional<ProfileEntry>> find_profile(const profile::ProfileId& profile_id);
    /// Its first revision has `kind`. A document id that is all zeros or is in the store already is replaced
    /// by a fresh random one (see the entry). Errors: those of check_name and of profile::validate, duplicate
    /// (the person has a profile of that name), not_found.
    [[nodiscard]] Result<ProfileEntry> add_profile(std::int64_t person, const profile::Profile& profile,
                                                   RevisionKind kind = RevisionKind::edited,
                                                   std::string_view note = {});
    /// The latest document under another name and a fresh id, for the same or another person; without the
    /// history. Errors: as add_profile.
    [[nodiscard]] Result<ProfileEntry> copy_profile(std::int64_t profile, std::int64_t to_person,
                                                    std::string_view name);
    /// A new revision of kind `renamed`. Errors: as add_profile.
    [[nodiscard]] Status rename_profile(std::int64_t profile, std::string_view name);
    /// Gives it to another person, with its history and device runs; recordings stay with whom they show.
    /// Errors: duplicate (that person has a profile of that name), not_found.
    [[nodiscard]] Status move_profile(std::int64_t profile, std::int64_t to_person);
    /// With all revisions: no way back, unless the caller adds the document again. Device runs and recordings
    /// stay, without it. Errors: not_found.
    [[nodiscard]] Status remove_profile(std::int64_t profile);

    // --- documents and revisions ---

    /// The latest document. Errors: not_found; those of profile::parse, `where` begins with the revision.
    [[nodiscard]] Result<profile::Profile> load(std::int64_t profile);
    /// Appends a revision, unless the latest has the same content already (whatever `kind` says then). A
    /// name that differs renames the entry; the entry's id stays, whatever the document says. The version is
    /// the caller's to count. Only whole profiles are kept: one that profile::validate refuses is refused.
    /// Errors: those of check_name and of profile::validate, duplicate (name), too_large (note), syntax
    /// (note is no UTF-8), not_found.
    [[nodiscard]] Result<Saved> save(std::int64_t profile, const profile::Profile& document,
                                     RevisionKind kind, std::string_view note = {});
    /// Newest first. Errors: not_found (no such profile).
    [[nodiscard]] Result<std::vector<Revision>> revisions(std::int64_t profile);
    /// Errors: as load.
    [[nodiscard]] Result<profile::Profile> load_revision(std::int64_t revision);
    /// The way back from every change: the content of an earlier revision, as a new revision of kind
    /// `restored` of the same profile. Name and id stay as they are now. Errors: as save.
    [[nodiscard]] Result<Saved> restore(std::int64_t revision, std::string_view note = {});

    // --- devices ---

    /// Gives the run as it was stored. Errors: those of check_name for the serial and for a profile_name that
    /// is not "" (a missing profile_name is taken from the profile), not_found (profile; or revision, or it
    /// is another profile's).
    [[nodiscard]] Result<DeviceRun> note_run(const DeviceRun& run);
    /// Newest first, at most `limit`. A serial that was never seen: none.
    [[nodiscard]] Result<std::vector<DeviceRun>> runs(std::string_view device_serial, std::size_t limit);
    /// By serial.
    [[nodiscard]] Result<std::vector<DeviceEntry>> devices();

    // --- recordings ---

    /// Gives the entry as it was stored. Errors: those of check_name, out_of_range (duration below 0, path
    /// ""), too_large (path), not_found (person; profile).
    [[nodiscard]] Result<RecordingEntry> add_recording(const RecordingEntry& recording);
    /// Newest first. Errors: not_found (person).
    [[nodiscard]] Result<std::vector<RecordingEntry>> recordings(std::int64_t person);
    [[nodiscard]] Status rename_recording(std::int64_t recording, std::string_view name);
    /// The entry only. Errors: not_found.
    [[nodiscard]] Status remove_recording(std::int64_t recording);

    // --- settings of the program ---

    /// Nothing when it was never set.
    [[nodiscard]] Result<std::optional<std::string>> setting(std::string_view key);
    /// key: as check_name. value: UTF-8, up to k_setting_most_bytes. Errors: those of check_name (key),
    /// syntax, too_large (value).
    [[nodiscard]] Status set_setting(std::string_view key, std::string_view value);
    /// Done also when it was never set.
    [[nodiscard]] Status forget_setting(std::string_view key);
    [[nodiscard]] Result<std::map<std::string, std::string>> settings();

    // --- everything about one person, to take along ---

    /// One JSON text (UTF-8, form described in export.cpp): person, profiles with every revision's document,
    /// device runs, list of recordings. A way out, not a way in: nothing reads it back whole; each document
    /// in it is a profile file of its own. Not in it: settings, the recordings' files. Errors: not_found.
    [[nodiscard]] Result<std::string> export_person(std::int64_t person);

private:
    struct Inside;
    explicit Store(std::unique_ptr<Inside> inside);
    std::unique_ptr<Inside> inside_;
};

}  // namespace fettle::store
