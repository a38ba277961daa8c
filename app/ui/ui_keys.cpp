// Keys: each goes to the one thing that wants it. One activation a frame; the rest waits for the next.
#include "app/ui/overlay.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

namespace {

constexpr std::uint8_t k_keypad_1 = 0x59;  // HID usage tables, keyboard page: keypad 1 to 9, then 0
constexpr std::uint8_t k_keypad_0 = 0x62;

bool is_select(const KeyEvent& key) {
    return key.key == Key::enter || key.key == Key::space;
}

/// Keys that work whatever is open.
bool is_always(const KeyEvent& key) {
    return key.key == Key::f9 || key.key == Key::f2;
}

/// A digit of any row of keys, Num Lock or not; -1: none.
int digit_of(const KeyEvent& key) {
    if (key.text.size() == 1 && key.text[0] >= '0' && key.text[0] <= '9') return key.text[0] - '0';
    if (!key.text.empty()) return -1;
    if (key.usage == k_keypad_0) return 0;
    if (key.usage >= k_keypad_1 && key.usage < k_keypad_0) return key.usage - k_keypad_1 + 1;
    return -1;
}

}  // namespace

void Ui::take_keys() {
    if (keys_wait_ || shown_.controls.empty()) return;
    while (!keys_.empty()) {
        const KeyEvent key = keys_.front();
        keys_.pop_front();
        if (take_one(key)) return;
    }
}

bool Ui::take_one(const KeyEvent& key) {
    if (!key.is_down) {
        if (!held_.empty() && is_select(key)) {
            held_.clear();
            return true;
        }
        if (!entered_.empty()) entered_keys_.push_back(key);
        return false;
    }
    if (is_always(key) && !key.is_repeat) frame_keys_.push_back(key);
    if (is_always(key) && entered_.empty()) return false;
    if (has_open_overlay()) {
        if (options_.scans && is_select(key)) return take_switch(key);
        if (options_.shows_call_list && overlay_->kind != Overlay::Kind::digits && digit_of(key) >= 0)
            return take_digit(key);
        if (overlay_->take_key(key, navigator_)) return true;
    }
    if (!entered_.empty()) return take_entered(key);
    return take_navigation(key);
}

bool Ui::take_entered(const KeyEvent& key) {
    const Control* control = shown_.find(entered_);
    const bool is_plot = control != nullptr && control->role == Role::plot;
    if (!is_plot) {
        entered_keys_.push_back(key);
        return true;
    }
    if (key.key == Key::escape || is_select(key)) {
        if (!key.is_repeat) entered_.clear();
        return true;
    }
    if (key.key == Key::tab || key.key == Key::f6) {
        entered_.clear();
        return take_navigation(key);
    }
    if (key.control || key.alt) frame_keys_.push_back(key);
    entered_keys_.push_back(key);
    return false;
}

bool Ui::take_digit(const KeyEvent& key) {
    if (key.is_repeat) return false;
    const int digit = digit_of(key);
    if (digit == 0 && navigator_.typed().empty()) return activate("calls.more");
    const auto id = navigator_.digit(shown_, digit);
    return id && activate(*id);
}

bool Ui::take_switch(const KeyEvent& key) {
    if (key.is_repeat) return false;
    scan_event(ScanEvent::press);
    return !activated_.empty() || !held_.empty();
}

bool Ui::take_navigation(const KeyEvent& key) {
    if (key.control || key.alt) {
        frame_keys_.push_back(key);
        return false;
    }
    if (options_.shows_call_list && digit_of(key) >= 0) return take_digit(key);
    switch (key.key) {
        case Key::tab: navigator_.step(shown_, key.shift); return false;
        case Key::f6: navigator_.step_panel(shown_, key.shift); return false;
        case Key::left: navigator_.move(shown_, Way::left); return false;
        case Key::right: navigator_.move(shown_, Way::right); return false;
        case Key::up: navigator_.move(shown_, Way::up); return !scroll_now();
        case Key::down: navigator_.move(shown_, Way::down); return !scroll_now();
        case Key::page_up: page(-1); return false;
        case Key::page_down: page(1); return false;
        case Key::escape:
            if (navigator_.typed().empty()) frame_keys_.push_back(key);
            navigator_.forget_typed();
            return false;
        case Key::enter:
        case Key::space:
            if (options_.scans) return take_switch(key);
            if (key.is_repeat) return false;
            if (auto id = navigator_.finish_number(shown_)) return activate(*id);
            return select();
        default: frame_keys_.push_back(key); return false;
    }
}

bool Ui::select() {
    const Control* control = shown_.find(navigator_.focus());
    if (control == nullptr || !control->is_enabled) return false;
    if (control->role == Role::hold) {
        held_ = control->id;
        return true;
    }
    return activate(control->id);
}

bool Ui::scroll_now() {
    auto wish = navigator_.take_scroll();
    if (!wish) return true;
    scroll_ = wish;
    more_frames_ = 2;
    return false;
}

void Ui::page(int by) {
    const Control* control = shown_.find(navigator_.focus());
    const Panel* panel = control == nullptr ? nullptr : shown_.find_panel(control->panel);
    if (panel == nullptr || panel->most_scroll <= 0) panel = shown_.find_panel("content");
    if (panel == nullptr) return;
    scroll_ = Navigator::Scroll{panel->id, static_cast<float>(by) * 0.75f * panel->rect.h};
    more_frames_ = 2;
}

bool Ui::take_key(Key key, bool control) {
    if (has_open_overlay() && key != Key::f9 && key != Key::f2) return false;
    for (auto it = frame_keys_.begin(); it != frame_keys_.end(); ++it)
        if (it->key == key && it->control == control) {
            frame_keys_.erase(it);
            return true;
        }
    return false;
}

}  // namespace fettle::app::ui
