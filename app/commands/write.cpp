// fettle write: push a profile on trial, and stay with it until somebody decides.

#include <fmt/format.h>

#include <iostream>

#include "app/device_door.hpp"
#include "app/push.hpp"
#include "app/words/action_words.hpp"
#include "app/words/device_words.hpp"
#include "app/words/plain_text.hpp"

namespace fettle::app {

namespace {

constexpr std::uint32_t k_listen_ms = 200;  // a person reads within a second that the cable went

/// A profile is code from a stranger: what it can type is shown, and agreed to.
bool is_agreed(const Program& program, const ProfileFile& file, bool has_agreed) {
    auto& console = program.console;
    const auto lines = everything_it_can_send(file.profile);
    if (lines.empty() || has_agreed) return true;
    console.out << "This profile can type and send:\n";
    for (const auto& line : lines) console.out << "  " << plain_text(line) << '\n';
    console.out << "Push it to the device? Type yes: " << std::flush;
    std::string answer;
    std::getline(console.in, answer);
    return answer == "yes";
}

/// The trial's own conversation: keep, revert, extend or anything else to look again.
class TrialTalk {
public:
    TrialTalk(const Program& program, link::Session& session) : program_(program), session_(session) {}

    Exit stay() {
        for (std::int64_t asked_us = program_.clock.monotonic_us();;) {
            const auto trial = session_.trial();
            if (!trial) return program_.could_not(trial.error(), device_then(trial.error(), Doing::deciding));
            program_.console.out << trial_words(*trial) << '\n';
            if (!is_running(*trial))
                return trial->phase == wire::TrialPhase::kept ? Exit::done : Exit::could_not;
            program_.console.out << "Type keep, revert or extend, or Enter to look again: " << std::flush;
            const Wait waited = wait();
            if (waited == Wait::failed) return Exit::could_not;
            if (waited == Wait::decided) continue;
            std::string line;
            if (!std::getline(program_.console.in, line)) return leave(*trial);
            const std::int64_t now_us = program_.clock.monotonic_us();
            if (!pass(now_us - asked_us)) return Exit::could_not;
            asked_us = now_us;
            if (!decide(line, *trial)) return Exit::could_not;
        }
    }

private:
    enum class Wait : std::uint8_t { typed, decided, failed };

    /// Until something is typed; ends before that when the device is gone, or the trial is over on it.
    Wait wait() {
        auto& console = program_.console;
        if (session_.link().channel() == link::ChannelKind::simulated) return Wait::typed;
        while (console.has_typed && !console.has_typed()) {
            const auto listened = session_.listen(k_listen_ms);
            const auto trial = listened ? session_.trial() : Result<wire::TrialReply>(listened.failure());
            if (trial && is_running(*trial)) continue;
            (trial ? console.out : console.err) << '\n';
            if (trial) return Wait::decided;
            program_.could_not(trial.error(), device_then(trial.error(), Doing::deciding));
            return Wait::failed;
        }
        return Wait::typed;
    }

    static bool is_running(const wire::TrialReply& trial) {
        return trial.phase == wire::TrialPhase::running || trial.phase == wire::TrialPhase::extended;
    }

    /// The simulated device lives through the time that the person took; a real one has done so already.
    bool pass(std::int64_t us) {
        if (session_.link().channel() != link::ChannelKind::simulated) return true;
        const auto passed = session_.listen(static_cast<std::uint32_t>(us / 1000));
        if (!passed) program_.could_not(passed.error(), device_then(passed.error(), Doing::deciding));
        return passed.has_value();
    }

    /// False: the device is gone.
    bool decide(const std::string& line, const wire::TrialReply& trial) {
        Result<wire::TrialReply> answer = trial;
        if (line == "keep")
            answer = session_.keep(trial.id, trial.image_crc, false);
        else if (line == "revert")
            answer = session_.revert(trial.id, trial.image_crc);
        else if (line == "extend")
            answer = session_.extend(trial.id, trial.image_crc, 60);
        if (answer) return true;
        const Doing doing = line == "keep" ? Doing::keeping : Doing::deciding;
        program_.could_not(answer.error(), device_then(answer.error(), doing));
        if (answer.error().code == Errc::unproven)
            program_.console.err << "Still to be shown: " << proof_words(trial.proof, trial.proof_needed)
                                 << ".\n";
        return answer.error().code != Errc::closed;
    }

    Exit leave(const wire::TrialReply& trial) {
        program_.console.out << fmt::format(
            "\nThe trial runs on for {} s; `fettle keep` keeps the profile.\n", trial.seconds_left);
        return Exit::done;
    }

    const Program& program_;
    link::Session& session_;
};

Exit push_and_stay(const Program& program, const WriteArgs& args, const ProfileFile& file,
                   link::Session& session) {
    const auto compiled = image_for(file, session);
    if (!compiled) return program.could_not(compiled.error(), DeviceThen::unchanged);
    const auto pushed = session.push(
        compiled->image, static_cast<std::uint16_t>(args.trial_s), [&](std::size_t done, std::size_t whole) {
            if (program.console.is_interactive)
                program.console.out << fmt::format("\r{} of {} bytes", done, whole) << std::flush;
            return true;
        });
    if (!pushed) return program.could_not(pushed.error(), device_then(pushed.error(), Doing::pushing));
    program.note("a profile was pushed on trial");
    program.console.out << fmt::format("{}{} bytes sent.\n", program.console.is_interactive ? "\r" : "",
                                       pushed->bytes_sent);
    if (args.stays) return TrialTalk(program, session).stay();
    program.console.out << trial_words(pushed->trial) << " `fettle keep` keeps the new one.\n";
    return Exit::done;
}

}  // namespace

Exit run_write(const Program& program, const WriteArgs& args) {
    const auto file = open_profile(args.file);
    if (!file) {
        program.console.err << all_errors(args.file) << "The device was not touched.\n";
        return Exit::could_not;
    }
    const auto refused = hindrances(*file, args.accepted_warnings);
    for (const auto& finding : refused)
        program.console.err << plain_text(sentence(finding)) << " [" << profile::finding_name(finding.kind)
                            << "]\n";
    if (!refused.empty()) {
        program.console.err
            << "The device was not touched. Mend the profile, or accept a warning by its name.\n";
        return Exit::could_not;
    }
    if (!is_agreed(program, *file, args.has_agreed)) {
        program.console.err << "It was not agreed to, so the device was not touched. Say yes, or --agree.\n";
        return Exit::could_not;
    }
    auto door = program.open(args.device);
    if (!door) return program.could_not_open(door.error());
    const Exit exit = push_and_stay(program, args, *file, door->session());
    if (auto closed = door->close(program.clock); !closed) return program.could_not(closed.error());
    return exit;
}

}  // namespace fettle::app
