#include "app/arguments.hpp"

#include <CLI/CLI.hpp>
#include <functional>
#include <memory>

#include "app/console.hpp"

namespace fettle::app {

namespace {

constexpr const char* k_device_help =
    "which device: a path, a serial number, the socket it is in, or sim; without it, the only one attached";

/// Builds the commands one by one; each writes its struct into `parsed` when it was the one that was asked
/// for.
class Menu {
public:
    Menu(CLI::App& app, Parsed& parsed) : app_(app), parsed_(parsed) {}

    template <typename Args>
    struct Entry {
        CLI::App* app;
        Args* args;
    };

    template <typename Args>
    Entry<Args> command(const char* name, const char* help) {
        CLI::App* sub = app_.add_subcommand(name, help);
        auto args = std::make_shared<Args>();
        sub->callback([this, args] { parsed_.command = *args; });
        return {sub, args.get()};
    }
    template <typename Args>
    Entry<Args> device_command(const char* name, const char* help) {
        auto entry = command<Args>(name, help);
        entry.app->add_option("--device", entry.args->device.which, k_device_help);
        return entry;
    }
    /// Of the window's struct; the same with and without its command.
    static void window_options(CLI::App* app, WindowArgs& args) {
        app->add_option("--device", args.device.which, k_device_help);
        app->add_option("--scale", args.scale_percent, "size of everything in the window, per cent")
            ->check(CLI::Range(100, 300));
        app->add_option("--theme", args.theme, "dark, light or contrast")
            ->check(CLI::IsMember({"dark", "light", "contrast"}));
        app->add_option("--language", args.language, "en or de")->check(CLI::IsMember({"en", "de"}));
        app->add_option("--data-folder", args.data_folder, "people and profiles are kept there");
        app->add_option("--screen-text", args.screen_text,
                        "a file that always says what is on screen, for tools that read it aloud");
        app->add_option("--screenshot", args.pictures,
                        "write a picture of each screen, of the simulated device, into this folder and end");
    }
    void answers_json(CLI::App* sub) { sub->add_flag("--json", parsed_.is_json, "the answer as JSON"); }

private:
    CLI::App& app_;
    Parsed& parsed_;
};

void add_window(Menu& menu) {
    auto window = menu.command<WindowArgs>("window", "open the window; so does fettle without a command");
    Menu::window_options(window.app, *window.args);
}

void add_device_commands(Menu& menu) {
    auto devices = menu.command<DevicesArgs>("devices", "what is attached");
    devices.app->add_flag("--rule", devices.args->wants_rule,
                          "print the udev rule that lets you open a device, and where it goes");
    menu.answers_json(devices.app);
    auto info = menu.device_command<InfoArgs>("info", "who the device is, what it can, its health");
    menu.answers_json(info.app);
    auto read = menu.device_command<ReadArgs>("read", "read the profile that the device holds into a file");
    read.app->add_option("file", read.args->file, "where to save it; without it, it is printed");
    read.app->add_flag("--on-trial", read.args->wants_spare,
                       "the profile that is on trial, not the one in use before");
    read.app->add_flag("--replace", read.args->replaces, "replace the file if it is there");
    read.app->add_option("--layout", read.args->layout,
                         "keyboard layout of the computer, by which texts are read");
    read.app->add_option("--layout-variant", read.args->layout_variant, "its variant");
    auto keep = menu.device_command<KeepArgs>("keep", "keep the profile that is on trial");
    keep.app->add_flag("--helper-answers-for-it", keep.args->helper_overrides,
                       "keep it although it was not used to click, to let go and to change mode");
    menu.answers_json(keep.app);
    auto revert = menu.device_command<RevertArgs>("revert", "end the trial: the profile before it is back");
    menu.answers_json(revert.app);
    auto extend = menu.device_command<ExtendArgs>("extend", "give the trial more time");
    extend.app->add_option("--seconds", extend.args->seconds, "from now on")->check(CLI::Range(20, 600));
    menu.answers_json(extend.app);
    menu.device_command<ReleaseArgs>("release", "let go of everything that the device holds down");
}

void add_write(Menu& menu) {
    auto write = menu.device_command<WriteArgs>("write", "push a profile to the device, on trial");
    write.app->add_option("file", write.args->file, "the profile")->required();
    write.app->add_option("--trial", write.args->trial_s, "seconds of trial, 20 to 600")
        ->check(CLI::Range(20, 600));
    write.app->add_flag("--agree", write.args->has_agreed,
                        "agree to everything that it can type, without being asked");
    write.app->add_flag(
        "--leave,!--stay", [w = write.args](std::int64_t n) { w->stays = n <= 0; },
        "leave the trial running instead of staying with it");
    write.app->add_option("--accept", write.args->accepted_warnings, "a warning of check, by its name");
}

void add_profile_commands(Menu& menu) {
    auto check =
        menu.command<CheckArgs>("check", "what in a profile could lock a person out, and what is doubtful");
    check.app->add_option("file", check.args->file, "the profile")->required();
    check.app->add_option("--accept", check.args->accepted_warnings, "a warning, by its name");
    menu.answers_json(check.app);
    auto explain =
        menu.command<ExplainArgs>("explain", "what every input does in every mode, in plain words");
    auto* explained = explain.app->add_option("file", explain.args->file, "the profile");
    explain.app
        ->add_flag("--fields", explain.args->fields,
                   "every value that a profile may hold, its unit, range and default")
        ->excludes(explained);
    menu.answers_json(explain.app);
    auto curve = menu.command<CurveArgs>("curve", "speed over hold time, and how far taps and holds go");
    curve.app->add_option("file", curve.args->profile, "the profile")->required();
    curve.app->add_option("--motion", curve.args->motion, "one motion, by its name");
    menu.answers_json(curve.app);
    auto teach = menu.device_command<TeachArgs>("teach", "teach an input of a profile from a press");
    teach.app->add_option("file", teach.args->file, "the profile")->required();
    teach.app->add_option("--input", teach.args->input, "the input, by its name")->required();
    teach.app->add_option("--heard", teach.args->heard_from, "pulses from a file instead of the device");
    teach.app->add_option(
        "--sim-press", teach.args->sim_presses,
        "on the simulated device: what is pressed, PROTOCOL:ADDRESS:COMMAND or switch:LINE");
    teach.app->add_option("--wait", teach.args->wait_s, "seconds to wait for each press")
        ->check(CLI::Range(1, 600));
    menu.answers_json(teach.app);
}

void add_live_commands(Menu& menu) {
    auto watch =
        menu.device_command<WatchArgs>("watch", "edges, presses, actions and reports as they happen");
    watch.app->add_option("--seconds", watch.args->for_s, "how long")->check(CLI::Range(1, 86400));
    watch.app->add_flag("--usages", watch.args->usages,
                        "the person agrees that the keys themselves are shown");
    watch.app->add_flag("--edges", watch.args->edges, "raw edges too");
    watch.app->add_option("--profile", watch.args->profile,
                          "the profile that the device runs: its names instead of numbers");
    watch.app->add_option("--sim-script", watch.args->sim_presses,
                          "on the simulated device: presses to play meanwhile");
    menu.answers_json(watch.app);
    auto decode =
        menu.command<DecodeArgs>("decode", "name the infrared frames in a file of pulses and spaces");
    decode.app
        ->add_option("file", decode.args->file,
                     "lines of `pulse N` and `space N`, us; - reads standard input")
        ->required();
    menu.answers_json(decode.app);
    auto simulate = menu.command<SimulateArgs>(
        "simulate", "run the engine on a script, print every report with its time");
    simulate.app->add_option("--profile", simulate.args->profile, "the profile")->required();
    simulate.app->add_option("--script", simulate.args->script, "timed edges, pulses and presses")
        ->required();
    simulate.app->add_option("--poll", simulate.args->poll_ms, "ms between the host's polls")
        ->check(CLI::Range(1, 100));
    menu.answers_json(simulate.app);
    auto demo = menu.command<DemoArgs>("demo", "the whole job on the simulated device, told step by step");
    demo.app->add_flag("--pause", demo.args->is_slow, "wait for Enter after each step");
}

}  // namespace

Parsed parse_arguments(int argc, const char* const* argv, const std::string& version) {
    Parsed parsed;
    CLI::App app("Fettle fits an access device to its person.", "fettle");
    app.set_version_flag("--version", version);
    app.require_subcommand(0, 1);
    Menu menu(app, parsed);
    WindowArgs bare;
    bare.is_asked = false;
    Menu::window_options(&app, bare);
    add_window(menu);
    add_live_commands(menu);
    add_device_commands(menu);
    add_write(menu);
    add_profile_commands(menu);
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& error) {
        std::ostringstream out, err;
        const int code = app.exit(error, out, err);
        parsed.command.reset();
        parsed.exit_code = code == 0 ? 0 : static_cast<int>(Exit::wrong_usage);
        parsed.text = code == 0 ? out.str() : err.str();
        return parsed;
    }
    if (!parsed.command) {
        parsed.command = bare;
        return parsed;
    }
    for (const CLI::Option* option : app.get_options()) {
        if (option->count() == 0) continue;
        parsed.command.reset();
        parsed.exit_code = static_cast<int>(Exit::wrong_usage);
        parsed.text = option->get_name() + " belongs after the command.\n";
    }
    return parsed;
}

}  // namespace fettle::app
