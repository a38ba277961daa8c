#include "core/profile/keys.hpp"

#include <doctest/doctest.h>
#include <stdio.h>
#include <xkbcommon/xkbcommon.h>

#include <map>
#include <set>

#include "core/profile/field_table.hpp"

namespace fettle::profile {
namespace {

TEST_CASE("keys: every usage of page 07 and 0C has one name, and its name gives the usage back") {
    std::set<std::string> names;
    for (int usage = k_first_key; usage <= k_last_key; ++usage) {
        const std::string name = key_name(static_cast<uint8_t>(usage));
        CAPTURE(name);
        CHECK(names.insert(name).second);
        CHECK(key_usage(name) == static_cast<uint8_t>(usage));
    }
    names.clear();
    for (int usage = 1; usage <= k_last_consumer; ++usage) {
        const std::string name = consumer_name(static_cast<uint16_t>(usage));
        CAPTURE(name);
        CHECK(names.insert(name).second);
        CHECK(consumer_usage(name) == static_cast<uint16_t>(usage));
    }
}

TEST_CASE("keys: what is no name gives nothing") {
    for (const char* bad : {"", "A", "entr", "usage_", "usage_3", "usage_03", "usage_a5", "usage_e0",
                            "usage_0A", "usage_004"}) {
        CAPTURE(std::string(bad));
        CHECK_FALSE(key_usage(bad).has_value());
    }
    for (const char* bad : {"", "volume", "usage_000", "usage_400", "usage_ea"}) {
        CAPTURE(std::string(bad));
        CHECK_FALSE(consumer_usage(bad).has_value());
    }
    CHECK(key_usage("usage_04") == uint8_t{0x04});  // a number is accepted where a name stands, too
}

TEST_CASE("keys: modifiers are named in HID bit order") {
    CHECK(modifier_names(0x05) == std::vector<std::string>{"left_control", "left_alt"});
    CHECK(modifier_names(0xFF).size() == 8);
}

/// Linux key codes of usages 0x04 to 0x73 and 0xE0 to 0xE7; 0: none.
/// Source: Linux 6.1, drivers/hid/hid-input.c, hid_keyboard[] (the kernel's own reading of page 07).
int linux_code(int usage) {
    static const int k_low[] = {30,  48,  46,  32,  18,  33,  34,  35,  23,  36,  37, 38,  50,  49,  24,
                                25,  16,  19,  31,  20,  22,  47,  17,  45,  21,  44,  // a-z
                                2,   3,   4,   5,   6,   7,   8,   9,   10,  11,  28, 1,   14,  15,  57,
                                12,  13,  26,  27,  43,  43,  39,  40,  41,  51,  52, 53,  58,  59,  60,
                                61,  62,  63,  64,  65,  66,  67,  68,  87,  88,  99, 70,  119, 110, 102,
                                104, 111, 107, 109, 106, 105, 108, 103, 69,  98,  55, 74,  78,  96,  79,
                                80,  81,  75,  76,  77,  71,  72,  73,  82,  83,  86, 127, 116, 117, 183,
                                184, 185, 186, 187, 188, 189, 190, 191, 192, 193, 194};
    static const int k_modifiers[] = {29, 42, 56, 125, 97, 54, 100, 126};
    if (usage >= 0xE0 && usage <= 0xE7) return k_modifiers[usage - 0xE0];
    const int index = usage - 0x04;
    return index >= 0 && index < static_cast<int>(sizeof k_low / sizeof *k_low) ? k_low[index] : 0;
}

/// What each of our names means, as an X keysym of the US layout without modifiers.
/// Source: X11 keysym names (X11/keysymdef.h).
const std::map<std::string, std::string> k_keysyms = {{"enter", "Return"},
                                                      {"escape", "Escape"},
                                                      {"backspace", "BackSpace"},
                                                      {"tab", "Tab"},
                                                      {"space", "space"},
                                                      {"minus", "minus"},
                                                      {"equal", "equal"},
                                                      {"left_bracket", "bracketleft"},
                                                      {"right_bracket", "bracketright"},
                                                      {"backslash", "backslash"},
                                                      {"semicolon", "semicolon"},
                                                      {"quote", "apostrophe"},
                                                      {"grave", "grave"},
                                                      {"comma", "comma"},
                                                      {"period", "period"},
                                                      {"slash", "slash"},
                                                      {"caps_lock", "Caps_Lock"},
                                                      {"print_screen", "Print"},
                                                      {"scroll_lock", "Scroll_Lock"},
                                                      {"pause", "Pause"},
                                                      {"insert", "Insert"},
                                                      {"home", "Home"},
                                                      {"page_up", "Prior"},
                                                      {"delete", "Delete"},
                                                      {"end", "End"},
                                                      {"page_down", "Next"},
                                                      {"right", "Right"},
                                                      {"left", "Left"},
                                                      {"down", "Down"},
                                                      {"up", "Up"},
                                                      {"num_lock", "Num_Lock"},
                                                      {"keypad_divide", "KP_Divide"},
                                                      {"keypad_multiply", "KP_Multiply"},
                                                      {"keypad_subtract", "KP_Subtract"},
                                                      {"keypad_add", "KP_Add"},
                                                      {"keypad_enter", "KP_Enter"},
                                                      {"keypad_1", "KP_End"},
                                                      {"keypad_2", "KP_Down"},
                                                      {"keypad_3", "KP_Next"},
                                                      {"keypad_4", "KP_Left"},
                                                      {"keypad_5", "KP_Begin"},
                                                      {"keypad_6", "KP_Right"},
                                                      {"keypad_7", "KP_Home"},
                                                      {"keypad_8", "KP_Up"},
                                                      {"keypad_9", "KP_Prior"},
                                                      {"keypad_0", "KP_Insert"},
                                                      {"keypad_decimal", "KP_Delete"},
                                                      {"non_us_backslash", "less"},
                                                      {"application", "Menu"},
                                                      {"power", "XF86PowerOff"},
                                                      {"keypad_equal", "KP_Equal"},
                                                      {"left_control", "Control_L"},
                                                      {"left_shift", "Shift_L"},
                                                      {"left_alt", "Alt_L"},
                                                      {"left_gui", "Super_L"},
                                                      {"right_control", "Control_R"},
                                                      {"right_shift", "Shift_R"},
                                                      {"right_alt", "Alt_R"},
                                                      {"right_gui", "Super_R"}};

TEST_CASE(
    "keys: 99 names and 8 modifiers mean the keysym that the kernel's table and libxkbcommon make of their "
    "usage") {
    xkb_context* context = xkb_context_new(XKB_CONTEXT_NO_FLAGS);
    const xkb_rule_names names{"evdev", "pc105", "us", "", ""};
    xkb_keymap* keymap = xkb_keymap_new_from_names(context, &names, XKB_KEYMAP_COMPILE_NO_FLAGS);
    REQUIRE(keymap != nullptr);
    int checked = 0;
    for (const NamedUsage& row : key_table()) {
        const std::string name = row.name;
        const bool is_one_letter = name.size() == 1;
        const bool is_function = name[0] == 'f' && name.size() <= 3 && name.size() > 1;
        // F13 and up are given other meanings by the evdev rules; non_us_hash is the same key as backslash.
        if (name == "non_us_hash" || row.usage >= 0x68) continue;
        std::string wanted;
        if (is_one_letter)
            wanted = name;
        else if (is_function)
            wanted = "F" + name.substr(1);
        else
            wanted = k_keysyms.at(name);
        const xkb_keysym_t* found = nullptr;
        const auto code = static_cast<xkb_keycode_t>(linux_code(row.usage) + 8);
        REQUIRE(xkb_keymap_key_get_syms_by_level(keymap, code, 0, 0, &found) > 0);
        CAPTURE(name);
        CHECK(found[0] == xkb_keysym_from_name(wanted.c_str(), XKB_KEYSYM_NO_FLAGS));
        ++checked;
    }
    CHECK(checked == 99);
    for (int bit = 0; bit < 8; ++bit) {
        const xkb_keysym_t* found = nullptr;
        const auto code = static_cast<xkb_keycode_t>(linux_code(0xE0 + bit) + 8);
        REQUIRE(xkb_keymap_key_get_syms_by_level(keymap, code, 0, 0, &found) > 0);
        const std::string wanted = k_keysyms.at(field::names::k_modifiers[bit]);
        CHECK(found[0] == xkb_keysym_from_name(wanted.c_str(), XKB_KEYSYM_NO_FLAGS));
    }
    xkb_keymap_unref(keymap);
    xkb_context_unref(context);
}

/// Our word for a legend of tshark's table; empty: the legend itself in lower case.
std::string from_legend(const std::string& legend) {
    static const std::map<std::string, std::string> k_words = {{"ENTER", "enter"},
                                                               {"Spacebar", "space"},
                                                               {"-", "minus"},
                                                               {"=", "equal"},
                                                               {"[", "left_bracket"},
                                                               {"]", "right_bracket"},
                                                               {"\\", "backslash"},
                                                               {"NonUS #/~", "non_us_hash"},
                                                               {";", "semicolon"},
                                                               {"'", "quote"},
                                                               {"`", "grave"},
                                                               {",", "comma"},
                                                               {".", "period"},
                                                               {"/", "slash"},
                                                               {"CapsLock", "caps_lock"},
                                                               {"PrintScreen", "print_screen"},
                                                               {"ScrollLock", "scroll_lock"},
                                                               {"PageUp", "page_up"},
                                                               {"PageDown", "page_down"},
                                                               {"DeleteForward", "delete"},
                                                               {"RightArrow", "right"},
                                                               {"LeftArrow", "left"},
                                                               {"DownArrow", "down"},
                                                               {"UpArrow", "up"},
                                                               {"NumLock", "num_lock"},
                                                               {"Keypad /", "keypad_divide"},
                                                               {"Keypad *", "keypad_multiply"},
                                                               {"Keypad -", "keypad_subtract"},
                                                               {"Keypad +", "keypad_add"},
                                                               {"Keypad ENTER", "keypad_enter"},
                                                               {"Keypad .", "keypad_decimal"},
                                                               {"Keypad =", "keypad_equal"},
                                                               {"NonUS \\/|", "non_us_backslash"},
                                                               {"LeftControl", "left_control"},
                                                               {"LeftShift", "left_shift"},
                                                               {"LeftAlt", "left_alt"},
                                                               {"LeftGUI", "left_gui"},
                                                               {"RightControl", "right_control"},
                                                               {"RightShift", "right_shift"},
                                                               {"RightAlt", "right_alt"},
                                                               {"RightGUI", "right_gui"}};
    if (const auto word = k_words.find(legend); word != k_words.end()) return word->second;
    std::string name = legend;
    for (char& c : name) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
        if (c == ' ') c = '_';
    }
    return name;
}

TEST_CASE(
    "keys: all 112 names and 8 modifiers of page 07 are those of tshark's table (where it is installed)") {
    // Source: Wireshark, USB HID dissector, `tshark -G values`, keyboard boot report key codes.
    FILE* pipe = popen("tshark -G values 2>/dev/null | grep usbhid.boot_report.keyboard.keycode_1", "r");
    REQUIRE(pipe != nullptr);
    std::map<int, std::string> legends;
    char line[512];
    while (fgets(line, sizeof line, pipe) != nullptr) {
        int usage = 0, at = 0;
        if (sscanf(line, "V %*s %d %n", &usage, &at) < 1 || at == 0) continue;
        std::string legend = line + at;
        while (!legend.empty() && (legend.back() == '\n' || legend.back() == '\r')) legend.pop_back();
        legends[usage] = legend;
    }
    pclose(pipe);
    if (legends.empty()) {
        MESSAGE("tshark is not installed: skipped");
        return;
    }
    int checked = 0;
    for (const NamedUsage& row : key_table()) {
        CAPTURE(row.usage);
        CHECK(from_legend(legends[row.usage]) == row.name);
        ++checked;
    }
    CHECK(checked == 112);
    for (int bit = 0; bit < 8; ++bit)
        CHECK(from_legend(legends[0xE0 + bit]) == field::names::k_modifiers[bit]);
}

TEST_CASE("keys: consumer usages have the numbers of the kernel's table") {
    // Source: Linux 6.1, drivers/hid/hid-input.c, HID_UP_CONSUMER.
    const std::pair<const char*, int> k_table[] = {{"power", 0x30},
                                                   {"sleep", 0x32},
                                                   {"menu", 0x40},
                                                   {"brightness_up", 0x6F},
                                                   {"brightness_down", 0x70},
                                                   {"channel_up", 0x9C},
                                                   {"channel_down", 0x9D},
                                                   {"play", 0xB0},
                                                   {"pause", 0xB1},
                                                   {"record", 0xB2},
                                                   {"fast_forward", 0xB3},
                                                   {"rewind", 0xB4},
                                                   {"next_track", 0xB5},
                                                   {"previous_track", 0xB6},
                                                   {"stop", 0xB7},
                                                   {"eject", 0xB8},
                                                   {"play_pause", 0xCD},
                                                   {"mute", 0xE2},
                                                   {"volume_up", 0xE9},
                                                   {"volume_down", 0xEA},
                                                   {"mail", 0x18A},
                                                   {"calculator", 0x192},
                                                   {"help", 0x1A6},
                                                   {"on_screen_keyboard", 0x1AE},
                                                   {"print", 0x208},
                                                   {"undo", 0x21A},
                                                   {"copy", 0x21B},
                                                   {"cut", 0x21C},
                                                   {"paste", 0x21D},
                                                   {"find", 0x21F},
                                                   {"search", 0x221},
                                                   {"browser_home", 0x223},
                                                   {"browser_back", 0x224},
                                                   {"browser_forward", 0x225},
                                                   {"browser_stop", 0x226},
                                                   {"browser_refresh", 0x227},
                                                   {"bookmarks", 0x22A},
                                                   {"zoom_in", 0x22D},
                                                   {"zoom_out", 0x22E}};
    for (const auto& row : k_table) {
        const std::string name = row.first;
        const auto usage = row.second;
        CAPTURE(name);
        CHECK(consumer_usage(name) == static_cast<uint16_t>(usage));
    }
}

}  // namespace
}  // namespace fettle::profile
