#include "app/program.hpp"

#include "app/words/plain_text.hpp"

namespace fettle::app {

Result<DeviceDoor> Program::open(const DeviceChoice& choice) const {
    auto door = DeviceDoor::open(choice.which, world, state_folder, clock);
    if (door && door->stands_in())
        console.err << (door->missed() ? plain_text(sentence(*door->missed())) : "No device is attached.")
                    << " The simulated device is used.\n";
    if (door && door->was_damaged()) {
        note("the simulated device's journal was damaged and put aside");
        console.err << "What the simulated device remembered could not be read. It was put aside as "
                       "simulated-device.damaged, and the device starts as new.\n";
    }
    return door;
}

Exit Program::could_not(const Error& error, DeviceThen device) const {
    console.err << plain_text(sentence(error, device)) << '\n';
    return Exit::could_not;
}

Exit Program::could_not_open(const Error& error) const {
    const bool is_cut = error.code == Errc::closed || error.code == Errc::timed_out;
    const auto then = is_cut ? device_then(error, Doing::reading) : DeviceThen::not_involved;
    const char* const advice =
        error.code == Errc::not_found ? " `fettle devices` lists what is attached." : "";
    console.err << plain_text(sentence(error, then)) << advice << '\n';
    return Exit::could_not;
}

Exit Program::answer(const Answer& answer, const std::string& lines) const {
    console.out << (console.is_json ? to_json(answer) : plain_text(lines));
    console.out.flush();
    return Exit::done;
}

Exit run(const Program& program, const Command& command) {
    struct Runner {
        const Program& p;
        Exit operator()(const WindowArgs& a) const { return run_window(p, a); }
        Exit operator()(const DemoArgs& a) const { return run_demo(p, a); }
        Exit operator()(const DevicesArgs& a) const { return run_devices(p, a); }
        Exit operator()(const InfoArgs& a) const { return run_info(p, a); }
        Exit operator()(const ReadArgs& a) const { return run_read(p, a); }
        Exit operator()(const WriteArgs& a) const { return run_write(p, a); }
        Exit operator()(const KeepArgs& a) const { return run_keep(p, a); }
        Exit operator()(const RevertArgs& a) const { return run_revert(p, a); }
        Exit operator()(const ExtendArgs& a) const { return run_extend(p, a); }
        Exit operator()(const ReleaseArgs& a) const { return run_release(p, a); }
        Exit operator()(const CheckArgs& a) const { return run_check(p, a); }
        Exit operator()(const ExplainArgs& a) const { return run_explain(p, a); }
        Exit operator()(const TeachArgs& a) const { return run_teach(p, a); }
        Exit operator()(const WatchArgs& a) const { return run_watch(p, a); }
        Exit operator()(const DecodeArgs& a) const { return run_decode(p, a); }
        Exit operator()(const SimulateArgs& a) const { return run_simulate(p, a); }
        Exit operator()(const CurveArgs& a) const { return run_curve(p, a); }
    };
    const Exit exit = std::visit(Runner{program}, command);
    program.console.out.flush();
    if (program.console.out || exit != Exit::done) return exit;
    program.console.err
        << "The answer could not be written where it was to go. What was done stays done; look "
           "whether there is space left.\n";
    return Exit::could_not;
}

}  // namespace fettle::app
