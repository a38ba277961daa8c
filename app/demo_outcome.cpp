#include <fmt/format.h>

#include "app/demo_steps.hpp"
#include "app/push.hpp"
#include "app/sim_script.hpp"
#include "app/words/device_words.hpp"
#include "core/measure/summary.hpp"

namespace fettle::app {

namespace {

constexpr std::uint16_t k_short_trial_s = 20;

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
    const std::uint64_t from_us = device_->now_us() + 1000;
    const std::size_t before = recording_.moments.size();
    press_input(*profile::find_named(made_.profile.inputs, "right"), from_us, 2000, device_->hands());
    if (auto passed = session_->listen(4000); !passed) return passed;
    trace::Recording hold = recording_;
    hold.moments.erase(hold.moments.begin(), hold.moments.begin() + static_cast<std::ptrdiff_t>(before));
    if (auto heard = expect(!hold.moments.empty(), "no telemetry came"); !heard) return heard;
    // Telemetry tells device time from its first event on; the finger's own time is the simulated clock's.
    const std::int64_t offset_us = static_cast<std::int64_t>(device_->now_us()) - hold.moments.back().at_us;
    const std::int64_t still_us =
        trace::still_after_us(hold, static_cast<std::int64_t>(from_us) + 2000000 - offset_us);
    const auto sums = trace::report_sums(hold);
    say(fmt::format("a hold of 2 s moved {} counts; the pointer was still about {} ms after the finger",
                    sums.x, still_us / 1000));
    const auto& counts = session_->telemetry();
    say(fmt::format("{} events heard, {} lost on the device, {} batches lost on the way", counts.events,
                    counts.events_lost, counts.batches_lost));
    if (auto ended = session_->unsubscribe(); !ended) return ended;
    return expect(sums.x > 0 && counts.batches_lost == 0, "the hold moved nothing, or telemetry was lost");
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
    if (auto hello = session_->greet(); !hello) return hello.failure();
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
