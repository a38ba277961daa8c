#include "app/words/action_words.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <array>

#include "app/words/infrared_words.hpp"
#include "core/profile/keys.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr std::array k_modifier_words = {"Control",       "Shift",       "Alt",       "GUI",
                                         "right Control", "right Shift", "right Alt", "right GUI"};
constexpr std::array k_button_words = {"primary", "secondary", "tertiary"};
constexpr std::array k_direction_words = {"up",   "up and right",  "right", "down and right",
                                          "down", "down and left", "left",  "up and left"};

std::string direction(engine::Direction d) {
    return k_direction_words.at(static_cast<std::size_t>(d));
}

std::vector<std::string> set_bits(std::uint8_t bits, auto& words) {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < words.size(); ++i)
        if ((bits >> i & 1u) != 0) out.emplace_back(words[i]);
    return out;
}

std::string spaced(std::string name) {
    std::replace(name.begin(), name.end(), '_', ' ');
    return name;
}

std::string every(const Profile& profile, const std::string& repeat) {
    const Repeat* found = find_named(profile.repeats, repeat);
    if (found == nullptr) return {};
    return fmt::format(", again after {} ms and then every {} ms while held", found->delay_ms,
                       found->interval_ms);
}

std::string quoted(const std::string& text) {
    std::string shown;
    for (const char c : text) {
        if (c == '\n')
            shown += "<Enter>";
        else if (c == '\t')
            shown += "<Tab>";
        else
            shown += c;
    }
    return "\"" + shown + "\"";
}

std::string text_words(const Text& text) {
    std::string words;
    for (const TextPart& part : text.parts) {
        if (!words.empty()) words += ", then ";
        words += std::holds_alternative<Stroke>(part) ? stroke_words(std::get<Stroke>(part))
                                                      : quoted(std::get<std::string>(part));
    }
    return words.empty() ? "nothing" : words;
}

struct ActionWords {
    const Profile& profile;

    std::string operator()(const Chord& a) const {
        const std::string keys = stroke_words(a.stroke);
        switch (a.hold) {
            case ChordHold::tapped: return "types " + keys;
            case ChordHold::held: return "holds " + keys + " down as long as the press";
            case ChordHold::repeated: return "types " + keys + every(profile, a.repeat);
        }
        return keys;
    }
    std::string operator()(const Latch& a) const {
        const std::string keys = modifier_words(a.modifiers);
        switch (a.style) {
            case LatchStyle::latch_then_lock:
                return "latches " + keys +
                       " for the next key or click; a second press locks it, a third lets it go";
            case LatchStyle::latch_only: return "latches " + keys + " for the next key or click";
            case LatchStyle::lock: return "locks " + keys + "; the next press lets it go";
        }
        return keys;
    }
    std::string operator()(const Button& a) const {
        const std::string button = button_words(a.buttons);
        switch (a.style) {
            case ButtonStyle::held: return "presses the " + button + " as long as the press";
            case ButtonStyle::click: return "clicks the " + button + " once";
            case ButtonStyle::double_click: return "double-clicks the " + button;
        }
        return button;
    }
    std::string operator()(const Drag& a) const {
        return "takes hold with the " + button_words(a.buttons) + " to drag; the next press lets go";
    }
    std::string operator()(const Move& a) const {
        return fmt::format("moves the pointer {} (motion {})", direction(a.direction), a.motion);
    }
    std::string operator()(const Scroll& a) const {
        return fmt::format("scrolls {} by {}{}", direction(a.direction), a.detents, every(profile, a.repeat));
    }
    std::string operator()(const ModeChange& a) const {
        switch (a.style) {
            case ModeStyle::go_to: return "goes to the mode " + a.mode;
            case ModeStyle::next: return "goes to the next mode";
            case ModeStyle::while_held: return "goes to the mode " + a.mode + " as long as the press";
        }
        return a.mode;
    }
    std::string operator()(const Consumer& a) const {
        return std::string(a.is_held ? "holds " : "presses ") + consumer_words(a.usage) +
               (a.is_held ? " as long as the press" : "");
    }
    std::string operator()(const TypeText& a) const {
        const Text* text = find_named(profile.texts, a.text);
        return fmt::format("types the text {}: {}", a.text, text == nullptr ? "?" : text_words(*text));
    }
    std::string operator()(const GridMove& a) const {
        return "moves the mark in the character grid " + direction(a.direction) + every(profile, a.repeat);
    }
    std::string operator()(const GridPick&) const { return "types the character under the mark of the grid"; }
    std::string operator()(const Jump& a) const {
        return fmt::format("moves the pointer exactly {} counts {}", a.counts, direction(a.direction));
    }
    std::string operator()(const Scale& a) const {
        return fmt::format(
            "makes the pointer {:g} times as fast {}", a.factor_permille / 1000.0,
            a.style == ScaleStyle::while_held ? "as long as the press" : "until the next press");
    }
    std::string operator()(const ReleaseAll&) const { return "releases everything"; }
    std::string operator()(const Keep&) const { return "keeps the profile that is on trial"; }
    std::string operator()(const Revert&) const { return "ends a trial: the profile before it is back"; }
    std::string operator()(const Extend&) const { return "gives a trial more time"; }
    std::string operator()(const VariantChange& a) const {
        return a.style == VariantStyle::next ? "changes to the next variant"
                                             : "changes to the variant " + a.variant;
    }
};

}  // namespace

std::string button_words(std::uint8_t buttons) {
    return fmt::format("{} button", fmt::join(set_bits(buttons, k_button_words), " and "));
}

std::string key_words(std::uint8_t usage) {
    return spaced(profile::key_name(usage));
}

std::string consumer_words(std::uint16_t usage) {
    return spaced(profile::consumer_name(usage));
}

std::string modifier_words(std::uint8_t modifiers) {
    return fmt::format("{}", fmt::join(set_bits(modifiers, k_modifier_words), " and "));
}

std::string stroke_words(const Stroke& stroke) {
    auto parts = set_bits(stroke.modifiers, k_modifier_words);
    if (stroke.usage != 0) {
        std::string key = key_words(stroke.usage);
        if (!key.empty()) key[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(key[0])));
        parts.push_back(std::move(key));
    }
    return fmt::format("{}", fmt::join(parts, " + "));
}

std::string source_words(const InputSource& source) {
    if (const auto* ir = std::get_if<Infrared>(&source)) {
        engine::IrFrame frame = engine::make_ir_frame(ir->protocol, static_cast<std::uint16_t>(ir->address),
                                                      static_cast<std::uint16_t>(ir->command));
        frame.extended = static_cast<std::uint8_t>(ir->extended);
        frame.signature = ir->signature;
        return "remote: " + frame_words(frame);
    }
    if (const auto* line = std::get_if<Switch>(&source))
        return fmt::format("switch on line {}, closed when {}", line->line,
                           line->closed_low ? "low" : "high");
    if (const auto* axis = std::get_if<Axis>(&source)) {
        static constexpr std::array k_axes = {"stick sideways", "stick lengthways", "pressure", "spare axis"};
        const bool is_pressure = axis->axis == AxisName::pressure;
        const bool is_positive = axis->side == AxisSide::positive;
        return fmt::format("{} {} from {} %, until {} %", k_axes.at(static_cast<std::size_t>(axis->axis)),
                           is_pressure ? (is_positive ? "(puff)" : "(sip)") : (is_positive ? "(+)" : "(-)"),
                           axis->on_permille / 10, axis->off_permille / 10);
    }
    return "not taught yet";
}

std::string action_words(const Action& action, const Profile& profile) {
    return std::visit(ActionWords{profile}, action);
}

}  // namespace fettle::app
