// How an overlay looks: label and value on top, the choices in the middle, the ways out at the bottom.
#include <algorithm>

#include "app/ui/overlay.hpp"

namespace fettle::app::ui {

namespace {

constexpr std::size_t k_letters_a_group = 10;  // for scanning: own choice

std::size_t after(const std::string& text, std::size_t at) {
    ++at;
    while (at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0u) == 0x80u) ++at;
    return at;
}

}  // namespace

std::string Overlay::edited() const {
    std::string shown = edit.text;
    shown.insert(edit.at, "|");  // the mark
    if (!range.unit.empty() && kind == Kind::digits) shown += " " + range.unit;
    return shown;
}

float Overlay::head_px(const Ui& ui) const {
    const float line = ui.line_height() + ui.pad();
    const int rows = kind == Kind::digits ? 3 : kind == Kind::letters ? 2 : 1;
    return line * static_cast<float>(rows) + 1.5f * ui.pad();
}

void Overlay::draw_head(Ui& ui) {
    ui.title(label);
    if (!takes_text()) return;
    ui.live(owner + "/value", 1, edited());
    if (kind == Kind::digits)
        ui.live(owner + "/complaint", 1,
                complaint.empty() ? ui.t(T::control_number_range, range.least, range.most, range.unit)
                                  : complaint);
}

void Overlay::draw_body(Ui& ui) {
    switch (kind) {
        case Kind::list: draw_list(ui); break;
        case Kind::digits: draw_digits(ui); break;
        case Kind::letters: draw_letters(ui); break;
        case Kind::ask:
            for (const std::string& line : lines) ui.text(line);
            break;
    }
}

void Overlay::draw_list(Ui& ui) {
    for (std::size_t i = 0; i < lines.size(); ++i)
        if (ui.option(owner + "/" + std::to_string(i), lines[i], static_cast<int>(i) == chosen))
            finish_with(Answer{static_cast<int>(i), 0, {}});
}

void Overlay::draw_digits(Ui& ui) {
    ui.row();
    for (int digit = 1; digit <= 10; ++digit)
        if (const std::string shown = std::to_string(digit % 10); ui.button(owner + "/" + shown, shown))
            edit.put(shown);
    if (range.least < 0 && ui.button(owner + "/minus", "-")) edit.put("-");
    if (ui.button(owner + "/erase", ui.t(T::control_erase))) edit.erase_back();
    if (ui.button(owner + "/clear", ui.t(T::control_clear))) edit.clear();
    ui.end_row();
}

void Overlay::draw_letters(Ui& ui) {
    ui.row();
    const std::string all = ui.t(T::control_letters);
    ui.group(owner + "/edit", label);
    if (ui.button(owner + "/space", ui.t(T::control_space))) edit.put(" ");
    if (ui.button(owner + "/erase", ui.t(T::control_erase))) edit.erase_back();
    if (ui.button(owner + "/clear", ui.t(T::control_clear))) edit.clear();
    ui.end_group();
    std::size_t count = 0;
    for (std::size_t i = 0; i < all.size(); ++count) {
        const std::size_t next = after(all, i);
        const std::string letter = all.substr(i, next - i);
        if (count % k_letters_a_group == 0)
            ui.group(owner + "/from " + letter, ui.t(T::control_letters_from, letter));
        if (ui.button(owner + "/letter " + letter, letter)) edit.put(letter);
        i = next;
    }
    ui.end_group();
    ui.end_row();
}

void Overlay::draw_foot(Ui& ui) {
    ui.row();
    if (takes_text() && ui.button(owner + "/done", ui.t(T::control_done), Look::strong)) finish(ui);
    const char* no = kind == Kind::ask ? "/no" : "/cancel";
    if (ui.button(owner + no, ui.t(T::control_cancel))) cancel();
    if (kind == Kind::ask && ui.button(owner + "/yes", yes, Look::danger)) finish_with(Answer{1, 0, {}});
    ui.end_row();
}

void Ui::draw_overlay() {
    if (overlay_->is_new) keep_what_is_always();
    in_overlay_ = true;
    const Rect place = overlay_room_.value_or(room_);
    const float foot = target() + 2 * pad();
    const float head = overlay_->head_px(*this);
    group(overlay_->owner, overlay_->label);
    panel("overlay.head", {place.x, place.y, place.w, head}, PanelKind::plain);
    overlay_->draw_head(*this);
    end_panel();
    panel("overlay", {place.x, place.y + head, place.w, place.h - head - foot});
    if (overlay_->is_new) scroll_ = Navigator::Scroll{"overlay", -1e6f};
    group(overlay_->owner, overlay_->label);
    overlay_->draw_body(*this);
    end_panel();
    group(overlay_->owner + "/end", t(T::control_overlay_end));
    panel("overlay.foot", {place.x, place.bottom() - foot, place.w, foot}, PanelKind::plain);
    overlay_->draw_foot(*this);
    end_panel();
    end_group();
    in_overlay_ = false;
    if (overlay_->is_new) navigator_.set_focus(overlay_->first_focus());
    overlay_->is_new = false;
    more_frames_ = std::max(more_frames_, 1);
}

void Ui::follow_overlay() {
    if (!overlay_ || !overlay_->is_over) return;
    if (overlay_->frames_over++ == 0) {
        navigator_.set_focus(overlay_->owner);
        navigator_.forget_typed();
        more_frames_ = 3;
    }
    // Answered, and nobody came for the answer: its control is gone.
    if (!overlay_->answer || overlay_->frames_over > 2) overlay_.reset();
}

}  // namespace fettle::app::ui
