// fettle release: let go of everything.

#include "app/device_door.hpp"
#include "app/program.hpp"

namespace fettle::app {

Exit run_release(const Program& program, const ReleaseArgs& args) {
    auto door = program.open(args.device);
    if (!door) return program.could_not_open(door.error());
    const auto released = door->session().release();
    if (!released) return program.could_not(released.error(), device_then(released.error(), Doing::reading));
    if (auto closed = door->close(program.clock); !closed) return program.could_not(closed.error());
    program.note("everything was released");
    program.console.out << "The device let go of everything it held.\n";
    return Exit::done;
}

}  // namespace fettle::app
