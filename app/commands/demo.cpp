// fettle demo: the whole main job on the simulated device, told step by step. Nothing here is staged: every
// line comes from the device, the check or the document, and the demo ends with 1 when a step did not do what
// it says.

#include "app/demo_steps.hpp"
#include "app/program.hpp"
#include "core/base/xdg.hpp"

namespace fettle::app {

Exit run_demo(const Program& program, const DemoArgs& args) {
    const auto path = find_asset("profiles/volunteer.json", asset_folders(own_program()));
    if (!path) return program.could_not(path.error());
    auto file = open_profile(*path);
    if (!file) return program.could_not(file.error());
    Demo demo(program, args, std::move(*file));
    for (const auto step :
         {&Demo::find, &Demo::teach, &Demo::assign, &Demo::shape, &Demo::check, &Demo::push, &Demo::press,
          &Demo::measure, &Demo::keep, &Demo::read_back, &Demo::let_it_run_out})
        if (auto done = (demo.*step)(); !done) return program.could_not(done.error(), DeviceThen::unknown);
    program.console.out
        << "\nThat was the whole job. `fettle --help` lists the commands; nothing of the demo was saved.\n";
    return Exit::done;
}

}  // namespace fettle::app
