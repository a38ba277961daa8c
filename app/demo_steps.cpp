#include "app/demo_steps.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "app/push.hpp"
#include "app/sim_script.hpp"
#include "app/teacher.hpp"
#include "app/words/action_words.hpp"
#include "app/words/device_words.hpp"
#include "core/link/memory_link.hpp"
#include "core/profile/curve_figures.hpp"

namespace fettle::app {

namespace {

constexpr std::uint32_t k_tap_ms = 150;
/// How well the volunteer's remote is heard.
constexpr sim::Air k_room{30.0, 0.0, 15.0, 0.5};
constexpr sim::Contact k_switch{4000, 3};

}  // namespace

Demo::Demo(const Program& program, const DemoArgs& args, ProfileFile file)
    : program_(program),
      pauses_(args.is_slow),
      wanted_(std::move(file)),
      device_(std::make_shared<sim::SimDevice>()) {
    device_->hands().set_air(k_room);
    device_->hands().set_contact(k_switch);
    made_.profile = wanted_.profile;
    made_.profile.name += ", made by the demo";
    if (auto layout = profile::XkbLayout::load(made_.profile.keyboard_layout))
        made_.layout = std::move(*layout);
    for (auto& input : made_.profile.inputs) input.source = profile::Untaught{};
    for (auto& mode : made_.profile.modes) mode.assignments.clear();
}

void Demo::step(const std::string& title) {
    if (pauses_ && number_ > 0) {
        program_.console.out << "  (Enter goes on)" << std::flush;
        std::string line;
        std::getline(program_.console.in, line);
    }
    program_.console.out << fmt::format("\n{}. {}\n", ++number_, title);
}

void Demo::say(const std::string& line) {
    program_.console.out << "   " << line << '\n';
}

std::string Demo::now() const {
    return fmt::format("{:>9.3f} s", static_cast<double>(device_->now_us()) / 1e6);
}

Status Demo::expect(bool holds, const std::string& what) const {
    if (holds) return Done{};
    return fail(Errc::mismatch, "demo", what);
}

void Demo::take(const link::TimedEvent& timed) {
    recording_.moments.push_back({timed.at_us, timed.event});
    const std::string words = event_words(timed.event);
    // What the computer took is in the reports already, and heartbeats are not news.
    const bool is_news =
        timed.event.kind != engine::EventKind::taken && timed.event.kind != engine::EventKind::snapshot;
    if (tells_events_ && is_news)
        say(fmt::format("{:>10.3f} ms  {}", static_cast<double>(timed.at_us) / 1000.0, words));
}

Status Demo::open_session() {
    session_.reset();
    auto session =
        link::Session::open(std::make_unique<link::MemoryLink>(device_, link::MemoryLink::Way::hid));
    if (!session) return session.failure();
    session_ = std::move(*session);
    return Done{};
}

Status Demo::find() {
    step("Find the device");
    if (auto opened = open_session(); !opened) return opened;
    const auto& hello = session_->hello();
    say(fmt::format(
        "{} answers: contract {}, {} profiles of up to {} bytes; it runs {}.", session_->serial(),
        hello.contract_version, hello.slots, hello.slot_bytes,
        hello.current_slot == wire::k_slot_built_in ? "its built-in profile" : "a stored profile"));
    return Done{};
}

Status Demo::teach() {
    step("Teach it the remote's buttons and the two switches: each is pressed twice");
    for (std::size_t i = 0; i < wanted_.profile.inputs.size(); ++i) {
        Teacher teacher;
        if (auto heard =
                session_->subscribe(false, true, [&](const link::TimedEvent& timed) { teacher.hear(timed); });
            !heard)
            return heard;
        for (int press = 0; press < 2; ++press) {
            press_input(wanted_.profile.inputs[i], device_->now_us() + 1000, k_tap_ms, device_->hands());
            if (auto passed = session_->listen(800); !passed) return passed;
        }
        const std::string& name = wanted_.profile.inputs[i].name;
        if (auto good = expect(teacher.source().has_value(), name + " was not heard twice alike"); !good)
            return good;
        made_.profile.inputs[i].source = *teacher.source();
        say(fmt::format("{:<8} {}", name, source_words(*teacher.source())));
        if (auto same = expect(*teacher.source() == wanted_.profile.inputs[i].source,
                               name + " was heard as something else");
            !same)
            return same;
    }
    return session_->unsubscribe();
}

Status Demo::assign() {
    step("Assign them in four modes");
    for (std::size_t m = 0; m < wanted_.profile.modes.size(); ++m)
        made_.profile.modes[m].assignments = wanted_.profile.modes[m].assignments;
    std::string mode;
    for (const Explained& one : explain(made_.profile)) {
        if (one.mode != mode) say("mode " + one.mode);
        mode = one.mode;
        for (const auto& gesture : one.gestures) say(fmt::format("  {:<8} {}", one.input, gesture));
    }
    return Done{};
}

Status Demo::shape() {
    step("Shape the motion: a tap of one count near, a hold that travels far");
    for (auto& motion : made_.profile.motions) {
        if (auto* travel = std::get_if<profile::Travel>(&motion.family)) travel->delay_ms = 320;
        const engine::Setup setup = profile::motion_setup(motion);
        const auto source = profile::infrared_source(130, 108, 12);
        const auto f = profile::motion_figures(setup, 0, source);
        say(fmt::format(
            "{}: a tap moves {} counts, 1 s {} counts; after letting go it is still within {} to {} ms",
            motion.name, f.tap_counts, f.holds[1].counts, f.stop.least_still_ms, f.stop.most_still_ms));
    }
    return Done{};
}

Status Demo::check() {
    step("Check that nobody can be locked out");
    auto broken = made_.profile;
    broken.modes[1].assignments.erase(
        std::remove_if(broken.modes[1].assignments.begin(), broken.modes[1].assignments.end(),
                       [](const auto& a) { return a.input == "menu"; }),
        broken.modes[1].assignments.end());
    say("If the mode `near` had no change of mode:");
    const auto wrong = profile::check(broken, made_.layout.get());
    for (const auto& finding : wrong) say("  " + sentence(finding));
    if (auto good =
            expect(!wrong.empty() && profile::is_lock_out(wrong.front().kind), "a lock-out was not found");
        !good)
        return good;
    const auto findings = profile::check(made_.profile, made_.layout.get());
    for (const auto& finding : findings) say(sentence(finding));
    say(fmt::format("The profile as it is: {} findings.", findings.size()));
    return expect(profile::refusals(findings, {}).empty(), "the profile is refused");
}

Status Demo::push_on_trial(std::uint16_t trial_s) {
    const auto compiled = image_for(made_, *session_);
    if (!compiled) return compiled.failure();
    const auto pushed = session_->push(compiled->image, trial_s);
    if (!pushed) return pushed.failure();
    trial_ = pushed->trial;
    kept_image_ = kept_image_.empty() ? compiled->image : kept_image_;
    say(fmt::format("{} bytes sent, {} of the device's quick memory. {}", compiled->image.size(),
                    compiled->mirror_bytes, trial_words(trial_)));
    return Done{};
}

Status Demo::push() {
    step("Push it on trial");
    say("It can type and send:");
    for (const auto& line : everything_it_can_send(made_.profile)) say("  " + line);
    return push_on_trial(0);
}

Status Demo::work(const std::string& input, std::uint32_t hold_ms, std::uint32_t rest_ms) {
    const auto* found = profile::find_named(made_.profile.inputs, input);
    if (found == nullptr) return fail(Errc::unknown_name, input);
    say(fmt::format("{}  -- {} for {} ms", now(), input, hold_ms));
    press_input(*found, device_->now_us() + 1000, hold_ms, device_->hands());
    return session_->listen(hold_ms + rest_ms);
}

Status Demo::press() {
    step("Press, and watch what the hands do and what the device makes of it");
    recording_ = {};
    recording_.image_crc = trial_.image_crc;
    recording_.engine_build = session_->hello().engine_build;
    recording_.has_usages = true;
    if (auto heard = session_->subscribe(true, false, [this](const link::TimedEvent& timed) { take(timed); });
        !heard)
        return heard;
    tells_events_ = true;
    for (const auto& [input, hold_ms] :
         std::vector<std::pair<const char*, std::uint32_t>>{{"right", k_tap_ms},
                                                            {"select", k_tap_ms},
                                                            {"menu", k_tap_ms},
                                                            {"up", k_tap_ms},
                                                            {"menu", k_tap_ms},
                                                            {"plus", k_tap_ms},
                                                            {"down", k_tap_ms},
                                                            {"menu", k_tap_ms},
                                                            {"select", k_tap_ms},
                                                            {"menu", k_tap_ms},
                                                            {"foot", 300},
                                                            {"cheek", 300}})
        if (auto worked = work(input, hold_ms); !worked) return worked;
    tells_events_ = false;
    say("(and, not told line by line, thirty taps)");
    for (int tap = 0; tap < 30; ++tap) {
        press_input(*profile::find_named(made_.profile.inputs, tap % 2 == 0 ? "left" : "right"),
                    device_->now_us() + 1000, k_tap_ms, device_->hands());
        if (auto passed = session_->listen(700); !passed) return passed;
    }
    return expect(!device_->host().view().holds_anything(), "something is still held");
}

}  // namespace fettle::app
