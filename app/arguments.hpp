#pragma once
// What the person asked for, as plain values: one struct a command. Reading argv happens in arguments.cpp
// alone.

#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace fettle::app {

/// Shared by commands that talk to a device. which: as choose_device() takes it.
struct DeviceChoice {
    std::string which;
};

struct DemoArgs {
    bool is_slow = false;  ///< waits for Enter between the steps
};
struct DevicesArgs {
    bool wants_rule = false;  ///< the udev rule instead of a list
};
struct InfoArgs {
    DeviceChoice device;
};
struct ReadArgs {
    DeviceChoice device;
    std::string file;           ///< "" prints the document
    bool wants_spare = false;   ///< what is on trial, not what is kept
    bool replaces = false;      ///< an existing file is replaced
    std::string layout = "us";  ///< XKB name of the computer's keyboard layout, by which texts are read
    std::string layout_variant;
};
struct WriteArgs {
    DeviceChoice device;
    std::string file;
    int trial_s = 0;          ///< 0: the profile's own
    bool has_agreed = false;  ///< what it can type was seen before and is agreed to
    bool stays = true;        ///< stays with the trial and asks; otherwise leaves it running
    std::vector<std::string> accepted_warnings;
};
struct KeepArgs {
    DeviceChoice device;
    bool helper_overrides = false;
};
struct RevertArgs {
    DeviceChoice device;
};
struct ExtendArgs {
    DeviceChoice device;
    int seconds = 60;
};
struct ReleaseArgs {
    DeviceChoice device;
};
struct CheckArgs {
    std::string file;
    std::vector<std::string> accepted_warnings;
};
struct ExplainArgs {
    std::string file;
    bool fields = false;  ///< what a profile may hold, instead of what one does
};
struct TeachArgs {
    DeviceChoice device;
    std::string file;
    std::string input;
    std::string heard_from;   ///< a pulse file instead of the device
    std::string sim_presses;  ///< simulated device: the button that is pressed, PROTOCOL:ADDRESS:COMMAND
    int wait_s = 20;
};
struct WatchArgs {
    DeviceChoice device;
    int for_s = 10;
    bool usages = false;
    bool edges = false;
    std::string profile;      ///< the profile that the device runs: names instead of numbers
    std::string sim_presses;  ///< simulated device: a script of presses (simulate's form) played meanwhile
};
struct DecodeArgs {
    std::string file;  ///< "-" reads standard input
};
struct SimulateArgs {
    std::string profile;
    std::string script;
    int poll_ms = 1;
};
struct CurveArgs {
    std::string profile;
    std::string motion;  ///< "" all of them
};

/// How the window is opened. Empty and 0: as it was the last time.
struct WindowArgs {
    DeviceChoice device;
    int scale_percent = 0;    ///< 100 to 300
    std::string theme;        ///< "dark", "light", "contrast"
    std::string language;     ///< "en", "de"
    std::string data_folder;  ///< people and profiles of this run; "": the person's own
    std::string screen_text;  ///< file that always says what is on screen; "": none
    std::string pictures;     ///< folder for a picture of each screen, instead of a window to work in
    bool is_asked = true;     ///< false: no command was given; without a display the demo runs instead
};

using Command = std::variant<WindowArgs, DemoArgs, DevicesArgs, InfoArgs, ReadArgs, WriteArgs, KeepArgs,
                             RevertArgs, ExtendArgs, ReleaseArgs, CheckArgs, ExplainArgs, TeachArgs,
                             WatchArgs, DecodeArgs, SimulateArgs, CurveArgs>;

struct Parsed {
    std::optional<Command> command;  ///< none: nothing to do but print `text` and end with `exit_code`
    bool is_json = false;
    int exit_code = 0;
    std::string text;  ///< help, version, or what was wrong with the usage
};

/// version: what `--version` prints.
Parsed parse_arguments(int argc, const char* const* argv, const std::string& version);

}  // namespace fettle::app
