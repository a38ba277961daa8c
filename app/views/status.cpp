#include "app/views/status.hpp"

#include <array>
#include <cstring>
#include <utility>

#include "app/words/plain_text.hpp"
#include "core/engine/report.hpp"

namespace fettle::app {

namespace {

using ui::NoteKind;
using ui::Ui;

std::string joined(const std::string& all, const std::string& one) {
    return all.empty() ? one : all + ", " + one;
}

/// HID bit order: Control, Shift, Alt, GUI, left then right.
std::string modifiers(const Ui& ui, std::uint8_t bits) {
    constexpr std::array k_names = {T::frame_control, T::frame_shift, T::frame_alt, T::frame_gui};
    std::string all;
    for (std::size_t i = 0; i < k_names.size(); ++i)
        if ((bits >> i & 0x11) != 0) all = joined(all, ui.t(k_names[i]));
    return all;
}

/// HID bit order: primary, secondary, then the middle one.
std::string buttons(const Ui& ui, std::uint8_t bits) {
    constexpr std::array k_names = {T::frame_primary, T::frame_secondary, T::frame_middle};
    std::string all;
    for (std::size_t i = 0; i < k_names.size(); ++i)
        if ((bits >> i & 1) != 0) all = joined(all, ui.t(k_names[i]));
    return all;
}

std::string held_words(const Ui& ui, const std::array<std::uint8_t, 5>& held) {
    std::string all;
    const auto add = [&](T text, const std::string& what) {
        if (!what.empty()) all += (all.empty() ? "" : "; ") + ui.t(text, what);
    };
    add(T::frame_latched, modifiers(ui, held[0]));
    add(T::frame_locked, modifiers(ui, held[1]));
    add(T::frame_dragged, buttons(ui, held[2]));
    add(T::frame_pressed, modifiers(ui, held[3]));
    add(T::frame_pressed, buttons(ui, held[4]));
    return all;
}

/// Of a real device, which tells it from another.
std::string serial_of(const DeviceNow& device) {
    if (device.is_simulated || !device.hello) return {};
    const auto* text = reinterpret_cast<const char*>(device.hello->serial);
    return plain_text({text, strnlen(text, sizeof device.hello->serial)});
}

}  // namespace

StatusLine who_line(const Ui& ui, const Desk& desk) {
    std::string person = ui.t(T::frame_no_person);
    for (const store::Person& one : desk.people.persons)
        if (desk.people.person == one.id) person = one.name;
    const std::string& profile = desk.editing.profile.name;
    return {"who", NoteKind::hint, profile.empty() ? person : ui.t(T::frame_who, person, profile)};
}

StatusLine device_line(const Ui& ui, const Desk& desk) {
    const DeviceNow& device = desk.device;
    const auto line = [&](NoteKind kind, T text) { return StatusLine{"device", kind, ui.t(text)}; };
    switch (seen_state(device, ui.now_ms())) {
        case LinkState::absent: return line(NoteKind::hint, T::frame_absent);
        case LinkState::opening:
        case LinkState::greeting: return line(NoteKind::hint, T::frame_opening);
        case LinkState::stale: return line(NoteKind::warning, T::frame_stale);
        case LinkState::closing: return line(NoteKind::hint, T::frame_closing);
        case LinkState::live: break;
    }
    StatusLine live = line(NoteKind::good, device.is_simulated ? T::frame_live_simulated : T::frame_live);
    if (const std::string serial = serial_of(device); !serial.empty())
        live.words = ui.t(T::frame_who, live.words, serial);
    if (desk.mode < desk.names.modes.size())
        live.words = ui.t(T::frame_in_mode, live.words, desk.names.modes[desk.mode]);
    return live;
}

std::vector<StatusLine> running_lines(const Ui& ui, const Desk& desk) {
    std::vector<StatusLine> lines;
    const std::string held = held_words(ui, desk.held);
    lines.push_back({"held", held.empty() ? NoteKind::hint : NoteKind::warning,
                     held.empty() ? std::string(ui.t(T::frame_nothing_held)) : held});
    if (desk.trying.is_running)
        lines.push_back({"trial", NoteKind::warning, ui.t(T::frame_trial_left, desk.trying.seconds_left)});
    if (desk.recording.is_on) lines.push_back({"recording", NoteKind::problem, ui.t(T::frame_recording)});
    if (const std::string scan = ui.scan_words(); !scan.empty())
        lines.push_back({"scan", NoteKind::hint, scan});
    if (!desk.working.empty()) lines.push_back({"working", NoteKind::hint, desk.working});
    return lines;
}

}  // namespace fettle::app
