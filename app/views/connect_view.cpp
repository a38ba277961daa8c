// Connect: what is attached, who it is, what it can, its health, what its display shows.
#include <fmt/format.h>

#include <array>
#include <cstring>

#include "app/views/connect_parts.hpp"
#include "app/views/display_mirror.hpp"
#include "app/words/plain_text.hpp"
#include "app/words/sentences.hpp"
#include "core/engine/limits.hpp"

namespace fettle::app {

namespace {

using ui::NoteKind;
using ui::Ui;

constexpr int k_sentence_lines = 3;

const char* state_words(const Ui& ui, LinkState state) {
    switch (state) {
        case LinkState::absent: return ui.t(T::connect_absent);
        case LinkState::opening: return ui.t(T::connect_opening);
        case LinkState::greeting: return ui.t(T::connect_greeting);
        case LinkState::live: return ui.t(T::connect_live);
        case LinkState::stale: return ui.t(T::connect_stale);
        case LinkState::closing: return ui.t(T::connect_closing);
    }
    return "";
}

/// Why it is not live. What answers a greeting with something else is no device of ours.
std::string trouble_words(const Ui& ui, const DeviceNow& device) {
    Error error = *device.last_error;
    if (error.code == Errc::foreign || error.code == Errc::garbled || error.code == Errc::version)
        error = {Errc::foreign, device.attached ? plain_text(device.attached->path) : "", error.detail};
    return sentence(error, error.code == Errc::closed ? DeviceThen::cut_reading : DeviceThen::not_involved,
                    ui.options().language);
}

/// A contract that is newer than this program's.
bool is_newer(const DeviceNow& device) {
    return device.hello && device.hello->contract_version > engine::k_contract_version;
}

void state(Ui& ui, const Desk& desk) {
    const DeviceNow& device = desk.device;
    std::string words = state_words(ui, seen_state(device, ui.now_ms()));
    if (device.last_error && device.state != LinkState::live) words += " " + trouble_words(ui, device);
    if (is_newer(device) && device.state == LinkState::live)
        words +=
            " " + ui.t(T::connect_newer, device.hello->contract_version, int{engine::k_contract_version});
    ui.live("connect.state", k_sentence_lines, words);
}

void identity(Ui& ui, const Desk& desk) {
    ui.heading(ui.t(T::connect_who));
    const auto& hello = desk.device.hello;
    const std::string none = ui.t(T::connect_not_known);
    const auto known = [&](const auto& make) { return hello ? make(*hello) : none; };
    using Hello = wire::HelloReply;
    ui.fact("connect.serial", ui.t(T::connect_serial_number), known([](const Hello& h) {
                const auto* text = reinterpret_cast<const char*>(h.serial);
                return std::string(text, strnlen(text, sizeof h.serial));
            }));
    ui.fact("connect.board", ui.t(T::connect_board), known([&](const Hello& h) {
                return std::string(h.board == 0 ? ui.t(T::connect_board_simulated) : "ATmega32U4");
            }));
    ui.fact("connect.versions", ui.t(T::connect_versions), known([&](const Hello& h) {
                return ui.t(T::connect_version_numbers, h.contract_version, h.engine_build, h.image_format);
            }));
    ui.fact("connect.room", ui.t(T::connect_room), known([&](const Hello& h) {
                return ui.t(T::connect_room_numbers, h.max_inputs, h.max_modes, h.max_variants, h.slot_bytes);
            }));
    ui.fact("connect.runs", ui.t(T::connect_runs), known([&](const Hello& h) {
                const std::string which = h.current_slot == wire::k_slot_built_in ? ui.t(T::connect_built_in)
                                          : desk.editing.on_device ? desk.editing.on_device->name
                                                                   : ui.t(T::connect_foreign);
                return ui.t(T::connect_runs_numbers, which, h.profile_version, h.image_size);
            }));
}

const char* cause_words(const Ui& ui, std::uint8_t cause) {
    constexpr std::array k_causes = {T::connect_cause_power, T::connect_cause_watchdog,
                                     T::connect_cause_voltage, T::connect_cause_pin};
    return cause < k_causes.size() ? ui.t(k_causes[cause]) : ui.t(T::connect_not_known);
}

/// The channel that is used now, and how often the link went on over the other one.
std::string channel_used(const Ui& ui, const DeviceNow& device) {
    const bool is_open = device.state == LinkState::live || device.state == LinkState::stale;
    if (!is_open || !device.attached) return ui.t(T::connect_not_known);
    const link::ChannelKind used = device.health.channel;
    const std::string channel = used == link::ChannelKind::simulated ? channel_words(ui, *device.attached)
                                : used == link::ChannelKind::hid     ? ui.t(T::connect_hid)
                                                                     : ui.t(T::connect_serial);
    if (device.health.changeovers == 0) return channel;
    return ui.t(T::connect_changeovers, channel, device.health.changeovers);
}

std::string clock_words(const Ui& ui, const LinkHealth& h) {
    if (!h.clock_error_us) return ui.t(T::connect_not_known);
    const double error_ms = *h.clock_error_us / 1000;
    return h.drift_ppm ? ui.t(T::connect_clock_drift, error_ms, *h.drift_ppm)
                       : ui.t(T::connect_clock_error, error_ms);
}

void health(Ui& ui, const Desk& desk) {
    ui.heading(ui.t(T::connect_health));
    const LinkHealth& h = desk.device.health;
    ui.fact("connect.decoded", ui.t(T::connect_decoded), std::to_string(h.frames_decoded));
    ui.fact("connect.rejected", ui.t(T::connect_rejected), std::to_string(h.noise_edges));
    const std::uint32_t all = h.repeats_heard + h.repeats_lost;
    ui.fact("connect.repeats", ui.t(T::connect_repeats_lost),
            all == 0 ? std::string(ui.t(T::connect_no_repeats))
                     : ui.t(T::connect_repeats_share, h.repeats_lost, all, 100.0 * h.repeats_lost / all));
    ui.fact("connect.telemetry", ui.t(T::connect_telemetry_lost),
            ui.t(T::connect_telemetry_numbers, h.telemetry.events, h.telemetry.batches_lost,
                 h.telemetry.events_lost));
    ui.fact(
        "connect.latency", ui.t(T::connect_latency),
        h.latency_ms ? ui.t(T::connect_latency_ms, *h.latency_ms) : std::string(ui.t(T::connect_not_known)));
    ui.fact("connect.reconnects", ui.t(T::connect_reconnects), std::to_string(h.reconnects));
    ui.fact("connect.channel", ui.t(T::connect_channel_used), channel_used(ui, desk.device));
    ui.fact("connect.clock", ui.t(T::connect_clock), clock_words(ui, h));
    const auto& info = desk.device.info;
    const std::string none = ui.t(T::connect_not_known);
    const auto known = [&](const auto& make) { return info ? make(*info) : none; };
    using Info = wire::InfoReply;
    ui.fact("connect.starts", ui.t(T::connect_starts), known([&](const Info& i) {
                return ui.t(T::connect_starts_numbers, i.up_s, i.resets, cause_words(ui, i.reset_cause));
            }));
    ui.fact("connect.wear", ui.t(T::connect_wear),
            known([&](const Info& i) { return ui.t(T::connect_wear_writes, i.storage_writes); }));
    ui.fact("connect.faults", ui.t(T::connect_faults),
            known([&](const Info& i) { return fmt::format("{} / {}", i.faults, i.held_limit); }));
    // Common practice, no source: one repeat in twenty lost is felt as stutter.
    ui.live("connect.advice", 2,
            all >= 40 && h.repeats_lost * 20 > all ? ui.t(T::connect_repeats_advice) : "");
}

void simulation(Ui& ui, const Desk& desk, ConnectState& state, const Orders& orders) {
    if (!desk.device.is_simulated) return;
    ui.heading(ui.t(T::connect_simulation));
    hands(ui, "connect.hand", desk, state.hands, orders);
    ui.group("connect.trouble", ui.t(T::connect_trouble));
    ui.row();
    if (ui.button("connect.pull", ui.t(T::connect_pull))) orders(Ask{ask::Cable{false}});
    if (ui.button("connect.plug", ui.t(T::connect_plug))) orders(Ask{ask::Cable{true}});
    if (ui.button("connect.power", ui.t(T::connect_power_cut))) orders(Ask{ask::PowerCut{}});
    ui.end_row();
    ui.end_group();
}

}  // namespace

void connect_view(Ui& ui, const Desk& desk, ConnectState& view, const Orders& orders) {
    state(ui, desk);
    connect_found(ui, desk, view, orders);
    // What is worked stands above what is only read: facts may take another line at any time.
    ui.heading(ui.t(T::connect_display));
    display_mirror(ui, "connect.display", desk.device.display);
    simulation(ui, desk, view, orders);
    ui.column(0, 2);
    identity(ui, desk);
    ui.column(1, 2);
    health(ui, desk);
    ui.end_columns();
}

}  // namespace fettle::app
