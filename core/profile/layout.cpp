#include "core/profile/layout.hpp"

#include <xkbcommon/xkbcommon.h>

#include <algorithm>
#include <array>
#include <bit>

#include "core/profile/evdev_codes.hpp"

namespace fettle::profile {

namespace {

constexpr std::uint8_t k_left_shift = 0x02;
constexpr std::uint8_t k_alt_gr = 0x40;
constexpr std::uint8_t k_enter = 0x28, k_tab = 0x2B, k_space = 0x2C;
constexpr std::uint8_t k_first_typing = 0x04, k_last_typing = 0x64;
constexpr xkb_keycode_t k_xkb_offset = 8;

struct FreeContext {
    void operator()(xkb_context* p) const { xkb_context_unref(p); }
};
struct FreeKeymap {
    void operator()(xkb_keymap* p) const { xkb_keymap_unref(p); }
};
using Context = std::unique_ptr<xkb_context, FreeContext>;
using Keymap = std::unique_ptr<xkb_keymap, FreeKeymap>;

void say_nothing(xkb_context*, xkb_log_level, const char*, va_list) {}

Keymap open_keymap(xkb_context* context, const KeyboardLayout& names) {
    xkb_rule_names rules{};
    rules.rules = "evdev";
    rules.model = "pc105";
    rules.layout = names.layout.c_str();
    rules.variant = names.variant.c_str();
    return Keymap(xkb_keymap_new_from_names(context, &rules, XKB_KEYMAP_COMPILE_NO_FLAGS));
}

/// HID modifiers for one of the masks that reach a level, or nothing when it needs others than Shift and
/// AltGr.
std::optional<std::uint8_t> modifiers_of(xkb_keymap* keymap, xkb_mod_mask_t mask) {
    const auto bit = [&](const char* name) -> xkb_mod_mask_t {
        const xkb_mod_index_t index = xkb_keymap_mod_get_index(keymap, name);
        return index == XKB_MOD_INVALID ? 0 : xkb_mod_mask_t{1} << index;
    };
    const xkb_mod_mask_t shift = bit("Shift"), level_three = bit("Mod5");
    if ((mask & ~(shift | level_three)) != 0) return std::nullopt;
    return static_cast<std::uint8_t>(((mask & shift) != 0 ? k_left_shift : 0) |
                                     ((mask & level_three) != 0 ? k_alt_gr : 0));
}

/// The character that a dead key gives with Space after it, 0 where it is none.
char32_t spaced(xkb_keysym_t symbol) {
    static constexpr std::array<std::pair<const char*, char32_t>, 6> k_dead = {{
        {"dead_grave", U'`'},
        {"dead_acute", U'\u00B4'},
        {"dead_circumflex", U'^'},
        {"dead_tilde", U'~'},
        {"dead_diaeresis", U'\u00A8'},
        {"dead_cedilla", U'\u00B8'},
    }};
    for (const auto& [name, character] : k_dead)
        if (xkb_keysym_from_name(name, XKB_KEYSYM_NO_FLAGS) == symbol) return character;
    return 0;
}

/// Decodes one character and moves `text` on; 0 for bytes that are no UTF-8.
char32_t take_character(std::string_view& text) {
    const auto byte = [&](std::size_t i) { return static_cast<std::uint8_t>(text[i]); };
    const std::size_t length = byte(0) < 0x80    ? 1
                               : byte(0) >= 0xF0 ? 4
                               : byte(0) >= 0xE0 ? 3
                               : byte(0) >= 0xC0 ? 2
                                                 : 0;
    if (length == 0 || length > text.size()) {
        text = {};
        return 0;
    }
    char32_t character = length == 1 ? byte(0) : byte(0) & (0x7Fu >> length);
    for (std::size_t i = 1; i < length; ++i) character = (character << 6) | (byte(i) & 0x3Fu);
    text.remove_prefix(length);
    return character;
}

std::string to_utf8(char32_t character) {
    std::string text;
    const auto put = [&](char32_t byte) { text.push_back(static_cast<char>(byte)); };
    if (character < 0x80) {
        put(character);
    } else if (character < 0x800) {
        put(0xC0 | (character >> 6));
        put(0x80 | (character & 0x3F));
    } else if (character < 0x10000) {
        put(0xE0 | (character >> 12));
        put(0x80 | ((character >> 6) & 0x3F));
        put(0x80 | (character & 0x3F));
    } else {
        put(0xF0 | (character >> 18));
        put(0x80 | ((character >> 12) & 0x3F));
        put(0x80 | ((character >> 6) & 0x3F));
        put(0x80 | (character & 0x3F));
    }
    return text;
}

/// Fewer strokes, then no key that only some keyboards have, then fewer modifiers, then the lower usage.
bool is_simpler(const std::vector<Stroke>& a, const std::vector<Stroke>& b) {
    const auto rank = [](const std::vector<Stroke>& strokes) {
        int modifiers = 0;
        for (const Stroke& stroke : strokes) modifiers += std::popcount(stroke.modifiers);
        // The extra key beside left Shift: XKB's "us" gives it < and >, another system may not (from memory).
        const bool is_extra = strokes.front().usage == k_last_typing;
        return std::tuple(strokes.size(), is_extra, modifiers, strokes.front().usage);
    };
    return rank(a) < rank(b);
}

}  // namespace

void XkbLayout::learn(char32_t character, std::vector<Stroke> strokes) {
    const auto known = typed_by_.find(character);
    if (known == typed_by_.end())
        typed_by_.emplace(character, std::move(strokes));
    else if (is_simpler(strokes, known->second))
        known->second = std::move(strokes);
}

Result<std::unique_ptr<XkbLayout>> XkbLayout::load(const KeyboardLayout& names) {
    const std::string where = names.variant.empty() ? names.layout : names.layout + "(" + names.variant + ")";
    Context context(xkb_context_new(XKB_CONTEXT_NO_ENVIRONMENT_NAMES));
    if (!context) return fail(Errc::io, "keyboard layouts", "libxkbcommon could not start");
    xkb_context_set_log_fn(context.get(), say_nothing);
    const Keymap keymap = names.layout.empty() ? Keymap{} : open_keymap(context.get(), names);
    if (!keymap) return fail(Errc::unknown_name, "/keyboard_layout", where);
    std::unique_ptr<XkbLayout> layout(new XkbLayout);
    layout->learn(U'\n', {{0, k_enter}});
    layout->learn(U'\t', {{0, k_tab}});
    for (std::uint8_t usage = k_first_typing; usage <= k_last_typing; ++usage) {
        const xkb_keycode_t key = evdev_code(usage) + k_xkb_offset;
        if (key == k_xkb_offset || (usage >= 0x53 && usage <= 0x63))
            continue;  // the keypad depends on Num Lock
        const xkb_level_index_t levels = xkb_keymap_num_levels_for_key(keymap.get(), key, 0);
        for (xkb_level_index_t level = 0; level < levels; ++level) {
            const xkb_keysym_t* symbols = nullptr;
            if (xkb_keymap_key_get_syms_by_level(keymap.get(), key, 0, level, &symbols) != 1) continue;
            xkb_mod_mask_t masks[16];
            const std::size_t count =
                xkb_keymap_key_get_mods_for_level(keymap.get(), key, 0, level, masks, 16);
            const char32_t character = xkb_keysym_to_utf32(symbols[0]);
            for (std::size_t i = 0; i < count; ++i) {
                const auto modifiers = modifiers_of(keymap.get(), masks[i]);
                if (!modifiers) continue;
                const Stroke stroke{*modifiers, usage};
                if (character >= 0x20 && character != 0x7F)
                    layout->learn(character, {stroke});
                else if (const char32_t dead = spaced(symbols[0]); dead != 0)
                    layout->learn(dead, {stroke, {0, k_space}});
            }
        }
    }
    return layout;
}

std::optional<std::vector<Stroke>> XkbLayout::strokes_for(std::string_view utf8) const {
    std::vector<Stroke> strokes;
    while (!utf8.empty()) {
        const auto typed = typed_by_.find(take_character(utf8));
        if (typed == typed_by_.end()) return std::nullopt;
        strokes.insert(strokes.end(), typed->second.begin(), typed->second.end());
    }
    return strokes;
}

std::optional<std::string> XkbLayout::text_for(Stroke stroke) const {
    for (const auto& [character, strokes] : typed_by_)
        if (character >= 0x20 && strokes.size() == 1 && strokes.front() == stroke) return to_utf8(character);
    return std::nullopt;
}

}  // namespace fettle::profile
