// Where the program starts: everything that is shared is made here and handed on as an argument.

#include <fmt/format.h>
#include <poll.h>
#include <unistd.h>

#include <iostream>

#include "app/program.hpp"
#include "core/base/crash_note.hpp"
#include "core/base/version.hpp"
#include "core/base/xdg.hpp"
#include "core/engine/limits.hpp"
#include "core/wire/image.hpp"

namespace {

using namespace fettle;

/// Tells of a crash of the run before, once.
void tell_crash(const std::string& state_folder) {
    if (const auto note = take_crash_note(state_folder))
        std::cerr << "The program ended unexpectedly last time; whatever was saved is there, and a device on "
                     "trial went back "
                     "to its kept profile by itself.\n"
                  << *note << '\n';
}

/// A terminal hands out a line at a time: nothing of a further one waits inside std::cin.
bool is_line_typed() {
    pollfd input{STDIN_FILENO, POLLIN, 0};
    return ::poll(&input, 1, 0) != 0;
}

std::string version_text() {
    return fmt::format("fettle {} (build {}, contract {}, engine {}, image {})", k_version, k_build,
                       engine::k_contract_version, engine::k_engine_build, wire::k_image_format);
}

}  // namespace

int main(int argc, char** argv) {
    const app::Parsed parsed = app::parse_arguments(argc, argv, version_text());
    if (!parsed.command) {
        (parsed.exit_code == 0 ? std::cout : std::cerr) << parsed.text;
        return parsed.exit_code;
    }
    const SystemClock clock;
    app::Console console{std::cin, std::cout, std::cerr, parsed.is_json, isatty(STDIN_FILENO) == 1};
    if (console.is_interactive) console.has_typed = is_line_typed;
    const auto world = app::system_devices(clock);
    app::Program program{console, clock, "", nullptr, world.get()};
    std::unique_ptr<Log> log;
    if (const auto folders = own_folders()) {
        program.state_folder = folders->state;
        if (auto opened = Log::open(folders->state, clock)) log = std::move(*opened);
        program.log = log.get();
        tell_crash(folders->state);
        if (auto installed = install_crash_note(folders->state); !installed)
            program.note("crash note could not be installed");
    }
    return static_cast<int>(app::run(program, *parsed.command));
}
