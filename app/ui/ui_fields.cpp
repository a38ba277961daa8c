// Controls that open something or take the keys: choices, numbers, texts, keys, places to draw.
#include <imgui.h>

#include <algorithm>

#include "app/ui/imgui_compat.hpp"
#include "app/ui/overlay.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

std::optional<int> Ui::choice(std::string_view id, std::string_view label,
                              std::span<const std::string> options, int chosen, bool is_enabled) {
    const bool is_any = chosen >= 0 && static_cast<std::size_t>(chosen) < options.size();
    const std::string shown = is_any ? options[static_cast<std::size_t>(chosen)] : "";
    float wide = text_size(label, -1).x;
    for (const std::string& one : options) wide = std::max(wide, text_size(one, -1).x + 4 * pad());
    wide = std::clamp(wide + 2 * pad(), target(), std::max(target(), width()));
    bool was_activated = false;
    labelled(label, wide, [&] {
        const Placed placed =
            place(id, Role::choice, label, shown, wide, high(shown, wide - 6 * pad()), is_enabled);
        Face drawn = face(placed, shown, Look::plain, false);
        drawn.right_px = 4 * pad();
        draw_face(placed, drawn);
        const Rect& r = placed.rect;
        const float s = pad() * 0.7f;
        const ImVec2 c(r.right() - 2 * pad(), r.y + r.h / 2);
        ImGui::GetWindowDrawList()->AddTriangleFilled(
            ImVec2(c.x - s, c.y - s * 0.6f), ImVec2(c.x + s, c.y - s * 0.6f), ImVec2(c.x, c.y + s * 0.8f),
            to_im(theme().control_text));
        was_activated = placed.was_activated;
    });
    if (was_activated) overlay_ = Overlay::list(*this, id, label, options, chosen);
    if (auto done = Overlay::take_answer(overlay_, id)) return done->index;
    return std::nullopt;
}

namespace {

std::string number_words(const Ui& ui, std::int64_t value, const NumberRange& range) {
    if (range.zero_is_off && value == 0) return ui.t(T::control_off);
    return std::to_string(value) + (range.unit.empty() ? "" : " " + range.unit);
}

/// About a twentieth of the value, as 1, 2 or 5 times a power of ten, never finer than the range's own step.
std::int64_t nudge(std::int64_t value, const NumberRange& range) {
    const std::int64_t about = std::max<std::int64_t>(std::abs(value) / 20, 1);
    std::int64_t power = 1;
    while (power * 10 <= about) power *= 10;
    const std::int64_t nice = about >= 5 * power ? 5 * power : about >= 2 * power ? 2 * power : power;
    const std::int64_t step = std::max<std::int64_t>(range.step, 1);
    return std::max(step, nice / step * step);
}

std::int64_t stepped(std::int64_t value, const NumberRange& range, bool is_more) {
    const std::int64_t by = nudge(value, range);
    std::int64_t next = is_more ? value + by : value - by;
    if (range.zero_is_off && !is_more && next < range.least) return 0;
    return std::clamp(next, range.least, range.most);
}

}  // namespace

std::optional<std::int64_t> Ui::number(std::string_view id, std::string_view label, std::int64_t value,
                                       const NumberRange& range, bool is_enabled) {
    const std::string key(id), words(label);
    const std::string shown = number_words(*this, value, range);
    const float most = width();
    const float inner = std::max({fit(number_words(*this, range.most, range), most),
                                  fit(number_words(*this, range.least, range), most), fit(shown, most)});
    const float side = std::max(fit(t(T::control_less), most), fit(t(T::control_more), most));
    const float spacing = ImGui::GetStyle().ItemSpacing.x;
    const float whole = inner + 2 * side + 2 * spacing;
    std::optional<std::int64_t> answer;
    labelled(label, std::min(whole, width()), [&] {
        row();
        const auto part = [&](const std::string& part_id, const std::string& said, const char* drawn,
                              bool can) {
            const Placed placed = place(part_id, Role::button, said, "", side, high(drawn, side - 2 * pad()),
                                        is_enabled && can);
            Face look = face(placed, drawn, Look::plain, false);
            look.is_centred = true;
            draw_face(placed, look);
            return placed.was_activated;
        };
        const bool can_less = value > range.least || (range.zero_is_off && value != 0);
        if (part(key + ".less", words + ": " + t(T::control_less), t(T::control_less), can_less))
            answer = stepped(value, range, false);
        const Placed placed =
            place(id, Role::number, label, shown, inner, high(shown, inner - 2 * pad()), is_enabled);
        Face look = face(placed, shown, Look::plain, false);
        look.is_centred = true;
        draw_face(placed, look);
        if (part(key + ".more", words + ": " + t(T::control_more), t(T::control_more), value < range.most))
            answer = stepped(value, range, true);
        end_row();
        if (placed.was_activated) overlay_ = Overlay::digits(*this, id, label, value, range);
    });
    if (auto done = Overlay::take_answer(overlay_, id)) return done->number;
    return answer;
}

std::optional<std::string> Ui::text_field(std::string_view id, std::string_view label, std::string_view value,
                                          int most_characters, bool is_enabled) {
    const float wide =
        std::min(width(), std::max({text_size(label, -1).x, fit(value, 1e6f), 14 * ImGui::GetFontSize()}));
    bool was_activated = false;
    labelled(label, wide, [&] {
        const Placed placed =
            place(id, Role::text_field, label, value, wide, high(value, wide - 2 * pad()), is_enabled);
        Face drawn = face(placed, value, Look::plain, false);
        drawn.ground = theme().plot;
        drawn.text = theme().text;
        draw_face(placed, drawn);
        was_activated = placed.was_activated;
    });
    if (was_activated) overlay_ = Overlay::letters(*this, id, label, value, most_characters);
    if (auto done = Overlay::take_answer(overlay_, id)) return done->text;
    return std::nullopt;
}

namespace {

constexpr std::uint8_t k_first_modifier = 0xE0;  // HID usage tables, keyboard page: left Control
constexpr std::uint8_t k_last_modifier = 0xE7;

bool is_modifier(const KeyEvent& key) {
    return key.usage >= k_first_modifier && key.usage <= k_last_modifier;
}

}  // namespace

std::optional<KeyEvent> Ui::key_catcher(std::string_view id, std::string_view label) {
    const bool was_entered = entered_ == id;
    const std::string shown = was_entered ? t(T::control_press_a_key) : std::string(label);
    const float wide =
        std::max(fit(label, width()), std::min(width(), fit(t(T::control_press_a_key), width())));
    const float tall =
        std::max(high(label, wide - 2 * pad()), high(t(T::control_press_a_key), wide - 2 * pad()));
    const Placed placed =
        place(id, Role::button, label, was_entered ? shown : "", wide, tall, true, was_entered);
    Face drawn = face(placed, shown, Look::plain, was_entered);
    drawn.is_centred = true;
    draw_face(placed, drawn);
    std::optional<KeyEvent> caught;
    if (was_entered)
        for (const KeyEvent& key : entered_keys_)
            if (!caught && entered_ == id) caught = catch_key(key);
    if (caught) entered_.clear();
    if (!was_entered && placed.was_activated) {
        entered_ = id;
        catcher_escape_.clear();
        catcher_alone_ = 0;
    }
    return caught;
}

std::optional<KeyEvent> Ui::catch_key(const KeyEvent& key) {
    if (key.is_repeat) return std::nullopt;
    if (key.is_down && is_modifier(key)) {
        catcher_alone_ = key.usage;  // with another key it belongs to that; alone it counts when it goes up
        return std::nullopt;
    }
    if (!key.is_down) {
        if (catcher_alone_ == 0 || key.usage != catcher_alone_) return std::nullopt;
        KeyEvent alone = key;
        alone.is_down = true;
        return alone;
    }
    catcher_alone_ = 0;
    if (key.key != Key::escape) return key;
    if (!catcher_escape_.empty()) entered_.clear();
    catcher_escape_ = entered_;
    return std::nullopt;
}

std::optional<int> Ui::sign_choice(std::string_view id, std::string_view label,
                                   std::span<const std::string> options, int chosen, float width_px) {
    const bool is_any = chosen >= 0 && static_cast<std::size_t>(chosen) < options.size();
    const std::string shown = is_any ? options[static_cast<std::size_t>(chosen)] : "";
    if (sign_button(id, std::string(label) + (shown.empty() ? "" : ": ") + shown, shown, width_px))
        overlay_ = Overlay::list(*this, id, label, options, chosen);
    if (auto done = Overlay::take_answer(overlay_, id)) return done->index;
    return std::nullopt;
}

bool Ui::asking_sign(std::string_view id, std::string_view label, std::string_view shown, float width_px,
                     std::span<const std::string> question, std::string_view yes) {
    if (sign_button(id, label, shown, width_px)) overlay_ = Overlay::ask(*this, id, label, question, yes);
    const auto done = Overlay::take_answer(overlay_, id);
    return done && done->index == 1;
}

bool Ui::asking_button(std::string_view id, std::string_view label, std::span<const std::string> question,
                       std::string_view yes, Look look, bool is_enabled) {
    if (button(id, label, look, is_enabled)) overlay_ = Overlay::ask(*this, id, label, question, yes);
    const auto done = Overlay::take_answer(overlay_, id);
    return done && done->index == 1;
}

Canvas Ui::canvas(std::string_view id, std::string_view label, std::string_view description,
                  float height_px) {
    const float wide = width();
    const float tall = std::max(target(), height_px * std::min(scale(), 2.0f));
    const bool was_entered = entered_ == id;
    const Placed placed = place(id, Role::plot, label, description, wide, tall, true, was_entered);
    ImDrawList* draw = ImGui::GetWindowDrawList();
    const Rect& r = placed.rect;
    draw->AddRectFilled(ImVec2(r.x, r.y), ImVec2(r.right(), r.bottom()), to_im(theme().plot));
    draw->AddRect(ImVec2(r.x, r.y), ImVec2(r.right(), r.bottom()), to_im(theme().control_edge), 0, 0,
                  (was_entered ? 3 : 1) * scale());
    Canvas canvas;
    canvas.rect = r;
    canvas.draw = draw;
    canvas.is_focused = placed.is_focused;
    const bool by_pointer = placed.is_enabled && r.contains(input_.pointer);
    if (placed.was_activated && activated_ == id) {
        entered_ = id;
        canvas.was_activated = true;
    }
    canvas.is_entered = entered_ == id;
    if (was_entered) canvas.keys = entered_keys_;
    if (by_pointer) canvas.pointer = input_.pointer;
    canvas.pointer_down = placed.is_pressed;
    canvas.wheel = by_pointer && canvas.is_entered ? input_.wheel : 0;  // else the panel scrolls
    return canvas;
}

}  // namespace fettle::app::ui
