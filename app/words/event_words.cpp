#include <fmt/format.h>

#include <array>

#include "app/words/action_words.hpp"
#include "app/words/device_words.hpp"
#include "app/words/event_names.hpp"
#include "app/words/infrared_words.hpp"
#include "core/engine/report.hpp"

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
constexpr std::array k_text_phases = {"typed", "begins", "cut short"};
constexpr std::uint8_t k_masked = 0xFF;

std::string keyboard_words(const std::uint8_t* b) {
    if (b[2] == engine::k_error_roll_over) return "keyboard: more than six keys";
    std::string keys = modifier_words(b[0]);
    for (int i = 2; i < engine::k_keyboard_report_bytes; ++i) {
        if (b[i] == 0) continue;
        keys += keys.empty() ? "" : " + ";
        keys += b[i] == k_masked ? "(a key)" : key_words(b[i]);
    }
    return keys.empty() ? "keyboard: all released" : "keyboard: " + keys;
}

std::string pointer_words(const std::uint8_t* b, std::uint8_t size) {
    const auto moved = [](int x, int y, std::uint8_t buttons) {
        return fmt::format("pointer: x {:+}, y {:+}, {}", x, y,
                           buttons == 0 ? "no button" : button_words(buttons) + " down");
    };
    if (size == engine::k_boot_mouse_report_bytes && b[0] != engine::k_consumer_report_id)
        return moved(static_cast<std::int8_t>(b[1]), static_cast<std::int8_t>(b[2]), b[0]);
    if (b[0] == engine::k_consumer_report_id) {
        const std::uint16_t usage = get16(b + 1);
        if (usage == 0) return "consumer: released";
        return "consumer: " + (usage == 0xFFFF ? std::string("(a key)") : consumer_words(usage));
    }
    std::string words =
        moved(static_cast<std::int16_t>(get16(b + 2)), static_cast<std::int16_t>(get16(b + 4)), b[1]);
    if (b[6] != 0) words += fmt::format(", wheel {:+}", static_cast<std::int8_t>(b[6]));
    if (b[7] != 0) words += fmt::format(", pan {:+}", static_cast<std::int8_t>(b[7]));
    return words;
}

std::string report_words(const std::uint8_t* d) {
    const bool is_keyboard = d[0] == static_cast<std::uint8_t>(engine::Endpoint::keyboard);
    return is_keyboard ? keyboard_words(d + 2) : pointer_words(d + 2, d[1]);
}

std::string held_words(const std::uint8_t* d) {
    std::string words;
    const auto add = [&](const char* what, const std::string& held) {
        if (held.empty()) return;
        words += (words.empty() ? "" : "; ") + (what + held);
    };
    add("latched ", modifier_words(d[0]));
    add("locked ", modifier_words(d[1]));
    add("dragging with the ", d[2] == 0 ? "" : button_words(d[2]));
    add("held by presses: ", modifier_words(d[3]));
    add("held by presses: ", d[4] == 0 ? "" : button_words(d[4]));
    return words.empty() ? "nothing" : words;
}

std::string light_words(std::uint8_t leds) {
    std::string words;
    for (const auto& [bit, name] :
         {std::pair{engine::k_led_num, "Num Lock"}, std::pair{engine::k_led_caps, "Caps Lock"},
          std::pair{engine::k_led_scroll, "Scroll Lock"}})
        if ((leds & bit) != 0) words += (words.empty() ? "" : ", ") + std::string(name);
    return words.empty() ? "off" : words;
}

std::string state_words(const std::uint8_t* d, const EventNames& names) {
    std::string words =
        fmt::format("{}, {}, pointer speed {} permille", names.mode(d[0]), names.variant(d[1]), get16(d + 2));
    for (std::uint8_t i = 0; i < engine::k_max_inputs; ++i)
        if ((d[6 + i / 8] >> (i % 8) & 1) != 0) words += fmt::format(", {} down", names.input(i));
    return words;
}

const char* place(std::uint8_t endpoint) {
    return endpoint == static_cast<std::uint8_t>(engine::Endpoint::keyboard) ? "keyboard" : "pointer";
}

EventLine gesture_line(const std::uint8_t* d, const EventNames& names) {
    return {"gesture", fmt::format("{}: {} in {}: {}", names.input(d[0]), name_of(k_gestures, d[1]),
                                   names.mode(d[2]), names.action(d[3]))};
}

}  // namespace

EventLine event_line(const engine::Event& event, const EventNames& names) {
    const std::uint8_t* d = event.data;
    switch (event.kind) {
        case EventKind::none: return {};
        case EventKind::edge: return {"edge", fmt::format("line {} {}", d[0], d[1] != 0 ? "high" : "low")};
        case EventKind::ir_frame: return {"infrared", frame_words(frame_of_event(event))};
        case EventKind::ir_noise: return {"infrared", fmt::format("noise, {} edges dropped", d[0])};
        case EventKind::ir_lost:
            return {"infrared", fmt::format("{}: {} repeats lost", names.input(d[0]), d[1])};
        case EventKind::level:
            return {"level", fmt::format("{} {}", names.input(d[0]), d[1] != 0 ? "down" : "up")};
        case EventKind::press:
            return {"press", fmt::format("{}: {}", names.input(d[0]), name_of(k_outcomes, d[1]))};
        case EventKind::gesture: return gesture_line(d, names);
        case EventKind::action:
            return {"action",
                    fmt::format("{} {}: {}", names.input(d[0]), name_of(k_phases, d[2]), names.action(d[1]))};
        case EventKind::mode:
            return {"mode", fmt::format("{}, by {}", names.mode(d[0]), name_of(k_causes, d[1]))};
        case EventKind::held: return {"held", held_words(d)};
        case EventKind::report: return {"report", report_words(d)};
        case EventKind::taken: return {"taken", fmt::format("the computer read the {}", place(d[0]))};
        case EventKind::drag_broken:
            return {"drag",
                    fmt::format("of the {} broken by {}", button_words(d[0]), name_of(k_causes, d[1]))};
        case EventKind::released:
            return {"released", fmt::format("everything, by {}", name_of(k_causes, d[0]))};
        case EventKind::scale: return {"scale", fmt::format("pointer speed {} permille", get16(d))};
        case EventKind::variant: return {"variant", names.variant(d[0])};
        case EventKind::trial:
            return {"trial",
                    trial_words({static_cast<wire::TrialPhase>(d[0]), get16(d + 1), 0, get16(d + 3), 0, 0})};
        case EventKind::text:
            return {"text", fmt::format("{} {}", names.text(d[0]), name_of(k_text_phases, d[1]))};
        case EventKind::leds: return {"lights", "of the computer's keyboard: " + light_words(d[0])};
        case EventKind::lost: return {"lost", fmt::format("{} events that did not fit", get16(d))};
        case EventKind::fault:
            return {"fault", fmt::format("number {}, a bug of ours; please report it", d[0])};
        case EventKind::grid:
            return {"grid",
                    d[0] == k_masked ? "a cell" : fmt::format("row {}, column {}", d[0] + 1, d[1] + 1)};
        case EventKind::unread:
            return {"unread", fmt::format("the computer did not read the {}", place(d[0]))};
        case EventKind::snapshot: return {"state", state_words(d, names)};
    }
    return {};
}

std::string event_words(const engine::Event& event, const EventNames& names) {
    const EventLine line = event_line(event, names);
    return line.head.empty() ? std::string() : fmt::format("{:<8} {}", line.head, line.words);
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
