#pragma once
// The running program: what main() wires together, and how a command answers.

#include <string>

#include "app/answer.hpp"
#include "app/arguments.hpp"
#include "app/console.hpp"
#include "app/device_door.hpp"
#include "app/words/sentences.hpp"
#include "core/base/clock.hpp"
#include "core/base/log.hpp"

namespace fettle::app {

struct Program {
    Console& console;
    const Clock& clock;
    std::string state_folder;      ///< "": nothing is remembered between runs
    Log* log = nullptr;            ///< may be nullptr
    DeviceWorld* world = nullptr;  ///< nullptr: nothing real is ever attached

    /// One line of the diary; never usages, texts or names.
    void note(std::string_view line) const {
        if (log != nullptr) log->line(line);
    }
    /// Opens the device that was asked for, and says so where the simulated one stands in or had to start as
    /// new.
    Result<DeviceDoor> open(const DeviceChoice& choice) const;
    /// Prints the sentence for `error` and gives Exit::could_not.
    Exit could_not(const Error& error, DeviceThen device = DeviceThen::not_involved) const;
    /// The same for an error of open(): nothing was asked of the device yet.
    Exit could_not_open(const Error& error) const;
    /// Prints `answer` as JSON when asked for, else `lines` as they are.
    Exit answer(const Answer& answer, const std::string& lines) const;
};

/// Runs what was asked for.
Exit run(const Program& program, const Command& command);

// The commands, each in a file of its name under commands/.
Exit run_window(const Program& program, const WindowArgs& args);
Exit run_demo(const Program& program, const DemoArgs& args);
Exit run_devices(const Program& program, const DevicesArgs& args);
Exit run_info(const Program& program, const InfoArgs& args);
Exit run_read(const Program& program, const ReadArgs& args);
Exit run_write(const Program& program, const WriteArgs& args);
Exit run_keep(const Program& program, const KeepArgs& args);
Exit run_revert(const Program& program, const RevertArgs& args);
Exit run_extend(const Program& program, const ExtendArgs& args);
Exit run_release(const Program& program, const ReleaseArgs& args);
Exit run_check(const Program& program, const CheckArgs& args);
Exit run_explain(const Program& program, const ExplainArgs& args);
Exit run_teach(const Program& program, const TeachArgs& args);
Exit run_watch(const Program& program, const WatchArgs& args);
Exit run_decode(const Program& program, const DecodeArgs& args);
Exit run_simulate(const Program& program, const SimulateArgs& args);
Exit run_curve(const Program& program, const CurveArgs& args);

}  // namespace fettle::app
