// fettle read: the profile that the device holds, as a document.

#include <unistd.h>

#include "app/device_door.hpp"
#include "app/program.hpp"
#include "core/profile/document.hpp"
#include "core/profile/image_compile.hpp"
#include "core/profile/layout.hpp"

namespace fettle::app {

Exit run_read(const Program& program, const ReadArgs& args) {
    if (!args.file.empty() && !args.replaces && access(args.file.c_str(), F_OK) == 0) {
        program.console.err << args.file << " is there already. Choose another name, or say --replace.\n";
        return Exit::could_not;
    }
    const profile::KeyboardLayout names{args.layout, args.layout_variant};
    const auto layout = profile::XkbLayout::load(names);
    if (!layout) return program.could_not(layout.error());
    auto door = program.open(args.device);
    if (!door) return program.could_not_open(door.error());
    const auto image =
        door->session().read_image(args.wants_spare ? wire::k_slot_spare : wire::k_slot_current);
    if (!image) return program.could_not(image.error(), device_then(image.error(), Doing::reading));
    if (auto closed = door->close(program.clock); !closed) return program.could_not(closed.error());
    const auto read = profile::decompile(*image, **layout, names);
    if (!read) return program.could_not(read.error(), DeviceThen::unchanged);
    if (args.file.empty()) {
        program.console.out << profile::write(*read);
        return Exit::done;
    }
    if (auto saved = profile::save_file(args.file, *read); !saved) return program.could_not(saved.error());
    program.console.out << "Saved as " << args.file
                        << ". The device keeps no names of inputs; they are numbered.\n";
    return Exit::done;
}

}  // namespace fettle::app
