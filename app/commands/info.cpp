// fettle info: who the device is, what it can, its health, what it shows.

#include <fmt/format.h>

#include <array>

#include "app/device_door.hpp"
#include "app/program.hpp"
#include "app/trial_answer.hpp"
#include "app/words/device_words.hpp"
#include "core/engine/limits.hpp"

namespace fettle::app {

namespace {

const char* cause_of(std::uint8_t cause) {
    static constexpr std::array k_causes = {"power", "watchdog", "low voltage", "reset pin", "not known"};
    return cause < k_causes.size() ? k_causes[cause] : "not known";
}

std::string slot_words(std::uint8_t slot) {
    return slot == wire::k_slot_built_in ? std::string("the built-in profile")
                                         : fmt::format("slot {}", slot + 1);
}

std::string identity_lines(const link::Session& session) {
    const auto& h = session.hello();
    std::string id;
    for (const auto byte : h.profile_id) id += fmt::format("{:02x}", byte);
    return fmt::format(
        "device     {} ({})\n"
        "contract   {}, engine {}, image format {}\n"
        "holds      {} profiles of up to {} bytes; {} bytes of quick memory; {} inputs, {} modes, {} "
        "variants\n"
        "runs       {}: profile {} version {}, {} bytes, CRC {:08x}\n",
        session.serial(), h.board == 0 ? "simulated" : "ATmega32U4", h.contract_version, h.engine_build,
        h.image_format, h.slots, h.slot_bytes, h.mirror_bytes, h.max_inputs, h.max_modes, h.max_variants,
        slot_words(h.current_slot), id, h.profile_version, h.image_size, h.image_crc);
}

/// Nothing where the device is not newer.
std::string newer_line(const link::Session& session) {
    const int speaks = session.hello().contract_version;
    if (speaks <= int{engine::k_contract_version}) return {};
    return "newer      " +
           text_in(Language::english, T::connect_newer, speaks, int{engine::k_contract_version}) + "\n";
}

std::string health_lines(const wire::InfoReply& i) {
    return fmt::format(
        "health     up {} s, started {} times, last by {}\n"
        "           messages {} good, {} bad; telemetry lost {}\n"
        "           infrared frames {}, repeats lost {}, noise {}\n"
        "           storage: {} writes of its busiest cell; holds ended by their longest hold {}; faults "
        "{}\n",
        i.up_s, i.resets, cause_of(i.reset_cause), i.frames_in, i.frames_bad, i.telemetry_lost, i.ir_frames,
        i.repeats_lost, i.ir_noise, i.storage_writes, i.held_limit, i.faults);
}

Answer info_answer(const link::Session& session, const wire::InfoReply& i, const wire::TrialReply& trial) {
    const auto& h = session.hello();
    Answer health = Answer::object();
    health.add("up_s", std::uint64_t{i.up_s})
        .add("starts", int{i.resets})
        .add("last_start_by", cause_of(i.reset_cause))
        .add("messages_good", int{i.frames_in})
        .add("messages_bad", int{i.frames_bad})
        .add("telemetry_lost", int{i.telemetry_lost})
        .add("infrared_frames", int{i.ir_frames})
        .add("infrared_repeats_lost", int{i.repeats_lost})
        .add("infrared_noise", int{i.ir_noise})
        .add("busiest_cell_writes", std::uint64_t{i.storage_writes})
        .add("holds_ended_by_limit", int{i.held_limit})
        .add("faults", int{i.faults});
    return Answer::object()
        .add("serial", session.serial())
        .add("contract_version", int{h.contract_version})
        .add("is_newer", h.contract_version > engine::k_contract_version)
        .add("engine_build", int{h.engine_build})
        .add("image_format", int{h.image_format})
        .add("slots", int{h.slots})
        .add("slot_bytes", int{h.slot_bytes})
        .add("mirror_bytes", int{h.mirror_bytes})
        .add("image_bytes", int{h.image_size})
        .add("image_crc", fmt::format("{:08x}", h.image_crc))
        .add("runs_built_in", h.current_slot == wire::k_slot_built_in)
        .add("profile_version", int{h.profile_version})
        .add("trial", trial_answer(trial))
        .add("health", std::move(health));
}

std::string display_lines(link::Session& session) {
    std::string lines;
    for (std::uint8_t row = 0; row < 4; ++row) {
        const auto text = session.display(row);
        if (!text) break;
        lines += (row == 0 ? "display    [" : "           [") + *text + "]\n";
    }
    return lines;
}

}  // namespace

Exit run_info(const Program& program, const InfoArgs& args) {
    auto door = program.open(args.device);
    if (!door) return program.could_not_open(door.error());
    auto& session = door->session();
    const auto info = session.info();
    if (!info) return program.could_not(info.error(), device_then(info.error(), Doing::reading));
    const auto trial = session.trial();
    if (!trial) return program.could_not(trial.error(), device_then(trial.error(), Doing::reading));
    const std::string lines = identity_lines(session) + newer_line(session) + "trial      " +
                              trial_words(*trial) + "\n" + health_lines(*info) + display_lines(session);
    const Answer answer = info_answer(session, *info, *trial);
    if (auto closed = door->close(program.clock); !closed) return program.could_not(closed.error());
    return program.answer(answer, lines);
}

}  // namespace fettle::app
