#include "app/views/assign_words.hpp"

#include <algorithm>
#include <array>
#include <cctype>
#include <utility>

#include "app/words/action_words.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr std::array k_modifiers = {T::assign_left_control, T::assign_left_shift,    T::assign_left_alt,
                                    T::assign_left_gui,     T::assign_right_control, T::assign_right_shift,
                                    T::assign_right_alt,    T::assign_right_gui};
constexpr std::array k_directions = {T::assign_up,         T::assign_up_right, T::assign_right,
                                     T::assign_down_right, T::assign_down,     T::assign_down_left,
                                     T::assign_left,       T::assign_up_left};
constexpr std::array k_buttons = {T::assign_primary, T::assign_secondary, T::assign_tertiary};

/// Keys and media keys whose names are words. Usages of pages 07 and 0C; source: HID Usage Tables, as
/// core/profile/keys.hpp has them.
constexpr std::pair<int, T> k_keys[] = {
    {0x28, T::assign_key_enter},      {0x29, T::assign_key_escape},      {0x2A, T::assign_key_backspace},
    {0x2B, T::assign_key_tab},        {0x2C, T::assign_key_space},       {0x39, T::assign_key_caps_lock},
    {0x46, T::assign_key_print},      {0x47, T::assign_key_scroll_lock}, {0x48, T::assign_key_pause},
    {0x49, T::assign_key_insert},     {0x4A, T::assign_key_home},        {0x4B, T::assign_key_page_up},
    {0x4C, T::assign_key_delete},     {0x4D, T::assign_key_end},         {0x4E, T::assign_key_page_down},
    {0x4F, T::assign_key_right},      {0x50, T::assign_key_left},        {0x51, T::assign_key_down},
    {0x52, T::assign_key_up},         {0x53, T::assign_key_num_lock},    {0x58, T::assign_key_keypad_enter},
    {0x65, T::assign_key_application}};
constexpr std::pair<int, T> k_media[] = {{0x030, T::assign_media_power},
                                         {0x032, T::assign_media_sleep},
                                         {0x06F, T::assign_media_brighter},
                                         {0x070, T::assign_media_darker},
                                         {0x0B0, T::assign_media_play},
                                         {0x0B1, T::assign_media_pause},
                                         {0x0B5, T::assign_media_next},
                                         {0x0B6, T::assign_media_previous},
                                         {0x0B7, T::assign_media_stop},
                                         {0x0CD, T::assign_media_play_pause},
                                         {0x0E2, T::assign_media_mute},
                                         {0x0E9, T::assign_media_louder},
                                         {0x0EA, T::assign_media_quieter},
                                         {0x0CF, T::assign_media_voice},
                                         {0x192, T::assign_media_calculator},
                                         {0x196, T::assign_media_browser},
                                         {0x18A, T::assign_media_mail},
                                         {0x221, T::assign_media_search},
                                         {0x1AE, T::assign_media_screen_keyboard},
                                         {0x224, T::assign_media_back},
                                         {0x225, T::assign_media_forward},
                                         {0x22D, T::assign_media_zoom_in},
                                         {0x22E, T::assign_media_zoom_out}};

template <std::size_t count>
const T* find_word(const std::pair<int, T> (&words)[count], int usage) {
    for (const auto& word : words)
        if (word.first == usage) return &word.second;
    return nullptr;
}

std::string joined(const std::vector<std::string>& parts, const std::string& between) {
    std::string all;
    for (const std::string& part : parts) all += (all.empty() ? "" : between) + part;
    return all;
}

std::string buttons_in(Language language, std::uint8_t buttons) {
    std::vector<std::string> parts;
    for (std::size_t i = 0; i < k_buttons.size(); ++i)
        if ((buttons >> i & 1u) != 0) parts.emplace_back(text_in(language, k_buttons[i]));
    return joined(parts, " + ");
}

struct ShortWords {
    Language language;
    const StrokeSource* layout;

    template <typename... Values>
    std::string say(T text, const Values&... values) const {
        return text_in(language, text, values...);
    }
    std::string operator()(const Chord& a) const {
        const std::string keys = stroke_in(language, a.stroke, layout);
        switch (a.hold) {
            case ChordHold::tapped: break;
            case ChordHold::held: return say(T::assign_short_key_held, keys);
            case ChordHold::repeated: return say(T::assign_short_key_repeated, keys, a.repeat);
        }
        return say(T::assign_short_key, keys);
    }
    std::string operator()(const Latch& a) const {
        const std::string keys = modifiers_in(language, a.modifiers);
        switch (a.style) {
            case LatchStyle::latch_then_lock: break;
            case LatchStyle::latch_only: return say(T::assign_short_latch_only, keys);
            case LatchStyle::lock: return say(T::assign_short_lock, keys);
        }
        return say(T::assign_short_latch, keys);
    }
    std::string operator()(const Button& a) const {
        const std::string button = buttons_in(language, a.buttons);
        switch (a.style) {
            case ButtonStyle::held: break;
            case ButtonStyle::click: return say(T::assign_short_click, button);
            case ButtonStyle::double_click: return say(T::assign_short_double_click, button);
        }
        return say(T::assign_short_button, button);
    }
    std::string operator()(const Drag& a) const {
        return say(T::assign_short_drag, buttons_in(language, a.buttons));
    }
    std::string operator()(const Move& a) const {
        return say(T::assign_short_move, direction_in(language, a.direction), a.motion);
    }
    std::string operator()(const Scroll& a) const {
        const std::string way = direction_in(language, a.direction);
        return a.repeat.empty() ? say(T::assign_short_scroll, way, a.detents)
                                : say(T::assign_short_scroll_repeated, way, a.detents, a.repeat);
    }
    std::string operator()(const ModeChange& a) const {
        switch (a.style) {
            case ModeStyle::go_to: break;
            case ModeStyle::next: return say(T::assign_short_mode_next);
            case ModeStyle::while_held: return say(T::assign_short_mode_held, a.mode);
        }
        return say(T::assign_short_mode, a.mode);
    }
    std::string operator()(const Consumer& a) const {
        return say(a.is_held ? T::assign_short_key_held : T::assign_short_key, media_in(language, a.usage));
    }
    std::string operator()(const TypeText& a) const { return say(T::assign_short_text, a.text); }
    std::string operator()(const GridMove& a) const {
        const std::string way = direction_in(language, a.direction);
        return a.repeat.empty() ? say(T::assign_short_grid_move, way)
                                : say(T::assign_short_grid_move_repeated, way, a.repeat);
    }
    std::string operator()(const GridPick&) const { return say(T::assign_short_grid_pick); }
    std::string operator()(const Jump& a) const {
        return say(T::assign_short_jump, direction_in(language, a.direction), a.counts);
    }
    std::string operator()(const Scale& a) const {
        const std::string times = fmt::format("{:g}", a.factor_permille / 1000.0);
        return say(a.style == ScaleStyle::while_held ? T::assign_short_scale_held : T::assign_short_scale,
                   times);
    }
    std::string operator()(const ReleaseAll&) const { return say(T::assign_short_release); }
    std::string operator()(const Keep&) const { return say(T::assign_short_keep); }
    std::string operator()(const Revert&) const { return say(T::assign_short_revert); }
    std::string operator()(const Extend&) const { return say(T::assign_short_extend); }
    std::string operator()(const VariantChange& a) const {
        return a.style == VariantStyle::next ? say(T::assign_short_variant_next)
                                             : say(T::assign_short_variant, a.variant);
    }
};

std::string capital(std::string word) {
    if (!word.empty()) word[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(word[0])));
    return word;
}

}  // namespace

std::string short_action_words(Language language, const Action& action, const StrokeSource* layout) {
    return std::visit(ShortWords{language, layout}, action);
}

const char* modifier_in(Language language, int bit) {
    return text_in(language, k_modifiers.at(static_cast<std::size_t>(bit)));
}

std::string modifiers_in(Language language, std::uint8_t modifiers) {
    std::vector<std::string> parts;
    for (int bit = 0; bit < 8; ++bit)
        if ((modifiers >> bit & 1) != 0) parts.emplace_back(modifier_in(language, bit));
    return joined(parts, " + ");
}

std::string key_name_in(Language language, std::uint8_t usage) {
    if (const T* word = find_word(k_keys, usage)) return text_in(language, *word);
    return key_words(usage);
}

std::string key_in(Language language, std::uint8_t usage, const StrokeSource* layout) {
    if (find_word(k_keys, usage) != nullptr || layout == nullptr) return key_name_in(language, usage);
    // The keypad's keys type what others type too: they keep their names.
    const bool is_keypad = usage >= 0x54 && usage <= 0x63;
    const auto typed = is_keypad ? std::nullopt : layout->text_for(Stroke{0, usage});
    return typed ? *typed : key_name_in(language, usage);
}

std::string stroke_in(Language language, const Stroke& stroke, const StrokeSource* layout) {
    std::string words = modifiers_in(language, stroke.modifiers);
    if (stroke.usage != 0)
        words += (words.empty() ? "" : " + ") + capital(key_in(language, stroke.usage, layout));
    return words;
}

std::string media_in(Language language, std::uint16_t usage) {
    if (usage == 0) return {};
    if (const T* word = find_word(k_media, usage)) return text_in(language, *word);
    return consumer_words(usage);
}

const char* direction_in(Language language, Direction direction) {
    return text_in(language, k_directions.at(static_cast<std::size_t>(direction)));
}

const char* gesture_in(Language language, GestureName gesture) {
    static constexpr std::array k_words = {T::assign_short, T::assign_long, T::assign_double};
    return text_in(language, k_words.at(static_cast<std::size_t>(gesture)));
}

const char* gesture_sign(Language language, GestureName gesture) {
    static constexpr std::array k_signs = {T::assign_sign_short, T::assign_sign_long, T::assign_sign_double};
    return text_in(language, k_signs.at(static_cast<std::size_t>(gesture)));
}

}  // namespace fettle::app
