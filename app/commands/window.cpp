// fettle window, and fettle without a command: the window on a device; or, with --screenshot, a picture of
// each screen.

#include <fmt/format.h>

#include <optional>

#include "app/desk/options_text.hpp"
#include "app/desk/real_source.hpp"
#include "app/program.hpp"
#include "app/shell/pictures.hpp"
#include "app/shell/process_age.hpp"
#include "app/shell/window_words.hpp"
#include "app/shell/workplace.hpp"
#include "core/base/xdg.hpp"
#include "core/link/opening.hpp"

namespace fettle::app {

namespace {

/// The store of this run; nothing, after a sentence: what the person does is remembered nowhere.
std::unique_ptr<store::Store> open_store(const Program& program, const std::string& folder) {
    if (folder.empty()) return nullptr;
    auto store = store::Store::open(folder + "/people.sqlite", program.clock);
    if (store) return std::move(*store);
    program.could_not(store.error());
    program.console.err << "The window opens all the same; what is done in it is not remembered.\n";
    return nullptr;
}

/// What the store says of how this person works the window; nothing when it was never said.
std::optional<ui::Options> remembered_options(store::Store* store) {
    if (store == nullptr) return std::nullopt;
    const auto text = store->setting(k_options_setting);
    if (!text || !*text) return std::nullopt;
    return options_from(**text);
}

std::string data_folder_of(const WindowArgs& args) {
    if (!args.data_folder.empty()) return args.data_folder;
    const auto folders = own_folders();
    return folders ? folders->data : "";
}

Exit work(const Program& program, const WindowArgs& args, Shell& shell) {
    const std::string data_folder = data_folder_of(args);
    WorkplaceWish wish;
    wish.store = open_store(program, data_folder);
    link::Discovery::Wish attached;
    attached.claims = link::claims_folder();
    attached.on_change = [&shell] { shell.wake(); };
    wish.source = std::make_unique<RealSource>(
        std::move(attached), program.clock,
        std::make_unique<SimSource>(program.state_folder, real_pace(program.clock)));
    wish.worker = make_thread_worker([&shell] { shell.wake(); });
    wish.asset_folders = asset_folders(own_program());
    wish.data_folder = wish.store ? data_folder : "";
    const auto remembered = remembered_options(wish.store.get());
    Workplace place(std::move(wish), program.clock);

    ui::Options options = remembered.value_or(ui::Options{});
    if (!remembered) {
        options.language = system_language(system_environment);
        options.scale_percent = shell.system_scale_percent();
    }
    apply(args, options);
    if (!remembered || *remembered != options) place.keeper().take(order::SetOptions{options});
    place.station().on_news([&shell] { shell.wake(); });
    place.station().start_thread();
    place.keeper().take(Ask{ask::Connect{args.device.which}});
    const auto ended = shell.run(place.scene());
    if (!ended) return program.could_not(ended.error());
    return Exit::done;
}

/// A picture of each screen, the way the person would see it who has these options.
Exit take_pictures(const Program& program, const WindowArgs& args) {
    ui::Options options;
    options.language = system_language(system_environment);
    apply(args, options);
    const auto taken = save_pictures(args.pictures, options, asset_folders(own_program()));
    if (!taken && taken.error().code == Errc::unsupported) {
        program.console.err << no_window_sentence(taken.error()) << '\n';
        return Exit::could_not;
    }
    if (!taken) return program.could_not(taken.error());
    std::string lines;
    for (const std::string& file : *taken) lines += file + "\n";
    return program.answer(Answer(), lines);
}

}  // namespace

Exit run_window(const Program& program, const WindowArgs& args) {
    if (!args.pictures.empty()) return take_pictures(program, args);
    ShellWish wish;
    wish.window.title = text_in(Language::english, T::frame_window_title);
    if (!program.state_folder.empty()) wish.place_file = program.state_folder + "/window-place";
    wish.screen_text_file = args.screen_text;
    wish.on_first_frame = [&program] {
        if (const auto age_ms = process_age_ms())
            program.note(fmt::format("window: first frame {} ms after the program was started", *age_ms));
    };
    auto shell = Shell::open(wish, program.clock);
    if (shell) return work(program, args, **shell);
    program.note("window: it could not be opened");
    program.console.err << no_window_sentence(shell.error()) << '\n';
    if (args.is_asked) return Exit::could_not;
    program.console.err << "Here is what the window is for, as text.\n\n";
    return run_demo(program, DemoArgs{});
}

}  // namespace fettle::app
