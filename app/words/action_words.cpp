#include "app/words/action_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>

#include "app/words/infrared_words.hpp"
#include "core/profile/keys.hpp"

namespace fettle::app {

using namespace profile;

namespace {

/// The i-th row of those that follow `first`.
const char* nth(Language language, T first, std::size_t i) {
    return text_in(language, static_cast<T>(static_cast<std::size_t>(first) + i));
}

std::vector<std::string> set_bits(std::uint8_t bits, std::size_t count, T first, Language language) {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < count; ++i)
        if ((bits >> i & 1u) != 0) out.emplace_back(nth(language, first, i));
    return out;
}

std::string joined(const std::vector<std::string>& parts, Language language) {
    return fmt::format("{}", fmt::join(parts, text_in(language, T::and_between)));
}

std::string spaced(std::string name) {
    std::replace(name.begin(), name.end(), '_', ' ');
    return name;
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

struct ActionWords {
    const Profile& profile;
    Language language;

    template <typename... Values>
    std::string say(T text, const Values&... values) const {
        return text_in(language, text, values...);
    }
    std::string direction(engine::Direction d) const {
        return nth(language, T::direction_0, static_cast<std::size_t>(d));
    }
    std::string again(const std::string& repeat) const {
        const Repeat* found = find_named(profile.repeats, repeat);
        return found == nullptr ? std::string() : say(T::does_again, found->delay_ms, found->interval_ms);
    }
    std::string text_words(const Text& text) const {
        std::string words;
        for (const TextPart& part : text.parts) {
            if (!words.empty()) words += say(T::does_then);
            words += std::holds_alternative<Stroke>(part) ? stroke_words(std::get<Stroke>(part), language)
                                                          : quoted(std::get<std::string>(part));
        }
        return words.empty() ? say(T::does_nothing) : words;
    }

    std::string operator()(const Chord& a) const {
        const std::string keys = stroke_words(a.stroke, language);
        switch (a.hold) {
            case ChordHold::tapped: return say(T::does_type, keys);
            case ChordHold::held: return say(T::does_hold, keys);
            case ChordHold::repeated: return say(T::does_type, keys) + again(a.repeat);
        }
        return keys;
    }
    std::string operator()(const Latch& a) const {
        const std::string keys = modifier_words(a.modifiers, language);
        switch (a.style) {
            case LatchStyle::latch_then_lock: return say(T::does_latch_lock, keys);
            case LatchStyle::latch_only: return say(T::does_latch, keys);
            case LatchStyle::lock: return say(T::does_lock, keys);
        }
        return keys;
    }
    std::string operator()(const Button& a) const {
        const std::string button = button_words(a.buttons, language);
        switch (a.style) {
            case ButtonStyle::held: return say(T::does_press, button);
            case ButtonStyle::click: return say(T::does_click, button);
            case ButtonStyle::double_click: return say(T::does_double, button);
        }
        return button;
    }
    std::string operator()(const Drag& a) const {
        return say(T::does_drag, button_words(a.buttons, language));
    }
    std::string operator()(const Move& a) const {
        return say(T::does_move, direction(a.direction), a.motion);
    }
    std::string operator()(const Scroll& a) const {
        return say(T::does_scroll, direction(a.direction), a.detents, again(a.repeat));
    }
    std::string operator()(const ModeChange& a) const {
        switch (a.style) {
            case ModeStyle::go_to: return say(T::does_mode, a.mode);
            case ModeStyle::next: return say(T::does_next_mode);
            case ModeStyle::while_held: return say(T::does_mode_held, a.mode);
        }
        return a.mode;
    }
    std::string operator()(const Consumer& a) const {
        return say(a.is_held ? T::does_consumer_held : T::does_consumer, consumer_words(a.usage));
    }
    std::string operator()(const TypeText& a) const {
        const Text* text = find_named(profile.texts, a.text);
        return say(T::does_text, a.text, text == nullptr ? std::string("?") : text_words(*text));
    }
    std::string operator()(const GridMove& a) const {
        return say(T::does_grid_move, direction(a.direction), again(a.repeat));
    }
    std::string operator()(const GridPick&) const { return say(T::does_grid_pick); }
    std::string operator()(const Jump& a) const {
        return say(T::does_jump, a.counts, direction(a.direction));
    }
    std::string operator()(const Scale& a) const {
        return say(a.style == ScaleStyle::while_held ? T::does_scale_held : T::does_scale_toggle,
                   a.factor_permille / 1000.0);
    }
    std::string operator()(const ReleaseAll&) const { return say(T::does_release); }
    std::string operator()(const Keep&) const { return say(T::does_keep); }
    std::string operator()(const Revert&) const { return say(T::does_revert); }
    std::string operator()(const Extend&) const { return say(T::does_extend); }
    std::string operator()(const VariantChange& a) const {
        return a.style == VariantStyle::next ? say(T::does_next_variant) : say(T::does_variant, a.variant);
    }
};

std::string axis_words(const Axis& axis, Language language) {
    const bool is_positive = axis.side == AxisSide::positive;
    const char* side = is_positive ? "(+)" : "(-)";
    if (axis.axis == AxisName::pressure)
        side = text_in(language, is_positive ? T::source_puff : T::source_sip);
    return text_in(language, T::source_axis,
                   nth(language, T::source_axis_0, static_cast<std::size_t>(axis.axis)), side,
                   axis.on_permille / 10, axis.off_permille / 10);
}

}  // namespace

std::string button_words(std::uint8_t buttons, Language language) {
    return text_in(language, T::buttons_of, joined(set_bits(buttons, 3, T::button_0, language), language));
}

std::string key_words(std::uint8_t usage) {
    return spaced(profile::key_name(usage));
}

std::string consumer_words(std::uint16_t usage) {
    return spaced(profile::consumer_name(usage));
}

std::string modifier_words(std::uint8_t modifiers, Language language) {
    return joined(set_bits(modifiers, 8, T::modifier_0, language), language);
}

std::string stroke_words(const Stroke& stroke, Language language) {
    auto parts = set_bits(stroke.modifiers, 8, T::modifier_0, language);
    if (stroke.usage != 0) {
        std::string key = key_words(stroke.usage);
        if (!key.empty()) key[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(key[0])));
        parts.push_back(std::move(key));
    }
    return fmt::format("{}", fmt::join(parts, " + "));
}

std::string source_words(const InputSource& source, Language language) {
    if (const auto* ir = std::get_if<Infrared>(&source)) {
        engine::IrFrame frame = engine::make_ir_frame(ir->protocol, static_cast<std::uint16_t>(ir->address),
                                                      static_cast<std::uint16_t>(ir->command));
        frame.extended = static_cast<std::uint8_t>(ir->extended);
        frame.signature = ir->signature;
        return text_in(language, T::source_remote, frame_words(frame));
    }
    if (const auto* line = std::get_if<Switch>(&source))
        return text_in(language, line->closed_low ? T::source_switch_low : T::source_switch_high, line->line);
    if (const auto* axis = std::get_if<Axis>(&source)) return axis_words(*axis, language);
    return text_in(language, T::source_untaught);
}

std::string action_words(const Action& action, const Profile& profile, Language language) {
    return std::visit(ActionWords{profile, language}, action);
}

}  // namespace fettle::app
