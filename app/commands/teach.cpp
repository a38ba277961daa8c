// fettle teach: an input of a profile learns its button or switch from two presses that agree.

#include <fmt/format.h>

#include <algorithm>

#include "app/device_door.hpp"
#include "app/profile_file.hpp"
#include "app/teacher.hpp"
#include "app/words/action_words.hpp"
#include "core/base/files.hpp"
#include "core/profile/document.hpp"
#include "core/sim/pulse_text.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_pulse_limit = 1u << 20;

Result<profile::InputSource> heard_in_file(const std::string& path) {
    const auto text = read_file(path, k_pulse_limit);
    if (!text) return text.failure();
    const auto widths = sim::parse_pulse_text(*text);
    if (!widths) return widths.failure();
    Teacher teacher;
    for (const auto& timed : sim::decode_widths_timed(*widths))
        teacher.hear(timed.frame, static_cast<std::int64_t>(timed.end_us));
    if (teacher.source()) return *teacher.source();
    return fail(Errc::not_found, path, "two presses of one button are needed in it");
}

/// What the simulated device's hands do: the button twice, a second apart.
Status press_twice(const std::string& what, sim::SimDevice& device) {
    const std::uint64_t first_us = device.now_us() + 300000, second_us = first_us + 1000000;
    if (what.starts_with("switch:")) {
        const int line = what.size() == 8 ? what[7] - '0' : 0;
        if (line < 1 || line > engine::k_switch_lines)
            return fail(Errc::out_of_range, what, "switch:1 to switch:8");
        device.hands().press_switch(static_cast<std::uint8_t>(line), first_us, 200);
        device.hands().press_switch(static_cast<std::uint8_t>(line), second_us, 200);
        return Done{};
    }
    const auto frame = parse_frame(what);
    if (!frame) return frame.failure();
    device.hands().press_remote(*frame, first_us, 200);
    device.hands().press_remote(*frame, second_us, 200);
    return Done{};
}

Result<profile::InputSource> heard_from_device(const Program& program, const TeachArgs& args) {
    auto door = program.open(args.device);
    if (!door) return door.failure();
    auto& session = door->session();
    if (!args.sim_presses.empty()) {
        if (door->simulated() == nullptr)
            return fail(Errc::unsupported, "--sim-press", "only the simulated device has hands");
        if (auto pressed = press_twice(args.sim_presses, *door->simulated()); !pressed)
            return pressed.failure();
    }
    if (!program.console.is_json)
        program.console.out << "Press it, let go, and press it again.\n" << std::flush;
    Teacher teacher;
    const auto subscribed =
        session.subscribe(false, true, [&](const link::TimedEvent& timed) { teacher.hear(timed); });
    if (!subscribed) return subscribed.failure();
    for (int waited_ms = 0; waited_ms < 2000 * args.wait_s && !teacher.source(); waited_ms += 100)
        if (auto listened = session.listen(100); !listened) return listened.failure();
    if (auto ended = session.unsubscribe(); !ended) return ended.failure();
    if (auto closed = door->close(program.clock); !closed) return closed.failure();
    if (teacher.source()) return *teacher.source();
    return fail(Errc::not_found, "a press",
                fmt::format("{} heard, two that agree are needed", teacher.presses()));
}

/// Another input that listens to the same source, or nullptr.
const profile::Input* same_source(const profile::Profile& profile, const std::string& name,
                                  const profile::InputSource& source) {
    const auto at = std::find_if(
        profile.inputs.begin(), profile.inputs.end(),
        [&](const profile::Input& other) { return other.name != name && other.source == source; });
    return at == profile.inputs.end() ? nullptr : &*at;
}

}  // namespace

Exit run_teach(const Program& program, const TeachArgs& args) {
    auto file = open_profile(args.file);
    if (!file) {
        program.console.err << all_errors(args.file);
        return Exit::could_not;
    }
    auto& inputs = file->profile.inputs;
    const auto input = std::find_if(inputs.begin(), inputs.end(),
                                    [&](const profile::Input& i) { return i.name == args.input; });
    if (input == inputs.end())
        return program.could_not({Errc::not_found, args.input, "no input of this profile"});
    const auto source =
        args.heard_from.empty() ? heard_from_device(program, args) : heard_in_file(args.heard_from);
    if (!source)
        return program.could_not(source.error(), args.heard_from.empty()
                                                     ? device_then(source.error(), Doing::reading)
                                                     : DeviceThen::not_involved);
    if (const auto* other = same_source(file->profile, args.input, *source)) {
        program.console.err << "That is already the input " << other->name << "; nothing was changed.\n";
        return Exit::could_not;
    }
    input->source = *source;
    if (auto saved = profile::save_file(args.file, file->profile); !saved)
        return program.could_not(saved.error());
    program.note("an input was taught");
    return program.answer(Answer::object().add("input", args.input).add("source", source_words(*source)),
                          fmt::format("{} is now {}.\n", args.input, source_words(*source)));
}

}  // namespace fettle::app
