#include "app/ui/overlay.hpp"

#include <imgui.h>

#include <charconv>

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

bool Overlay::take_key(const KeyEvent& key) {
    if (key.key == Key::escape) {
        cancel();
        return true;
    }
    if (kind != Kind::letters && kind != Kind::digits) return false;
    // Arrows move the focus among the letters; the mark moves with Home and End.
    const bool moves = key.key == Key::left || key.key == Key::right;
    return !moves && key.key != Key::space && edit.take(key);
}

void Overlay::draw(Ui& ui) {
    switch (kind) {
        case Kind::list: draw_list(ui); break;
        case Kind::digits: draw_digits(ui); break;
        case Kind::letters: draw_letters(ui); break;
        case Kind::ask: draw_ask(ui); break;
    }
    ui.gap();
    if (kind != Kind::ask && ui.button(owner + "/cancel", ui.t(T::control_cancel))) cancel();
    if (is_new) {
        is_new = false;
        if (kind == Kind::list && chosen >= 0)
            ui.focus(owner + "/" + std::to_string(chosen));
        else if (kind == Kind::list)
            ui.focus(owner + "/0");
        else if (kind == Kind::ask)
            ui.focus(owner + "/no");
        else
            ui.focus(owner + "/done");
    }
}

void Overlay::draw_list(Ui& ui) {
    for (std::size_t i = 0; i < lines.size(); ++i)
        if (ui.option(owner + "/" + std::to_string(i), lines[i], static_cast<int>(i) == chosen)) {
            answer = Answer{static_cast<int>(i), 0, {}};
            is_over = true;
        }
}

void Overlay::finish_number(Ui& ui) {
    std::int64_t value = 0;
    const char* end = edit.text.data() + edit.text.size();
    const auto read = std::from_chars(edit.text.data(), end, value);
    const bool is_number = read.ec == std::errc{} && read.ptr == end;
    const bool is_off = range.zero_is_off && value == 0;
    if (!is_number || (!is_off && (value < range.least || value > range.most))) {
        complaint = ui.t(T::control_number_range, range.least, range.most, range.unit);
        return;
    }
    const std::int64_t step = range.step > 0 ? range.step : 1;
    answer = Answer{0, value / step * step, {}};
    is_over = true;
}

void Overlay::draw_digits(Ui& ui) {
    ui.fact(owner + "/value", label, edit.text + (range.unit.empty() ? "" : " " + range.unit));
    ui.live(
        owner + "/complaint", 2,
        complaint.empty() ? ui.t(T::control_number_range, range.least, range.most, range.unit) : complaint);
    ui.row();
    for (int digit = 0; digit < 10; ++digit)
        if (const std::string shown = std::to_string((digit + 1) % 10); ui.button(owner + "/" + shown, shown))
            edit.put(shown);
    if (range.least < 0 && ui.button(owner + "/minus", "-")) edit.put("-");
    if (ui.button(owner + "/erase", ui.t(T::control_erase))) edit.erase_back();
    ui.end_row();
    if (ui.button(owner + "/done", ui.t(T::control_done), Look::strong)) finish_number(ui);
}

void Overlay::draw_letters(Ui& ui) {
    ui.fact(owner + "/value", label, edit.text);
    ui.row();
    const std::string all = ui.t(T::control_letters);
    for (std::size_t i = 0; i < all.size();) {
        std::size_t next = i + 1;
        while (next < all.size() && (static_cast<unsigned char>(all[next]) & 0xC0u) == 0x80u) ++next;
        const std::string letter = all.substr(i, next - i);
        if (ui.button(owner + "/letter " + letter, letter)) edit.put(letter);
        i = next;
    }
    if (ui.button(owner + "/space", ui.t(T::control_space))) edit.put(" ");
    if (ui.button(owner + "/erase", ui.t(T::control_erase))) edit.erase_back();
    ui.end_row();
    if (ui.button(owner + "/done", ui.t(T::control_done), Look::strong)) {
        answer = Answer{0, 0, edit.text};
        is_over = true;
    }
}

void Overlay::draw_ask(Ui& ui) {
    for (const std::string& line : lines) ui.text(line);
    ui.gap();
    ui.row();
    if (ui.button(owner + "/no", ui.t(T::control_cancel))) cancel();
    if (ui.button(owner + "/yes", yes, Look::danger)) {
        answer = Answer{1, 0, {}};
        is_over = true;
    }
    ui.end_row();
}

void Ui::draw_overlay() {
    in_overlay_ = true;
    const float margin = 2 * pad();
    group(overlay_->owner, overlay_->label);
    panel("overlay", {margin, margin, input_.size.x - 2 * margin, input_.size.y - 2 * margin});
    heading(overlay_->label);
    overlay_->draw(*this);
    end_panel();
    end_group();
    in_overlay_ = false;
    if (overlay_->is_over) close_overlay();
}

void Ui::close_overlay() {
    navigator_.set_focus(overlay_->owner);
    if (!overlay_->answer) overlay_.reset();
}

}  // namespace fettle::app::ui
