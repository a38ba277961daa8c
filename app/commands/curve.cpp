// fettle curve: what a motion does, in figures that come from running the engine.

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "app/desk/movers.hpp"
#include "app/profile_file.hpp"
#include "core/profile/curve_figures.hpp"

namespace fettle::app {

namespace {

using profile::MotionFigures;

/// A kind of input that works a motion, with the release that it has.
struct Worked {
    std::string by;
    profile::PressSource source;
    bool operator==(const Worked&) const = default;
};

/// Which kinds of input move by this motion; a switch when none does.
std::vector<Worked> workers(const profile::Profile& p, const std::string& motion) {
    std::vector<Worked> all;
    for (const auto& mode : p.modes)
        for (const auto& one : mode.assignments) {
            const auto* input = profile::find_named(p.inputs, one.input);
            for (const auto& action : {one.short_press, one.long_press, one.double_press}) {
                const auto* move = action ? std::get_if<profile::Move>(&*action) : nullptr;
                if (move == nullptr || move->motion != motion || input == nullptr) continue;
                const Worked worked{
                    std::holds_alternative<profile::Infrared>(input->source) ? "remote" : "switch",
                    press_source(p, "", *input)};
                if (std::find(all.begin(), all.end(), worked) == all.end()) all.push_back(worked);
            }
        }
    if (all.empty()) all.push_back({"switch", profile::switch_source()});
    return all;
}

std::string figures_text(const std::string& name, const Worked& by, const MotionFigures& f) {
    std::string text =
        fmt::format("\n{} worked by a {}\n  one tap of {} ms {:>6} counts    smallest step {} counts\n", name,
                    by.by, profile::k_tap_ms, f.tap_counts, f.smallest_counts);
    text += "  held     counts   finger up   pointer still   counts after finger up\n";
    for (const auto& hold : f.holds)
        text += fmt::format("  {:>4} ms {:>8} {:>8} ms {:>12} ms {:>12}\n", hold.finger_up_ms, hold.counts,
                            hold.finger_up_ms, hold.still_ms, hold.counts_after_up);
    double top = 1;
    for (const auto& speed : f.speeds) top = std::max(top, speed.counts_per_s);
    text += "  speed over hold time\n";
    for (const auto& speed : f.speeds)
        text += fmt::format("  {:>4} ms {:>8.0f} counts/s  {}\n", speed.at_ms, speed.counts_per_s,
                            std::string(static_cast<std::size_t>(40 * speed.counts_per_s / top), '#'));
    text +=
        f.crossing_ms
            ? fmt::format("  across {} counts: {:.1f} s\n", profile::k_screen_counts, *f.crossing_ms / 1000.0)
            : fmt::format("  across {} counts: not within a minute\n", profile::k_screen_counts);
    text += fmt::format("  letting go after 1 s: still after {} to {} ms, {} to {} counts too far\n",
                        f.stop.least_still_ms, f.stop.most_still_ms, f.stop.least_counts, f.stop.most_counts);
    return text;
}

Answer figures_answer(const std::string& name, const Worked& by, const MotionFigures& f) {
    Answer holds = Answer::array(), speeds = Answer::array();
    for (const auto& hold : f.holds)
        holds.push(Answer::object()
                       .add("held_ms", std::uint64_t{hold.finger_up_ms})
                       .add("counts", hold.counts)
                       .add("finger_up_ms", std::uint64_t{hold.finger_up_ms})
                       .add("pointer_still_ms", std::uint64_t{hold.still_ms})
                       .add("counts_after_finger_up", hold.counts_after_up));
    for (const auto& speed : f.speeds)
        speeds.push(Answer::object()
                        .add("at_ms", std::uint64_t{speed.at_ms})
                        .add("counts_per_s", speed.counts_per_s));
    return Answer::object()
        .add("motion", name)
        .add("worked_by", by.by)
        .add("tap_counts", f.tap_counts)
        .add("smallest_step_counts", f.smallest_counts)
        .add("holds", std::move(holds))
        .add("speeds", std::move(speeds))
        .add("screen_counts", profile::k_screen_counts)
        .add("screen_crossing_ms", f.crossing_ms ? Answer(std::uint64_t{*f.crossing_ms}) : Answer())
        .add("stop_still_least_ms", std::uint64_t{f.stop.least_still_ms})
        .add("stop_still_most_ms", std::uint64_t{f.stop.most_still_ms})
        .add("stop_least_counts", f.stop.least_counts)
        .add("stop_most_counts", f.stop.most_counts);
}

}  // namespace

Exit run_curve(const Program& program, const CurveArgs& args) {
    const auto file = open_profile(args.profile);
    if (!file) {
        program.console.err << all_errors(args.profile);
        return Exit::could_not;
    }
    Answer answer = Answer::array();
    std::string lines = "Counts are what the device sends; the computer may multiply them.\n";
    bool found = false;
    for (const auto& motion : file->profile.motions) {
        if (!args.motion.empty() && motion.name != args.motion) continue;
        found = true;
        const engine::Setup setup = profile::motion_setup(motion);
        if (setup.motion_count == 0)
            return program.could_not({Errc::out_of_range, motion.name, "its moves cannot be compiled"});
        for (const Worked& by : workers(file->profile, motion.name)) {
            const MotionFigures figures = profile::motion_figures(setup, 0, by.source);
            lines += figures_text(motion.name, by, figures);
            answer.push(figures_answer(motion.name, by, figures));
        }
    }
    if (!args.motion.empty() && !found)
        return program.could_not({Errc::not_found, args.motion, "no motion of this profile"});
    if (!found) lines = "This profile moves no pointer.\n";
    return program.answer(answer, lines);
}

}  // namespace fettle::app
