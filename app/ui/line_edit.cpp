#include "app/ui/line_edit.hpp"

namespace fettle::app::ui {

namespace {

bool continues(char byte) {
    return (static_cast<unsigned char>(byte) & 0xC0u) == 0x80u;
}

std::size_t before(const std::string& text, std::size_t at) {
    if (at == 0) return 0;
    --at;
    while (at > 0 && continues(text[at])) --at;
    return at;
}

std::size_t after(const std::string& text, std::size_t at) {
    if (at >= text.size()) return text.size();
    ++at;
    while (at < text.size() && continues(text[at])) ++at;
    return at;
}

int count(const std::string& text) {
    int characters = 0;
    for (const char byte : text) characters += continues(byte) ? 0 : 1;
    return characters;
}

}  // namespace

int LineEdit::characters() const {
    return count(text);
}

void LineEdit::put(const std::string& utf8) {
    for (std::size_t i = 0; i < utf8.size();) {
        const std::size_t next = after(utf8, i);
        const auto first = static_cast<unsigned char>(utf8[i]);
        if (characters() < most_characters && first >= 0x20 && first != 0x7F) {
            text.insert(at, utf8, i, next - i);
            at += next - i;
        }
        i = next;
    }
}

void LineEdit::erase_back() {
    const std::size_t from = before(text, at);
    text.erase(from, at - from);
    at = from;
}

void LineEdit::clear() {
    text.clear();
    at = 0;
}

bool LineEdit::take(const KeyEvent& key) {
    if (!key.is_down || key.control || key.alt) return false;
    switch (key.key) {
        case Key::backspace: erase_back(); return true;
        case Key::erase: text.erase(at, after(text, at) - at); return true;
        case Key::left: at = before(text, at); return true;
        case Key::right: at = after(text, at); return true;
        case Key::home: at = 0; return true;
        case Key::end: at = text.size(); return true;
        default: break;
    }
    if (key.text.empty() || key.key == Key::enter || key.key == Key::tab || key.key == Key::escape)
        return false;
    put(key.text);
    return true;
}

}  // namespace fettle::app::ui
