#pragma once
// Everything that a screen can ask for. Screens change nothing themselves: they hand one of these to the
// desk. A test that plays a list of them does what a person does.

#include <functional>
#include <string>
#include <variant>
#include <vector>

#include "app/desk/edits.hpp"
#include "app/desk/station.hpp"
#include "app/ui/options.hpp"

namespace fettle::app {

enum class Screen : std::uint8_t {
    connect,
    teach,
    assign,
    motion,
    presses,
    trial,
    people,
    settings,
    fitting
};
inline constexpr int k_screens = 9;

namespace order {
struct Show {
    Screen screen = Screen::connect;
};
struct Undo {};
struct Redo {};
struct Save {};  ///< the edited profile into the store (done by itself after each edit, too)
struct SetOptions {
    ui::Options options;
};
/// Compiles the edited profile and pushes it on trial. Refused (Desk::trying says why) while check() finds
/// lock-outs or warnings that are not accepted, and while an imported profile's texts were not agreed to.
struct Try {
    std::uint16_t trial_s = 60;              ///< 20 to 600
    bool strangers_texts_seen = false;       ///< everything that it can type was shown and agreed
    std::vector<std::string> accepted = {};  ///< warnings, by profile::finding_name
};
/// Takes over what the device runs as an edit.
struct TakeFromDevice {};

/// While a remote is replaced already: goes on with that input, whatever the order.
struct TeachBegin {
    std::string input;             ///< to be taught; "" : a new one, or the remote's first one
    bool replaces_remote = false;  ///< all inputs of the remote, one after the other
};
struct TeachSkip {};  ///< the next input of the remote
struct TeachAccept {
    std::string name;  ///< of a new input; "": the first free one of button1, button2 ...
};
struct TeachEnd {};

struct RecordBegin {
    bool with_usages = false;  ///< the person agreed
};
struct RecordEnd {};
struct RecordSave {
    std::string name;
};
struct RecordOpen {
    std::string path;
};
struct RecordClose {};  ///< back to what is live
struct RecordRename {
    std::int64_t id = 0;
    std::string name;
};
struct RecordRemove {
    std::int64_t id = 0;
};
enum class ExportForm : std::uint8_t { csv, vcd };
/// What is opened, else what was recorded and is not saved yet, else what is live.
struct RecordExport {
    ExportForm form = ExportForm::csv;
    std::string path;  ///< "": data_folder/exports
};
struct RoomTestBegin {};
struct RoomTestEnd {};

struct AddPerson {
    std::string name;
};
struct RenamePerson {
    std::int64_t id = 0;
    std::string name;
};
struct RemovePerson {
    std::int64_t id = 0;
};
struct OpenProfile {
    std::int64_t id = 0;
};
struct NewProfile {
    std::int64_t person = 0;
    std::string name;
    std::string from_asset;  ///< "volunteer", "one_switch" ...; "" : the built-in one
};
struct CopyProfile {
    std::int64_t id = 0;
    std::string name;
};
struct RenameProfile {
    std::int64_t id = 0;
    std::string name;
};
struct RemoveProfile {
    std::int64_t id = 0;
};
struct CompareWith {
    std::int64_t id = 0;  ///< 0: ends it
};
struct RestoreRevision {
    std::int64_t revision = 0;
};
struct ImportLook {
    std::string path;  ///< reads it and shows what it could type
};
struct ImportAccept {};
struct ImportForget {};
struct ExportProfile {
    std::string path;  ///< "": data_folder/exports, by the profile's name
};
/// Everything about one person, as one JSON file.
struct ExportPerson {
    std::int64_t id = 0;
    std::string path;  ///< as above
};
/// A sentence on the screen was read.
struct ForgetNotice {};
}  // namespace order

using Order =
    std::variant<edit::Edit, Ask, order::Show, order::Undo, order::Redo, order::Save, order::SetOptions,
                 order::Try, order::TakeFromDevice, order::TeachBegin, order::TeachSkip, order::TeachAccept,
                 order::TeachEnd, order::RecordBegin, order::RecordEnd, order::RecordSave, order::RecordOpen,
                 order::RecordClose, order::RecordRename, order::RecordRemove, order::RecordExport,
                 order::RoomTestBegin, order::RoomTestEnd, order::AddPerson, order::RenamePerson,
                 order::RemovePerson, order::OpenProfile, order::NewProfile, order::CopyProfile,
                 order::RenameProfile, order::RemoveProfile, order::CompareWith, order::RestoreRevision,
                 order::ImportLook, order::ImportAccept, order::ImportForget, order::ExportProfile,
                 order::ExportPerson, order::ForgetNotice>;

/// Where screens put what they ask for.
using Orders = std::function<void(Order)>;

}  // namespace fettle::app
