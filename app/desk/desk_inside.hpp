#pragma once
// What the sources of DeskKeeper share, and nobody else. One struct, its functions by subject in
// desk_editing.cpp, desk_saving.cpp, desk_device.cpp, desk_running.cpp, desk_trial.cpp, desk_teach.cpp,
// desk_recording.cpp, desk_export.cpp, desk_people.cpp, desk_profiles.cpp, desk_open.cpp. Thread: the
// window's, but for what is handed to the worker: that holds copies, the store, and a weak pointer for the
// way back.

#include <deque>
#include <map>
#include <memory>
#include <utility>

#include "app/desk/desk.hpp"
#include "app/desk/options_text.hpp"
#include "app/words/sentences.hpp"
#include "core/trace/roll_file.hpp"

namespace fettle::app {

/// A profile whose image a device runs or ran.
struct KnownImage {
    std::uint32_t crc = 0;
    profile::Profile profile;
    std::vector<std::uint8_t> image;
    bool is_by_name = false;  ///< false: made from the image, whose names are none
    std::optional<std::int64_t> entry, revision;
};

/// A profile as the store gives it.
struct OpenedProfile {
    store::ProfileEntry entry;
    profile::Profile profile;
    bool is_foreign = false;
    bool was_draft = false;
};

/// What lists show, read at once.
struct PeopleRead {
    std::vector<store::Person> persons;
    std::vector<store::ProfileEntry> profiles;
    std::vector<store::Revision> revisions;
    std::vector<store::DeviceRun> runs;
    std::vector<store::RecordingEntry> recordings;
    std::set<std::int64_t> kept_revisions;
};

/// A roll that grows while it is copied, a piece a frame.
struct CopiedRoll {
    trace::Roll roll;
    std::size_t next = 0, end = 0;
    order::RecordExport order;
};

using OpenedOrNot = Result<std::optional<OpenedProfile>>;

struct DeskKeeper::Inside : std::enable_shared_from_this<DeskKeeper::Inside> {
    Inside(Desk& its_desk, Station& its_station, Worker& its_worker, store::Store* its_store,
           const Clock& its_clock, std::vector<std::string> folders);

    Desk& desk;
    Station& station;
    Worker& worker;
    store::Store* store;
    const Clock& clock;
    std::vector<std::string> asset_folders;
    bool is_started = false;    ///< the store said what was open last
    std::deque<Order> waiting;  ///< orders that came before that

    // --- desk.cpp ---
    void take(Order order);
    void refresh();
    std::int64_t now_ms() const { return clock.monotonic_us() / 1000; }
    template <typename... Values>
    std::string text(T which, const Values&... values) const {
        return text_in(desk.options.language, which, values...);
    }
    void done(std::string words) { desk.notice = Notice{Notice::Kind::done, std::move(words)}; }
    void warn(std::string words) { desk.notice = Notice{Notice::Kind::warning, std::move(words)}; }
    void problem(std::string words) { desk.notice = Notice{Notice::Kind::problem, std::move(words)}; }
    void problem(const Error& error, DeviceThen device = DeviceThen::not_involved) {
        problem(sentence(error, device, desk.options.language));
    }
    /// work() gives a Result, elsewhere; then(inside, result) goes on here, if the desk is still there.
    template <typename Work, typename Then>
    void elsewhere(T title, Work work, Then then) {
        worker.post(text(title),
                    [work, then, weak = weak_from_this()](const Cancelled&) -> std::function<void()> {
                        auto result = std::make_shared<decltype(work())>(work());
                        return [weak, then, result] {
                            if (const auto self = weak.lock()) then(*self, std::move(*result));
                        };
                    });
    }
    /// The same with the store. False, and nothing is done: there is none.
    template <typename Work, typename Then>
    bool with_store(T title, Work work, Then then) {
        if (store == nullptr) return false;
        elsewhere(
            title, [work, its = store] { return work(*its); }, then);
        return true;
    }
    /// The same for what a person asked for: without a store it is said.
    template <typename Work, typename Then>
    void ask_store(T title, Work work, Then then) {
        if (!with_store(title, work, then)) warn(text(T::desk_nothing_kept));
    }

    // --- desk_editing.cpp ---
    std::optional<profile::Profile> opened;            ///< as it was opened; what changes are counted from
    std::optional<profile::KeyboardLayout> layout_of;  ///< that Editing::layout was made of
    std::int64_t last_edit_ms = 0;
    bool group_is_open = false;  ///< the next edit of the same field joins the newest step
    bool change(const edit::Edit& edit);
    bool joins_last_step(const edit::Edit& edit, const profile::Profile& after) const;
    void undo();
    void redo();
    void step_to(std::vector<Editing::Step>& from, std::vector<Editing::Step>& to, std::string note);
    /// Findings, image, changes: after every change of the profile.
    void look_again();
    void compile_again();
    void count_changes();
    void set_editing(OpenedProfile fresh);

    // --- desk_saving.cpp ---
    struct Saving {
        std::uint64_t generation = 0;  ///< of the profile; grows with every change
        std::uint64_t drafted = 0, posted = 0, saved = 0;
        std::uint64_t failed = 0;  ///< generation that could not be saved: not asked again by itself
        bool draft_on_way = false;
        bool is_stepping = false;  ///< undo and redo, one after the other, are one revision
        store::RevisionKind kind = store::RevisionKind::edited;
        std::string note;
    } saving;
    std::optional<std::int64_t> latest_revision;  ///< of the edited profile
    void note_change(std::string note, store::RevisionKind kind = store::RevisionKind::edited);
    void settle();  ///< what is not yet a revision becomes one
    void save_draft();
    void save_after_pause();

    // --- desk_device.cpp ---
    std::uint16_t session = 0;  ///< Heard::start
    bool heard_any = false;
    std::int64_t offset_us = 0;       ///< from the session's time to the roll's
    std::int64_t last_heard_ms = 0;   ///< window's clock
    bool hangs_up = false;            ///< the person asked for it
    std::vector<std::int32_t> train;  ///< infrared: mark, space, mark ... so far
    bool mark_is_open = false;        ///< a mark has begun whose width is not known yet
    std::int64_t last_edge_us = -1;
    void fetch_device();
    void hear();
    void begin_session(std::uint16_t start, std::int64_t first_us);
    void take_event(std::int64_t at_us, const engine::Event& event);
    void take_snapshot(std::int64_t at_us, const engine::Event& event);
    void take_edge(std::int64_t at_us, const engine::Event& event);
    /// trial: as it was last told.
    void device_is_gone(const wire::TrialReply& trial);
    void forget_levels();
    bool is_live() const {
        return desk.device.state == LinkState::live || desk.device.state == LinkState::stale;
    }

    // --- desk_running.cpp ---
    std::vector<KnownImage> known;         ///< newest last
    std::optional<std::uint32_t> running;  ///< CRC that was last looked for
    const KnownImage* find_known(std::uint32_t crc) const;
    void remember(KnownImage one);
    void identify();
    void know_edited();  ///< the profile on the desk is what runs: by name from now on
    void identify_by(std::uint32_t crc);
    void take_image(const std::vector<std::uint8_t>& image);
    void show_running();
    void take_from_device();

    // --- desk_trial.cpp ---
    std::int64_t trial_anchor_us = 0;  ///< device time when the seconds were last told
    int trial_anchor_s = 0;
    std::uint32_t push_ticket = 0, keep_ticket = 0;
    std::uint32_t push_crc = 0;
    /// The link went in the middle of something, and has not come back yet; or a request had no answer, and
    /// the link may be about to go.
    struct Cut {
        Doing doing = Doing::reading;
        std::uint32_t crc = 0;  ///< of the profile that was pushed or on trial
        std::int64_t at_ms = 0;
        std::string device_serial;  ///< only its return is told
    };
    std::optional<Cut> cut;
    void note_cut(const wire::TrialReply& trial);
    void note_cut(Doing doing, std::uint32_t crc);
    void tell_gone();
    void tell_back();
    void take_try(const order::Try& order);
    void ask(Ask what);
    void hear_told();
    void take_told(const Told& told);
    void tell_refused();
    void tell_trouble(const Told& told);
    void not_connected(const Error& error);
    /// is_new: the device was there before it began, so that it began now.
    void trial_changed(const wire::TrialReply& before, const wire::TrialReply& now, bool is_new);
    void anchor_trial(int seconds);
    void count_down();
    void note_run(store::RunKind kind, std::uint32_t crc);
    std::string device_serial() const;

    // --- desk_teach.cpp ---
    std::set<std::pair<engine::Protocol, std::uint32_t>> room_codes;  ///< heard in the last room test
    std::set<std::pair<engine::Protocol, std::uint16_t>> room_addresses;
    int taught_presses = 0;
    void teach_begin(const order::TeachBegin& order);
    void teach_event(std::int64_t at_us, const engine::Event& event);
    void teach_next();
    void teach_again();  ///< the same input from the start
    void teach_skip();
    void teach_accept(const order::TeachAccept& order);
    void teach_end();
    void judge_source();
    void note_room_code(const engine::Event& event);
    void room_test_begin();
    void room_test_end();

    // --- desk_recording.cpp ---
    std::optional<trace::Roll> recorded;  ///< while one runs
    trace::RollLabel label;               ///< of the recording that runs or is done
    std::optional<std::int64_t> recorded_entry;
    std::optional<CopiedRoll> copying;  ///< the live roll, a piece a frame, for an export
    void record_begin(const order::RecordBegin& order);
    void record_end();
    void record_save(const order::RecordSave& order);
    void record_open(const order::RecordOpen& order);
    void record_rename(const order::RecordRename& order);
    void record_remove(const order::RecordRemove& order);
    void record_export(const order::RecordExport& order);
    void copy_on();
    void write_export(std::shared_ptr<const trace::Roll> roll, const EventNames& names,
                      const order::RecordExport& order);
    std::string export_path(const std::string& asked, const std::string& name, const char* ending) const;

    // --- desk_open.cpp, desk_people.cpp, desk_profiles.cpp ---
    void start();
    void leave_editing();  ///< the entry on the desk is about to be removed: nothing more is saved to it
    void read_people();
    void save_options();
    void add_person(const order::AddPerson& order);
    void rename_person(const order::RenamePerson& order);
    void remove_person(const order::RemovePerson& order);
    void export_person(const order::ExportPerson& order);
    void open_profile(std::int64_t id);
    void new_profile(const order::NewProfile& order);
    void copy_profile(const order::CopyProfile& order);
    void rename_profile(const order::RenameProfile& order);
    void remove_profile(const order::RemoveProfile& order);
    void compare_with(std::int64_t id);
    void restore_revision(std::int64_t revision);
    void import_look(const order::ImportLook& order);
    void import_accept();
    void export_profile(const order::ExportProfile& order);
    /// Goes on with a profile that the worker opened, or says why not.
    void opened_or_not(OpenedOrNot opened_one, bool says_so);
    /// Reads the lists again, or says why the change was not made.
    void changed_or_not(const Status& status);
};

/// Reads a profile, its draft and whether it is a stranger's, and notes it as the one opened last. A draft
/// becomes a revision. Thread: the worker's.
Result<OpenedProfile> open_in_store(store::Store& store, std::int64_t id);
/// The one that was open last, else the first of the first person who has one. Thread: the worker's.
OpenedOrNot open_any(store::Store& store);
/// "volunteer" ...: profiles/NAME.json in the folders; "": the profile that every device carries.
Result<profile::Profile> profile_from_asset(const std::string& name, const std::vector<std::string>& folders);
/// The profile that every device carries.
profile::Profile built_in_profile();
/// What the settings know of a profile, drafts included, is gone.
Status forget_settings_of(store::Store& store, std::int64_t profile);
/// Where the program keeps it in the store's settings.
std::string draft_key(std::int64_t profile);
std::string foreign_key(std::int64_t profile);
inline constexpr const char* k_last_profile_key = "last_profile";
/// A file name from any name: letters and digits of ASCII, '-' for the rest, at most 60 bytes, never empty.
std::string safe_file_name(const std::string& name);
const profile::StrokeSource& strokes_of(const Editing& editing);

}  // namespace fettle::app
