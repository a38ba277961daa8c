#include <fmt/format.h>

#include "app/demo_steps.hpp"
#include "app/push.hpp"
#include "app/sim_script.hpp"
#include "app/words/device_words.hpp"
#include "core/measure/summary.hpp"

namespace fettle::app {

namespace {

constexpr std::uint16_t k_short_trial_s = 20;
constexpr std::uint32_t k_hold_ms = 2000;

std::string summary_words(const measure::Summary& s) {
    return fmt::format("mean {:.0f} ms, deviation {:.0f}, median {:.0f}, from {:.0f} to {:.0f}; n = {}",
                       s.mean, s.sd, s.median, s.least, s.most, s.count);
}

}  // namespace

Status Demo::measure() {
    step("Measure");
    std::vector<double> held_ms;
    for (const auto& press : trace::presses(recording_))
        if (press.ended_us >= 0)
            held_ms.push_back(static_cast<double>(press.ended_us - press.accepted_us) / 1000.0);
    say("presses as the device saw them: " + summary_words(measure::summarize(held_ms)));
    say(fmt::format(
        "(the remote's presses carry its repeat period of 108 ms as their resolution; {} repeats were lost)",
        trace::repeats_lost(recording_)));
    bool moved = false;
    for (int hold = 1; hold <= 5; ++hold)
        if (auto measured = measure_hold(hold, moved); !measured) return measured;
    const auto& counts = session_->telemetry();
    say(fmt::format("{} events heard, {} lost on the device, {} batches lost on the way", counts.events,
                    counts.events_lost, counts.batches_lost));
    if (auto ended = session_->unsubscribe(); !ended) return ended;
    return expect(moved && counts.batches_lost == 0, "the holds moved nothing, or telemetry was lost");
}

Status Demo::measure_hold(int hold, bool& moved) {
    const std::uint64_t from_us = device_->now_us() + 1000;
    const std::size_t before = recording_.moments.size();
    press_input(*profile::find_named(made_.profile.inputs, hold % 2 == 0 ? "left" : "right"), from_us,
                k_hold_ms, device_->hands());
    if (auto passed = session_->listen(k_hold_ms + 2000); !passed) return passed;
    trace::Recording held = recording_;
    held.moments.erase(held.moments.begin(), held.moments.begin() + static_cast<std::ptrdiff_t>(before));
    if (held.moments.empty()) return fail(Errc::timed_out, "telemetry");
    // A moment counts from the first telemetry on, its event from the device's start: the simulated finger's
    // own clock.
    const trace::Moment& first = held.moments.front();
    const std::int64_t finger_up_us =
        static_cast<std::int64_t>(from_us) + k_hold_ms * 1000 - (first.event.at_us - first.at_us);
    const auto lost = trace::repeats_lost(held);
    const auto sums = trace::report_sums(held);
    const auto still_us = trace::still_after_us(held, finger_up_us);
    moved = moved || sums.x != 0;
    std::string line = fmt::format("hold {} of 2 s: {:+} counts", hold, sums.x);
    line += still_us > 0 ? fmt::format(", still about {} ms after the finger", still_us / 1000)
                         : std::string(", it stopped before the finger");
    if (lost > 0)
        line +=
            fmt::format("; {} repeat{} lost, which ends a hold at this holdover", lost, lost == 1 ? "" : "s");
    say(line);
    return Done{};
}

Status Demo::keep() {
    step("Keep it");
    const auto trial = session_->trial();
    if (!trial) return trial.failure();
    const std::string missing = proof_words(trial->proof, trial->proof_needed);
    say(missing.empty()
            ? "It was used to click, to let go, and to change the mode and back, so keep is offered."
            : "Still to be shown: " + missing);
    if (trial->phase != wire::TrialPhase::running && trial->phase != wire::TrialPhase::extended) {
        say(trial_words(*trial));
        return fail(Errc::not_found, "trial", "it ran out before it was kept");
    }
    const auto kept = session_->keep(trial->id, trial->image_crc, false);
    if (!kept) return kept.failure();
    say(trial_words(*kept));
    return expect(kept->phase == wire::TrialPhase::kept, "it was not kept");
}

Status Demo::read_back() {
    step("Read it back, compare every byte, and once more after the power failed");
    if (auto same = compare_with_device(*session_, kept_image_); !same) return same;
    say(fmt::format("{} bytes are the same.", kept_image_.size()));
    device_->cut_power();
    if (auto opened = open_session(); !opened) return opened;
    if (auto same = compare_with_device(*session_, kept_image_); !same) return same;
    say(fmt::format("The power failed and came back: the device runs slot {} with the same {} bytes.",
                    session_->hello().current_slot + 1, kept_image_.size()));
    return expect(session_->hello().current_slot != wire::k_slot_built_in,
                  "the device fell back to its built-in profile");
}

Status Demo::let_it_run_out() {
    step("Change something, say nothing, and let the trial run out");
    for (auto& motion : made_.profile.motions)
        if (auto* travel = std::get_if<profile::Travel>(&motion.family)) travel->first_step_counts = 40;
    say("A tap now moves 40 counts: the pointer is hard to use.");
    if (auto pushed = push_on_trial(k_short_trial_s); !pushed) return pushed;
    const std::int64_t x = device_->host().view().x;
    if (auto worked = work("right", 150); !worked) return worked;
    say(fmt::format("That tap moved {} counts. Nobody says keep ...", device_->host().view().x - x));
    if (auto passed = session_->listen(k_short_trial_s * 1000); !passed) return passed;
    const auto trial = session_->trial();
    if (!trial) return trial.failure();
    say(fmt::format("{}  {}", now(), trial_words(*trial)));
    if (auto expired = expect(trial->phase == wire::TrialPhase::expired, "the trial did not run out");
        !expired)
        return expired;
    if (auto same = compare_with_device(*session_, kept_image_); !same) return same;
    const std::int64_t back = device_->host().view().x;
    if (auto worked = work("right", 150); !worked) return worked;
    say(fmt::format("The same tap moves {} counts again; every byte is the kept profile's.",
                    device_->host().view().x - back));
    return expect(device_->host().view().x - back == 3 && !device_->host().view().holds_anything(),
                  "the kept profile is not back");
}

}  // namespace fettle::app
