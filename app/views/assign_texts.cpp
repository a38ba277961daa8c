// Texts that one press types, piece by piece: characters through the person's keyboard layout, and keys that
// no text can say. What the layout cannot type is named at once.
#include <algorithm>

#include "app/views/assign_marks.hpp"
#include "app/views/assign_words.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr int k_text_characters = 200;

std::string words_of(const Assign& a, const Text& text) {
    std::string words;
    for (const TextPart& part : text.parts) {
        if (!words.empty()) words += " ";
        if (const auto* piece = std::get_if<std::string>(&part))
            words += "\"" + *piece + "\"";
        else
            words += "[" + stroke_in(a.language(), std::get<Stroke>(part), a.layout()) + "]";
    }
    return words;
}

/// The characters, each once, that the layout cannot type.
std::string missing_in(const std::string& piece, const StrokeSource& layout) {
    std::string missing;
    for (std::size_t at = 0; at < piece.size();) {
        std::size_t next = at + 1;
        while (next < piece.size() && (static_cast<unsigned char>(piece[next]) & 0xC0u) == 0x80u) ++next;
        const std::string one = piece.substr(at, next - at);
        if (!layout.strokes_for(one) && missing.find(one) == std::string::npos)
            missing += (missing.empty() ? "" : " ") + one;
        at = next;
    }
    return missing;
}

void typable_note(Assign& a, const std::string& piece) {
    if (a.layout() == nullptr) return a.ui.note(ui::NoteKind::warning, a.t(T::assign_layout_unknown));
    const std::string missing = missing_in(piece, *a.layout());
    if (!missing.empty())
        a.ui.note(ui::NoteKind::problem,
                  a.ui.t(T::assign_cannot_type, a.profile().keyboard_layout.layout, missing));
}

void part_row(Assign& a, const Text& text, std::size_t i) {
    edit::PutText change{text};
    const std::string id = "assign.part/" + std::to_string(i);
    a.ui.row();
    if (const auto* piece = std::get_if<std::string>(&text.parts[i])) {
        const auto next = a.ui.text_field(id, a.ui.t(T::assign_part, i + 1), *piece, k_text_characters);
        if (next && !next->empty()) {
            change.text.parts[i] = *next;
            a.edit(change);
        }
    } else {
        const Stroke stroke = std::get<Stroke>(text.parts[i]);
        if (a.ui.button(id, a.ui.t(T::assign_part_key, i + 1, stroke_in(a.language(), stroke, a.layout())))) {
            a.state.key = {};
            a.state.key.what = KeyFor::text_part;
            a.state.key.stroke = stroke;
            AssignPlace to = a.at();
            to.page = AssignPage::key;
            to.part = static_cast<int>(i);
            a.go(to);
        }
    }
    if (a.ui.button(id + ".remove", a.ui.t(T::assign_part_remove, i + 1), ui::Look::plain,
                    text.parts.size() > 1)) {
        change.text.parts.erase(change.text.parts.begin() + static_cast<std::ptrdiff_t>(i));
        a.edit(change);
    }
    a.ui.end_row();
    if (const auto* piece = std::get_if<std::string>(&text.parts[i])) typable_note(a, *piece);
}

void more_parts(Assign& a, const Text& text) {
    a.ui.row();
    if (const auto piece = a.ui.text_field("assign.part_new", a.t(T::assign_part_new), "", k_text_characters);
        piece && !piece->empty()) {
        edit::PutText change{text};
        change.text.parts.emplace_back(*piece);
        a.edit(change);
    }
    if (a.ui.button("assign.part_new_key", a.t(T::assign_part_new_key))) {
        a.state.key = {};
        a.state.key.what = KeyFor::text_part;
        AssignPlace to = a.at();
        to.page = AssignPage::key;
        to.part = static_cast<int>(text.parts.size());
        a.go(to);
    }
    a.ui.end_row();
}

void new_text(Assign& a) {
    const auto words = a.ui.text_field("assign.text_new", a.t(T::assign_text_new), "", k_text_characters);
    if (!words || words->empty()) return;
    const std::string name = free_name(a.profile().texts, "text");
    if (!a.edit(edit::PutText{Text{name, {*words}}})) return;
    if (!a.state.new_text_is_for_cell) return;
    const AssignPlace& at = a.at();
    if (!a.edit(edit::SetAction{at.mode, at.input, at.gesture, TypeText{name}})) return;
    a.back();
    if (!a.state.before.empty() && a.state.before.back().page == AssignPage::pick) a.state.before.pop_back();
}

}  // namespace

void texts_page(Assign& a) {
    if (a.at().input.empty()) a.state.new_text_is_for_cell = false;
    a.head(a.t(T::assign_texts));
    a.complaint();
    a.ui.fact("assign.texts.layout", a.t(T::assign_layout), a.profile().keyboard_layout.layout);
    a.ui.group("assign.texts", a.t(T::assign_texts));
    for (const Text& text : a.profile().texts)
        if (a.ui.button("assign.text/" + text.name, text.name + ": " + words_of(a, text))) {
            AssignPlace to;
            to.page = AssignPage::text;
            to.text = text.name;
            a.go(to);
        }
    new_text(a);
    a.ui.end_group();
}

void text_page(Assign& a) {
    const std::string name = a.at().text;
    const Text& text = *find_named(a.profile().texts, name);
    a.head(a.ui.t(T::assign_text_named, name));
    a.complaint();
    a.ui.fact("assign.text.words", a.t(T::assign_text_types), words_of(a, text));
    a.ui.group("assign.text", a.ui.t(T::assign_text_named, name));
    if (const auto to = a.ui.text_field("assign.text.name", a.t(T::assign_name), name, 32);
        to && *to != name && a.edit(edit::Rename{edit::Named::text, name, *to}))
        a.state.at.text = *to;
    for (std::size_t i = 0; i < text.parts.size(); ++i) part_row(a, text, i);
    more_parts(a, text);
    const std::vector<std::string> question = {a.ui.t(T::assign_text_remove_ask, name)};
    if (a.ui.asking_button("assign.text.remove", a.t(T::assign_remove), question, a.t(T::assign_remove)) &&
        a.edit(edit::RemoveNamed{edit::Named::text, name}))
        a.back();
    a.ui.end_group();
    findings_part(a, [&](const Finding& f) {
        const FindingPlace place = place_of(a.profile(), f);
        return (place.spot == Spot::text && place.name == name) || place.spot == Spot::layout;
    });
}

}  // namespace fettle::app
