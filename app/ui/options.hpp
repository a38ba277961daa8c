#pragma once
// How this person works the window. Kept in the store's settings; changed on the screen `This window`.

#include <cstdint>

#include "app/ui/theme.hpp"
#include "app/words/texts.hpp"

namespace fettle::app::ui {

enum class ScanStart : std::uint8_t { at_once, on_switch };

struct Options {
    Language language = Language::english;
    ThemeName theme = ThemeName::dark;
    int scale_percent = 100;  ///< 100 to 300
    bool shows_call_list = false;
    bool scans = false;         ///< one-switch scanning: Space or Enter is the switch
    int scan_period_ms = 1500;  ///< 400 to 10000: nothing changes faster than 3 times a second
    int scan_first_ms = 1000;   ///< more for the first place of a round; 0 to 10000
    int scan_rounds = 3;        ///< before it rests until the switch is pressed; 0: goes on
    ScanStart scan_start = ScanStart::on_switch;
    int lit_ms = 350;  ///< what a press lights stays lit at least; 350 to 5000
    int tap_ms = 150;  ///< how long a hand's control is held when it was only activated
    bool operator==(const Options&) const = default;
};

}  // namespace fettle::app::ui
