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
    std::vector<profile::Change> changes;       ///< from `on_device` (else from the stored one) to `profile`
    struct Step {
        edit::Edit edit;
        profile::Profile before;
    };
    std::vector<Step> undo;   ///< newest last
    std::vector<Step> redo;   ///< `before`: what it is now, next last
    bool is_foreign = false;  ///< imported and not yet agreed to what it can type
};

struct Teaching {
    bool is_on = false;
    bool replaces_remote = false;
    std::string input;              ///< that is taught, "" a new one
    std::vector<std::string> left;  ///< of a remote that is replaced, after `input`
    Teacher teacher;
    std::optional<profile::InputSource> first;   ///< pressed once, waits for its second press
    std::optional<profile::InputSource> source;  ///< agreed twice, waits for TeachAccept
    std::optional<engine::IrFrame> last_frame;
    std::vector<std::int32_t> pulses;    ///< the last train: mark, space, mark ... in us
    std::optional<std::string> same_as;  ///< another input already listens to it
};

struct Recording {
    bool is_on = false;
    bool with_usages = false;
    std::int64_t began_us = 0;  ///< device time
    std::int64_t began_calendar_ms = 0;
    std::optional<trace::Roll> done;    ///< ended, not yet saved
    std::optional<trace::Roll> opened;  ///< a file that is looked at instead of what is live
    std::string opened_name;
    std::vector<store::RecordingEntry> kept;
};

struct RoomTest {
    bool is_on = false;
    std::int64_t from_us = 0, to_us = 0;  ///< device time; to: 60 s later or where it was ended
};

struct People {
    std::vector<store::Person> persons;
    std::vector<store::ProfileEntry> profiles;  ///< of all persons
    std::vector<store::Revision> revisions;     ///< of the edited profile, newest first
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
    EventNames names;                      ///< of what the device runs
    trace::Roll roll;                      ///< everything heard since the session began
    std::vector<bool> down;                ///< by input of what the device runs: its level now
    std::vector<std::int64_t> pressed_us;  ///< by input: when its level last rose, -1
    std::uint8_t mode = 0, variant = 0;    ///< the device's own
    std::array<std::uint8_t, 5> held{};    ///< last EventKind::held
    std::int64_t device_us = 0;            ///< of the last event heard
    Teaching teaching;
    Recording recording;
    RoomTest room_test;
    People people;
    std::optional<Notice> notice;
    std::string data_folder;  ///< where recordings and exports go by default

    /// What the screens of the time line draw: the opened recording, else what is live.
    const trace::Roll& shown_roll() const { return recording.opened ? *recording.opened : roll; }
    /// The profile on the screen is what the device runs.
    bool is_on_device() const;
};

/// Drives the desk: takes orders, fetches what the station and the worker have, keeps everything in step.
class DeskKeeper {
public:
    /// store: nullptr: nothing is remembered (a test, a folder that cannot be written). All outlive it.
    DeskKeeper(Station& station, Worker& worker, store::Store* store, const Clock& clock,
               std::vector<std::string> asset_folders);
    ~DeskKeeper();
    DeskKeeper(const DeskKeeper&) = delete;
    DeskKeeper& operator=(const DeskKeeper&) = delete;

    const Desk& desk() const { return desk_; }
    void take(Order order);
    /// Once a frame: what the device said, what the worker finished.
    void refresh();

private:
    struct Inside;
    Desk desk_;
    std::unique_ptr<Inside> inside_;
};

}  // namespace fettle::app
