// fettle watch: what the hands do and what the device makes of it, as it happens.

#include <fmt/format.h>

#include "app/device_door.hpp"
#include "app/profile_file.hpp"
#include "app/program.hpp"
#include "app/sim_script.hpp"
#include "app/words/device_words.hpp"
#include "app/words/plain_text.hpp"
#include "core/profile/image_compile.hpp"

namespace fettle::app {

namespace {

Answer event_answer(const link::TimedEvent& timed, const EventNames& names) {
    Answer data = Answer::array();
    for (std::uint8_t i = 0; i < engine::event_size(timed.event.kind); ++i)
        data.push(int{timed.event.data[i]});
    return Answer::object()
        .add("at_us", std::int64_t{timed.at_us})
        .add("kind", event_name(timed.event.kind))
        .add("data", std::move(data))
        .add("words", event_line(timed.event, names).words);
}

/// The simulated device's hands play a script; without a profile it can name lines and remotes only.
Status play_script(const std::string& path, const profile::Profile& profile, sim::SimDevice& device) {
    const auto script = load_script(path, profile);
    if (!script) return script.failure();
    play(*script, profile, device.now_us(), device.hands());
    return Done{};
}

/// The profile that the device runs, and its names. Nothing of it when no file was given.
struct Known {
    profile::Profile profile;
    EventNames names;
};

/// Errors: not_found when the device runs another profile, whose numbers would be given wrong names.
Result<Known> known_from(const std::string& path, const link::Session& session) {
    if (path.empty()) return Known{};
    const auto file = open_profile(path);
    if (!file) return file.failure();
    const auto built = profile::build_image(file->profile, strokes_of(*file));
    if (!built) return built.failure();
    if (built->crc != session.hello().image_crc)
        return fail(Errc::not_found, path + " on the device",
                    "the device runs another profile. Write this one first, or watch without --profile");
    return Known{file->profile, names_of(file->profile, built->image)};
}

}  // namespace

Exit run_watch(const Program& program, const WatchArgs& args) {
    auto door = program.open(args.device);
    if (!door) return program.could_not_open(door.error());
    auto& session = door->session();
    const auto known = known_from(args.profile, session);
    if (!known) return program.could_not(known.error(), DeviceThen::unchanged);
    if (!args.sim_presses.empty()) {
        if (door->simulated() == nullptr)
            return program.could_not(
                {Errc::unsupported, "--sim-script", "only the simulated device has hands"});
        if (auto played = play_script(args.sim_presses, known->profile, *door->simulated()); !played)
            return program.could_not(played.error());
    }
    Answer answer = Answer::array();
    const auto listener = [&](const link::TimedEvent& timed) {
        if (program.console.is_json)
            answer.push(event_answer(timed, known->names));
        else if (args.edges || timed.event.kind != engine::EventKind::taken)
            program.console.out << fmt::format("{:>10.3f} ms  {}\n",
                                               static_cast<double>(timed.at_us) / 1000.0,
                                               plain_text(event_words(timed.event, known->names)))
                                << std::flush;
    };
    if (auto subscribed = session.subscribe(args.usages, args.edges, listener); !subscribed)
        return program.could_not(subscribed.error(), device_then(subscribed.error(), Doing::reading));
    const auto listened = session.listen(static_cast<std::uint32_t>(args.for_s) * 1000);
    if (!listened) return program.could_not(listened.error(), device_then(listened.error(), Doing::reading));
    if (auto ended = session.unsubscribe(); !ended)
        return program.could_not(ended.error(), device_then(ended.error(), Doing::reading));
    const auto& counts = session.telemetry();
    if (auto closed = door->close(program.clock); !closed) return program.could_not(closed.error());
    if (program.console.is_json) return program.answer(answer, {});
    program.console.out << fmt::format("{} events; {} were lost on the device, {} batches on the way.\n",
                                       counts.events, counts.events_lost, counts.batches_lost);
    return Exit::done;
}

}  // namespace fettle::app
