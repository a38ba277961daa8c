#include "app/shell/key_queue.hpp"

#include <string>

namespace fettle::app {

namespace {

/// Source: RFC 3629, section 3. Nothing for what is no character.
std::string utf8_of(char32_t c) {
    const auto byte = [](char32_t bits) { return static_cast<char>(static_cast<unsigned char>(bits)); };
    if (c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF)) return {};
    if (c < 0x80) return {byte(c)};
    if (c < 0x800) return {byte(0xC0 | (c >> 6)), byte(0x80 | (c & 0x3F))};
    if (c < 0x10000) return {byte(0xE0 | (c >> 12)), byte(0x80 | ((c >> 6) & 0x3F)), byte(0x80 | (c & 0x3F))};
    return {byte(0xF0 | (c >> 18)), byte(0x80 | ((c >> 12) & 0x3F)), byte(0x80 | ((c >> 6) & 0x3F)),
            byte(0x80 | (c & 0x3F))};
}

}  // namespace

void KeyQueue::on_key(KeyMeaning meaning, KeyChange change, Modifiers modifiers) {
    ui::KeyEvent event;
    event.key = meaning.key;
    event.usage = meaning.usage;
    event.is_down = change != KeyChange::up;
    event.is_repeat = change == KeyChange::repeat;
    event.shift = modifiers.shift;
    event.control = modifiers.control;
    event.alt = modifiers.alt;
    events_.push_back(std::move(event));
    may_type_ = change != KeyChange::up;
}

void KeyQueue::on_character(char32_t character) {
    const std::string text = utf8_of(character);
    if (text.empty()) return;
    if (!may_type_ || events_.empty()) {
        ui::KeyEvent event;
        event.key = character == U' ' ? ui::Key::space : ui::Key::other;
        event.text = text;
        events_.push_back(event);
        event.is_down = false;
        event.text.clear();
        events_.push_back(std::move(event));
        return;
    }
    events_.back().text += text;
    may_type_ = false;
}

}  // namespace fettle::app
