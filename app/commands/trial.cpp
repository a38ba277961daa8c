// fettle keep, revert, extend: what becomes of the profile that is on trial.

#include <functional>

#include "app/device_door.hpp"
#include "app/program.hpp"
#include "app/trial_answer.hpp"
#include "app/words/device_words.hpp"

namespace fettle::app {

namespace {

using Answered = Result<wire::TrialReply>;
using Decide = std::function<Answered(link::Session&, const wire::TrialReply&)>;

Exit decide_trial(const Program& program, const DeviceChoice& device, Doing doing, const char* note,
                  const Decide& decide) {
    auto door = program.open(device);
    if (!door) return program.could_not_open(door.error());
    auto& session = door->session();
    const Answered before = session.trial();
    if (!before) return program.could_not(before.error(), device_then(before.error(), Doing::reading));
    const bool is_running =
        before->phase == wire::TrialPhase::running || before->phase == wire::TrialPhase::extended;
    const Answered after = is_running ? decide(session, *before) : before;
    if (auto closed = door->close(program.clock); !closed) return program.could_not(closed.error());
    if (!is_running) {
        program.console.err << "Nothing was decided: " << trial_words(*before)
                            << " `fettle write` puts a profile on trial.\n";
        return Exit::could_not;
    }
    if (!after) {
        program.could_not(after.error(), device_then(after.error(), doing));
        if (after.error().code == Errc::unproven)
            program.console.err << "Still to be shown: " << proof_words(before->proof, before->proof_needed)
                                << ".\n";
        return Exit::could_not;
    }
    program.note(note);
    return program.answer(trial_answer(*after), trial_words(*after) + "\n");
}

}  // namespace

Exit run_keep(const Program& program, const KeepArgs& args) {
    return decide_trial(program, args.device, Doing::keeping, "a profile on trial was kept",
                        [&](link::Session& session, const wire::TrialReply& trial) {
                            return session.keep(trial.id, trial.image_crc, args.helper_overrides);
                        });
}

Exit run_revert(const Program& program, const RevertArgs& args) {
    return decide_trial(program, args.device, Doing::deciding, "a profile on trial was reverted",
                        [](link::Session& session, const wire::TrialReply& trial) {
                            return session.revert(trial.id, trial.image_crc);
                        });
}

Exit run_extend(const Program& program, const ExtendArgs& args) {
    return decide_trial(program, args.device, Doing::deciding, "a trial was extended",
                        [&](link::Session& session, const wire::TrialReply& trial) {
                            return session.extend(trial.id, trial.image_crc,
                                                  static_cast<std::uint16_t>(args.seconds));
                        });
}

}  // namespace fettle::app
