#pragma once
// What the window shows and edits: the one model behind all screens. Screens read it and hand orders to it.
// Thread: the window's. Owner: the shell, or a test.

#include <array>
#include <deque>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "app/desk/commands.hpp"
#include "app/desk/device_now.hpp"
#include "app/desk/worker.hpp"
#include "app/teacher.hpp"
#include "app/words/event_names.hpp"
#include "core/profile/check.hpp"
#include "core/profile/diff.hpp"
#include "core/profile/image_compile.hpp"
#include "core/profile/layout.hpp"
#include "core/store/store.hpp"
#include "core/trace/roll.hpp"

namespace fettle::app {

/// The profile that is being edited, with its way back.
struct Editing {
    profile::Profile profile;
    std::unique_ptr<profile::XkbLayout> layout;  ///< nullptr: not known on this system
    std::vector<profile::Finding> findings;      ///< of check(), anew after every edit
    std::optional<profile::Compiled> compiled;   ///< nothing: see compile_error
    std::optional<Error> compile_error;
    std::optional<std::int64_t> entry;          ///< in the store; nothing: not saved anywhere yet
    std::optional<profile::Profile> on_device;  ///< what the device runs, as far as it is known by name
    /// From `on_device` (else from the profile as it was opened) to `profile`, without its version number.
    std::vector<profile::Change> changes;
    struct Step {
        edit::Edit edit;  ///< the newest one, where several steps of one field were made one (2 s)
        profile::Profile before;
    };
    std::vector<Step> undo;   ///< newest last
    std::vector<Step> redo;   ///< `before`: what it is now, next last
    bool is_foreign = false;  ///< imported and not yet agreed to what it can type
    bool is_saved = true;     ///< the store has a revision of it (a draft it has at once)
};

/// Where a code that is being taught was heard in the last room test.
enum class InTheRoom : std::uint8_t {
    not_heard,
    same_address,  ///< another button of what may be the same kind of remote
    same_code
};

struct Teaching {
    bool is_on = false;
    bool replaces_remote = false;
    std::string input;                 ///< that is taught, "" a new one
    std::vector<std::string> left;     ///< of a remote that is replaced, after `input`
    std::vector<std::string> taught;   ///< in this round
    std::vector<std::string> skipped;  ///< in this round
    Teacher teacher;
    std::optional<profile::InputSource> first;   ///< pressed once, waits for its second press
    std::optional<profile::InputSource> source;  ///< agreed twice, waits for TeachAccept
    /// The last two presses when they did not agree: what came first, what came second.
    std::optional<std::pair<profile::InputSource, profile::InputSource>> mismatch;
    std::optional<engine::IrFrame> last_frame;
    std::vector<std::int32_t> pulses;  ///< the last train: mark, space, mark ... in us
    /// Another input already listens to it; while a remote is replaced: one that was taught in this round, or
    /// keeps its old source. It cannot be accepted.
    std::optional<std::string> same_as;
    InTheRoom in_the_room = InTheRoom::not_heard;  ///< another thing in the room may obey `source` too
};

struct Recording {
    bool is_on = false;
    bool with_usages = false;
    std::int64_t began_us = 0;  ///< device time
    std::int64_t began_calendar_ms = 0;
    std::size_t events = 0;                     ///< recorded so far
    std::shared_ptr<const trace::Roll> done;    ///< ended, not yet saved; nullptr: none
    std::shared_ptr<const trace::Roll> opened;  ///< a file that is looked at instead of what is live
    std::string opened_name;
    EventNames opened_names;
    std::vector<store::RecordingEntry> kept;
};

struct RoomTest {
    bool is_on = false;
    std::int64_t from_us = 0, to_us = 0;  ///< device time; to: 60 s later or where it was ended
};

/// Of pushing and of the trial that runs.
struct Trying {
    bool is_asked = false;                  ///< a push waits or is on its way (device.work has its progress)
    bool is_running = false;                ///< a trial runs on the device
    std::uint16_t seconds_left = 0;         ///< counted down by device time between the device's own answers
    bool is_proven = false;                 ///< used enough to be kept
    std::vector<profile::Finding> refused;  ///< why the last Try was not pushed
    bool needs_texts_seen = false;          ///< it was not: an imported profile's texts were not agreed to
};

struct People {
    std::vector<store::Person> persons;
    std::vector<store::ProfileEntry> profiles;  ///< of all persons
    std::vector<store::Revision> revisions;     ///< of the edited profile, newest first
    std::set<std::int64_t> kept_revisions;      ///< that some device was told to keep
    std::vector<store::DeviceRun> runs;         ///< of the attached device, newest first
    std::optional<std::int64_t> person;         ///< whose profile is edited
    std::optional<std::pair<std::int64_t, profile::Profile>> compared;
    std::optional<profile::Profile> looked_at;  ///< a file that waits to be agreed to
    std::string looked_at_path;
};

/// Something that happened and should be read. It stays until it is read or replaced.
struct Notice {
    enum class Kind : std::uint8_t { done, warning, problem } kind = Kind::done;
    std::string words;
};

struct Desk {
    Screen screen = Screen::connect;
    ui::Options options;
    DeviceNow device;
    Editing editing;
    Trying trying;
    EventNames names;                      ///< of what the device runs
    trace::Roll roll;                      ///< everything heard since the session began
    std::vector<bool> down;                ///< k_max_inputs of them: the level of each input now
    std::vector<std::int64_t> pressed_us;  ///< as many: when its level last rose, -1
    std::uint8_t mode = 0, variant = 0;    ///< the device's own
    std::array<std::uint8_t, 5> held{};    ///< last EventKind::held
    std::int64_t device_us = 0;            ///< of the last event heard; on through sessions, as `roll` has it
    Teaching teaching;
    Recording recording;
    RoomTest room_test;
    People people;
    std::optional<Notice> notice;
    std::string data_folder;  ///< where recordings and exports go by default; "": nowhere
    std::string working;      ///< what the worker does now, "" nothing

    /// What the screens of the time line draw: the opened recording, else what is live.
    const trace::Roll& shown_roll() const { return recording.opened ? *recording.opened : roll; }
    const EventNames& shown_names() const { return recording.opened ? recording.opened_names : names; }
    /// The profile on the screen is what the device runs, byte for byte.
    bool is_on_device() const;
    /// What undo would take back, what redo would do again; "" when there is nothing.
    std::string undo_words() const;
    std::string redo_words() const;
};

/// Drives the desk: takes orders, fetches what the station and the worker have, keeps everything in step.
///
/// Saving. After each edit the profile goes into the store as a draft, so that a kill loses nothing. It
/// becomes a revision when the person pauses (2 s), edits another field, tries it, opens another profile, or
/// says Save: twenty steps of one number are one revision, as they are one step of undo. A draft that is
/// found at the start becomes a revision then.
///
/// Version. It counts what devices have run: the first edit of a profile that runs on the device raises it.
class DeskKeeper {
public:
    /// store: nullptr: nothing is remembered (a test, a folder that cannot be written). data_folder: "": no
    /// recordings are saved. All outlive it; the worker must have come to rest before the store goes.
    DeskKeeper(Station& station, Worker& worker, store::Store* store, const Clock& clock,
               std::vector<std::string> asset_folders, std::string data_folder = {});
    ~DeskKeeper();
    DeskKeeper(const DeskKeeper&) = delete;
    DeskKeeper& operator=(const DeskKeeper&) = delete;

    const Desk& desk() const { return desk_; }
    void take(Order order);
    /// Once a frame: what the device said, what the worker finished.
    void refresh();

    struct Inside;  ///< for the sources of this class only: desk_inside.hpp

private:
    Desk desk_;
    std::shared_ptr<Inside> inside_;
};

}  // namespace fettle::app
