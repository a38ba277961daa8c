#include <fmt/format.h>

#include <array>

#include "app/words/action_words.hpp"
#include "app/words/device_words.hpp"
#include "app/words/infrared_words.hpp"
#include "core/engine/report.hpp"
#include "core/profile/keys.hpp"

namespace fettle::app {

using engine::EventKind;
using engine::get16;

namespace {

template <std::size_t N>
const char* name_of(const std::array<const char*, N>& names, std::uint8_t value) {
    return value < N ? names[value] : "of a kind that this program does not know";
}

constexpr std::array k_outcomes = {"accepted",
                                   "too short: ignored",
                                   "within the debounce delay: ignored",
                                   "too soon after the last: ignored",
                                   "a neighbour was pressed just before: ignored",
                                   "a gap was bridged",
                                   "over",
                                   "held too long: let go, ignored until it is up",
                                   "really up: heard again"};
constexpr std::array k_gestures = {"short press", "long press", "double press"};
constexpr std::array k_phases = {"begins", "ends", "refused", "repeats"};
constexpr std::array k_causes = {
    "a press", "the computer", "a change of profile", "the longest hold", "the start", "the cable",
    "sleep",   "a fault"};
constexpr std::uint8_t k_masked = 0xFF;

std::string keyboard_words(const std::uint8_t* b) {
    if (b[2] == engine::k_error_roll_over) return "keyboard: more than six keys";
    std::string keys = modifier_words(b[0]);
    for (int i = 2; i < engine::k_keyboard_report_bytes; ++i) {
        if (b[i] == 0) continue;
        keys += keys.empty() ? "" : " + ";
        keys += b[i] == k_masked ? "(a key)" : profile::key_name(b[i]);
    }
    return keys.empty() ? "keyboard: all released" : "keyboard: " + keys;
}

std::string pointer_words(const std::uint8_t* b, std::uint8_t size) {
    if (size == engine::k_boot_mouse_report_bytes && b[0] != engine::k_consumer_report_id)
        return fmt::format("pointer: x {:+} y {:+} buttons {:#x}", static_cast<std::int8_t>(b[1]),
                           static_cast<std::int8_t>(b[2]), b[0]);
    if (b[0] == engine::k_consumer_report_id) {
        const std::uint16_t usage = get16(b + 1);
        if (usage == 0) return "consumer: released";
        return "consumer: " + (usage == 0xFFFF ? std::string("(a key)") : profile::consumer_name(usage));
    }
    std::string words =
        fmt::format("pointer: x {:+} y {:+} buttons {:#x}", static_cast<std::int16_t>(get16(b + 2)),
                    static_cast<std::int16_t>(get16(b + 4)), b[1]);
    if (b[6] != 0) words += fmt::format(" wheel {:+}", static_cast<std::int8_t>(b[6]));
    if (b[7] != 0) words += fmt::format(" pan {:+}", static_cast<std::int8_t>(b[7]));
    return words;
}

std::string report_words(const std::uint8_t* d) {
    const bool is_keyboard = d[0] == static_cast<std::uint8_t>(engine::Endpoint::keyboard);
    return "report   " + (is_keyboard ? keyboard_words(d + 2) : pointer_words(d + 2, d[1]));
}

std::string held_words(const std::uint8_t* d) {
    std::string words;
    const auto add = [&](const char* what, std::uint8_t bits, bool is_modifier) {
        if (bits == 0) return;
        words += words.empty() ? "" : "; ";
        words +=
            std::string(what) + (is_modifier ? modifier_words(bits) : fmt::format("buttons {:#x}", bits));
    };
    add("latched ", d[0], true);
    add("locked ", d[1], true);
    add("dragging with ", d[2], false);
    add("held by presses: ", d[3], true);
    add("held by presses: ", d[4], false);
    return "held     " + (words.empty() ? "nothing" : words);
}

}  // namespace

std::string event_words(const engine::Event& event) {
    const std::uint8_t* d = event.data;
    switch (event.kind) {
        case EventKind::none: return {};
        case EventKind::edge: return fmt::format("edge     line {} {}", d[0], d[1] != 0 ? "high" : "low");
        case EventKind::ir_frame: return "infrared " + frame_words(frame_of_event(event));
        case EventKind::ir_noise: return fmt::format("infrared noise, {} edges dropped", d[0]);
        case EventKind::ir_lost: return fmt::format("infrared input {}: {} repeats lost", d[0], d[1]);
        case EventKind::level: return fmt::format("level    input {} {}", d[0], d[1] != 0 ? "down" : "up");
        case EventKind::press: return fmt::format("press    input {}: {}", d[0], name_of(k_outcomes, d[1]));
        case EventKind::gesture:
            return fmt::format("gesture  input {}: {} in mode {}, action {}", d[0], name_of(k_gestures, d[1]),
                               d[2], d[3]);
        case EventKind::action:
            return fmt::format("action   {} of input {} {}", d[1], d[0], name_of(k_phases, d[2]));
        case EventKind::mode: return fmt::format("mode     {} by {}", d[0], name_of(k_causes, d[1]));
        case EventKind::held: return held_words(d);
        case EventKind::report: return report_words(d);
        case EventKind::taken: return fmt::format("taken    {}", d[0] == 0 ? "keyboard" : "pointer");
        case EventKind::drag_broken: return fmt::format("drag     broken by {}", name_of(k_causes, d[1]));
        case EventKind::released: return fmt::format("released everything, by {}", name_of(k_causes, d[0]));
        case EventKind::scale: return fmt::format("scale    {} permille", get16(d));
        case EventKind::variant: return fmt::format("variant  {}", d[0]);
        case EventKind::trial:
            return "trial    " +
                   trial_words({static_cast<wire::TrialPhase>(d[0]), get16(d + 1), 0, get16(d + 3), 0, 0});
        case EventKind::text:
            return fmt::format("text     {}", d[1] == 1 ? "begins" : d[1] == 0 ? "typed" : "cut short");
        case EventKind::leds: return fmt::format("LEDs     {:#x}", d[0]);
        case EventKind::lost: return fmt::format("lost     {} events that did not fit", get16(d));
        case EventKind::fault: return fmt::format("fault    {} (a bug of ours; please report it)", d[0]);
        case EventKind::grid:
            return d[0] == k_masked ? "grid     (a cell)"
                                    : fmt::format("grid     row {} column {}", d[0] + 1, d[1] + 1);
        case EventKind::unread:
            return fmt::format("unread   the computer did not read the {}",
                               d[0] == 0 ? "keyboard" : "pointer");
        case EventKind::snapshot:
            return fmt::format("state    mode {} variant {} scale {}", d[0], d[1], get16(d + 2));
    }
    return {};
}

std::string event_name(EventKind kind) {
    static constexpr std::array k_names = {
        "none", "edge", "ir_frame", "ir_noise", "ir_lost",     "level",    "press",   "gesture", "action",
        "mode", "held", "report",   "taken",    "drag_broken", "released", "scale",   "variant", "trial",
        "text", "leds", "lost",     "fault",    "grid",        "unread",   "snapshot"};
    const auto index = static_cast<std::size_t>(kind);
    return index < k_names.size() ? k_names[index] : "unknown";
}

}  // namespace fettle::app
