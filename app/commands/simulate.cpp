// fettle simulate: a profile on the simulated device, worked by a script; every report with its time.

#include <fmt/format.h>

#include "app/push.hpp"
#include "app/sim_script.hpp"
#include "app/words/device_words.hpp"
#include "core/link/memory_link.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::app {

namespace {

/// The profile on trial from now on; the simulated computer has read all that came before.
Status put_on_trial(const ProfileFile& file, link::Session& session, sim::SimDevice& device) {
    const auto compiled = image_for(file, session);
    if (!compiled) return compiled.failure();
    const auto pushed = session.push(compiled->image, 600);
    if (!pushed) return pushed.failure();
    if (auto kept = session.keep(pushed->trial.id, pushed->trial.image_crc, true); !kept)
        return kept.failure();
    device.advance_ms(100);
    device.host().forget_taken();
    return Done{};
}

std::string bytes_of(const engine::Report& report) {
    std::string bytes;
    for (std::uint8_t i = 0; i < report.size; ++i)
        bytes += fmt::format("{}{:02x}", i == 0 ? "" : " ", report.bytes[i]);
    return bytes;
}

std::string words_of(const sim::TakenReport& taken) {
    engine::Event event{};
    event.kind = engine::EventKind::report;
    event.data[0] = static_cast<std::uint8_t>(taken.endpoint);
    event.data[1] = taken.report.size;
    for (std::uint8_t i = 0; i < taken.report.size; ++i) event.data[2 + i] = taken.report.bytes[i];
    return event_line(event).words;
}

void run_script(const Script& script, sim::SimDevice& device, std::uint64_t from_us) {
    while (device.now_us() < from_us + script.end_us) {
        device.host().set_leds(lights(script, device.now_us() - from_us));
        device.advance_ms(1);
    }
}

}  // namespace

Exit run_simulate(const Program& program, const SimulateArgs& args) {
    const auto file = open_profile(args.profile);
    if (!file) {
        program.console.err << all_errors(args.profile);
        return Exit::could_not;
    }
    const auto script = load_script(args.script, file->profile);
    if (!script) return program.could_not(script.error());

    auto device = std::make_shared<sim::SimDevice>();
    device->host().set_interval_ms(static_cast<std::uint8_t>(args.poll_ms));
    auto session =
        link::Session::open(std::make_unique<link::MemoryLink>(device, link::MemoryLink::Way::hid));
    if (!session) return program.could_not(session.error());
    if (auto ready = put_on_trial(*file, **session, *device); !ready) return program.could_not(ready.error());
    const std::uint64_t from_us = device->now_us();
    play(*script, file->profile, from_us, device->hands());
    run_script(*script, *device, from_us);

    Answer answer = Answer::array();
    std::string lines;
    for (const auto& taken : device->host().taken()) {
        const auto at_us = static_cast<std::int64_t>(taken.at_us - from_us);
        lines += fmt::format("{:>9} ms  {:<48} {}\n", at_us / 1000, words_of(taken), bytes_of(taken.report));
        answer.push(
            Answer::object()
                .add("at_us", at_us)
                .add("endpoint", taken.endpoint == engine::Endpoint::keyboard ? "keyboard" : "pointer")
                .add("bytes", bytes_of(taken.report))
                .add("words", words_of(taken)));
    }
    const auto& view = device->host().view();
    lines += fmt::format("pointer {:+} {:+}, wheel {:+}, pan {:+}; {}\n", view.x, view.y, view.wheel,
                         view.pan, view.holds_anything() ? "something is still held" : "nothing is held");
    return program.answer(answer, lines);
}

}  // namespace fettle::app
