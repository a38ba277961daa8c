#include "app/ui/overlay.hpp"

#include <algorithm>
#include <charconv>
#include <utility>

namespace fettle::app::ui {

namespace {

std::unique_ptr<Overlay> begin(Overlay::Kind kind, std::string_view owner, std::string_view label) {
    auto overlay = std::make_unique<Overlay>();
    overlay->kind = kind;
    overlay->owner = owner;
    overlay->label = label;
    return overlay;
}

}  // namespace

std::unique_ptr<Overlay> Overlay::list(Ui&, std::string_view owner, std::string_view label,
                                       std::span<const std::string> options, int chosen) {
    auto overlay = begin(Kind::list, owner, label);
    overlay->lines.assign(options.begin(), options.end());
    overlay->chosen = chosen;
    return overlay;
}

std::unique_ptr<Overlay> Overlay::digits(Ui&, std::string_view owner, std::string_view label,
                                         std::int64_t value, const NumberRange& range) {
    auto overlay = begin(Kind::digits, owner, label);
    overlay->range = range;
    overlay->edit.most_characters = 12;
    overlay->edit.put(std::to_string(value));
    return overlay;
}

std::unique_ptr<Overlay> Overlay::letters(Ui&, std::string_view owner, std::string_view label,
                                          std::string_view value, int most_characters) {
    auto overlay = begin(Kind::letters, owner, label);
    overlay->edit.most_characters = most_characters;
    overlay->edit.put(std::string(value));
    return overlay;
}

std::unique_ptr<Overlay> Overlay::ask(Ui&, std::string_view owner, std::string_view label,
                                      std::span<const std::string> question, std::string_view yes) {
    auto overlay = begin(Kind::ask, owner, label);
    overlay->lines.assign(question.begin(), question.end());
    overlay->yes = yes;
    return overlay;
}

std::optional<Overlay::Answer> Overlay::take_answer(std::unique_ptr<Overlay>& overlay,
                                                    std::string_view owner) {
    if (!overlay || overlay->owner != owner || !overlay->answer) return std::nullopt;
    auto answer = std::move(overlay->answer);
    overlay.reset();
    return answer;
}

void Overlay::finish_with(Answer with) {
    answer = std::move(with);
    is_over = true;
}

bool Overlay::take_key(const KeyEvent& key, Navigator& navigator) {
    if (key.key == Key::escape) {
        if (!key.is_repeat) cancel();
        return true;
    }
    if (!takes_text() || key.control || key.alt) return false;
    switch (key.key) {
        case Key::left:
        case Key::right:
        case Key::up:
        case Key::down:
        case Key::tab:
        case Key::f6: is_typing = false; return false;
        case Key::space:
            if (!is_typing || kind == Kind::digits) return false;
            break;
        default: break;
    }
    if (!edit.take(key)) return false;
    is_typing = true;
    complaint.clear();
    navigator.set_focus(owner + "/done");
    return true;
}

std::string Overlay::first_focus() const {
    switch (kind) {
        case Kind::list: return owner + "/" + std::to_string(chosen >= 0 ? chosen : 0);
        case Kind::ask: return owner + "/no";
        case Kind::digits:
        case Kind::letters: return owner + "/done";
    }
    return owner;
}

void Overlay::finish_number(Ui& ui) {
    std::int64_t value = 0;
    const char* end = edit.text.data() + edit.text.size();
    const auto read = std::from_chars(edit.text.data(), end, value);
    const bool is_number = read.ec == std::errc{} && read.ptr == end;
    const bool is_off = range.zero_is_off && value == 0;
    if (!is_number || (!is_off && (value < range.least || value > range.most))) {
        complaint = ui.t(T::control_number_refused, range.least, range.most, range.unit);
        return;
    }
    const std::int64_t step = range.step > 0 ? range.step : 1;
    finish_with(Answer{0, std::clamp(value / step * step, is_off ? 0 : range.least, range.most), {}});
}

void Overlay::finish(Ui& ui) {
    if (kind == Kind::digits) return finish_number(ui);
    finish_with(Answer{0, 0, edit.text});
}

}  // namespace fettle::app::ui
