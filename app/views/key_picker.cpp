#include "app/views/key_picker.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <charconv>

#include "app/views/assign_parts.hpp"
#include "app/views/assign_words.hpp"
#include "core/profile/keys.hpp"

namespace fettle::app {

using namespace profile;

namespace {

constexpr int k_names_at_once = 24;
constexpr std::uint8_t k_first_modifier = 0xE0;
constexpr std::uint8_t k_last_modifier = 0xE7;

std::string lower(std::string_view text) {
    std::string out(text);
    for (char& c : out) c = static_cast<char>(std::tolower(static_cast<unsigned char>(c)));
    return out;
}

bool has(const std::string& words, const std::string& search) {
    return lower(words).find(search) != std::string::npos;
}

/// The name, and what the layout types there when that is something else.
std::string both_names(const Assign& a, std::uint8_t usage) {
    const std::string name = key_name_in(a.language(), usage);
    const std::string typed = key_in(a.language(), usage, a.layout());
    return typed == name ? name : a.ui.t(T::assign_key_types, name, typed);
}

/// Names to choose from, some at a time; the one that was chosen.
template <typename NameOf>
std::optional<std::uint16_t> names_part(Assign& a, const std::vector<std::uint16_t>& found, int now,
                                        const NameOf& name_of) {
    KeyDraft& draft = a.state.key;
    if (const auto search =
            a.ui.text_field("assign.key.search", a.t(T::assign_key_search), draft.search, 24)) {
        draft.search = *search;
        draft.first = 0;
    }
    const int count = static_cast<int>(found.size());
    draft.first = std::clamp(draft.first, 0, std::max(0, count - 1));
    const int end = std::min(count, draft.first + k_names_at_once);
    a.ui.live("assign.key.found", 1,
              a.ui.t(T::assign_key_found, count == 0 ? 0 : draft.first + 1, end, count));
    std::optional<std::uint16_t> chosen;
    a.ui.row();
    if (a.ui.button("assign.key.earlier", a.t(T::assign_earlier), ui::Look::plain, draft.first > 0))
        draft.first = std::max(0, draft.first - k_names_at_once);
    if (a.ui.button("assign.key.later", a.t(T::assign_later), ui::Look::plain, end < count))
        draft.first = end;
    a.ui.end_row();
    a.ui.row();
    for (int i = std::min(draft.first, end); i < end; ++i) {
        const std::uint16_t usage = found[static_cast<std::size_t>(i)];
        if (a.ui.option(fmt::format("assign.key.name/{:02x}", usage), name_of(usage), usage == now))
            chosen = usage;
    }
    a.ui.end_row();
    return chosen;
}

std::optional<std::uint16_t> number_part(Assign& a, std::uint16_t now, std::uint16_t least,
                                         std::uint16_t most) {
    KeyDraft& draft = a.state.key;
    const std::string shown = now == 0 ? std::string{} : fmt::format("0x{:02x}", now);
    std::optional<std::uint16_t> chosen;
    if (const auto text = a.ui.text_field("assign.key.number", a.t(T::assign_key_number), shown, 6)) {
        chosen = usage_number(*text, least, most);
        draft.is_number_wrong = !chosen;
    }
    const std::string range = fmt::format("0x{:02x}", least), to = fmt::format("0x{:02x}", most);
    a.ui.live(
        "assign.key.number_range", 1,
        a.ui.t(draft.is_number_wrong ? T::assign_key_number_wrong : T::assign_key_number_range, range, to));
    return chosen;
}

void modifiers_part(Assign& a) {
    KeyDraft& draft = a.state.key;
    a.ui.text(a.t(T::assign_modifiers));
    a.ui.row();
    for (int bit = 0; bit < 8; ++bit) {
        const auto mask = static_cast<std::uint8_t>(1 << bit);
        if (a.ui.toggle("assign.key.modifier/" + std::to_string(bit), modifier_in(a.language(), bit),
                        (draft.stroke.modifiers & mask) != 0))
            draft.stroke.modifiers = static_cast<std::uint8_t>(draft.stroke.modifiers ^ mask);
    }
    a.ui.end_row();
}

void set_key(Assign& a, std::uint8_t usage) {
    a.state.key.stroke.usage = usage;
    a.state.key.is_number_wrong = false;
}

/// Gives the chosen key to what it is for.
bool use_key(Assign& a) {
    const KeyDraft& draft = a.state.key;
    const AssignPlace& at = a.at();
    switch (draft.what) {
        case KeyFor::action: {
            Chord chord{draft.stroke, draft.hold, {}};
            const auto now = action_at(a.profile(), at);
            if (const auto* old = now ? std::get_if<Chord>(&*now) : nullptr) chord.repeat = old->repeat;
            if (chord.hold != ChordHold::repeated) chord.repeat.clear();
            if (chord.hold == ChordHold::repeated && chord.repeat.empty()) {
                const bool has_one = !a.profile().repeats.empty();
                chord.repeat = has_one ? a.profile().repeats[0].name : "repeat1";
                if (!has_one && !a.edit(edit::PutRepeat{Repeat{"repeat1"}})) return false;
            }
            return a.edit(edit::SetAction{at.mode, at.input, at.gesture, chord});
        }
        case KeyFor::text_part: {
            const Text* text = find_named(a.profile().texts, at.text);
            if (text == nullptr) return false;
            edit::PutText change{*text};
            const auto part = static_cast<std::size_t>(at.part);
            if (part < change.text.parts.size())
                change.text.parts[part] = draft.stroke;
            else
                change.text.parts.emplace_back(draft.stroke);
            return a.edit(change);
        }
        case KeyFor::grid_cell: {
            edit::SetGrid change{a.profile().grid};
            change.grid.rows.at(static_cast<std::size_t>(at.row)).at(static_cast<std::size_t>(at.column)) =
                draft.stroke;
            return a.edit(change);
        }
    }
    return false;
}

/// Back to where the action is edited: past the page where its kind was picked.
void leave(Assign& a) {
    a.back();
    if (!a.state.before.empty() && a.state.before.back().page == AssignPage::pick) a.state.before.pop_back();
}

}  // namespace

std::optional<Stroke> caught_stroke(const ui::KeyEvent& event) {
    if (event.usage >= k_first_modifier && event.usage <= k_last_modifier)
        return Stroke{static_cast<std::uint8_t>(1u << (event.usage - k_first_modifier)), 0};
    if (event.usage < k_first_key || event.usage > k_last_key) return std::nullopt;
    const int modifiers = (event.control ? 0x01 : 0) | (event.shift ? 0x02 : 0) | (event.alt ? 0x04 : 0);
    return Stroke{static_cast<std::uint8_t>(modifiers), event.usage};
}

std::vector<std::uint16_t> found_keys(Language language, std::string_view search,
                                      const StrokeSource* layout) {
    std::vector<std::uint16_t> found;
    const std::string words = lower(search);
    for (const NamedUsage& one : key_table()) {
        const auto usage = static_cast<std::uint8_t>(one.usage);
        if (has(key_name_in(language, usage), words) || has(one.name, words) ||
            has(key_in(language, usage, layout), words))
            found.push_back(one.usage);
    }
    return found;
}

std::vector<std::uint16_t> found_media(Language language, std::string_view search) {
    std::vector<std::uint16_t> found;
    const std::string words = lower(search);
    for (const NamedUsage& one : consumer_table())
        if (has(media_in(language, one.usage), words) || has(one.name, words)) found.push_back(one.usage);
    return found;
}

std::optional<std::uint16_t> usage_number(std::string_view text, std::uint16_t least, std::uint16_t most) {
    if (text.starts_with("0x") || text.starts_with("0X")) text.remove_prefix(2);
    std::uint16_t value = 0;
    const auto read = std::from_chars(text.data(), text.data() + text.size(), value, 16);
    const bool is_good = read.ec == std::errc{} && read.ptr == text.data() + text.size();
    if (!is_good || value < least || value > most) return std::nullopt;
    return value;
}

void key_page(Assign& a) {
    KeyDraft& draft = a.state.key;
    a.head(a.t(T::assign_key_title));
    a.complaint();
    const bool is_any = draft.what == KeyFor::action ? !(draft.stroke == Stroke{}) : draft.stroke.usage != 0;
    a.ui.fact("assign.key.now", a.t(T::assign_key),
              is_any ? stroke_in(a.language(), draft.stroke, a.layout()) : a.t(T::assign_key_none));
    const auto typed = a.layout() == nullptr ? std::nullopt : a.layout()->text_for(draft.stroke);
    a.ui.fact("assign.key.typed", a.t(T::assign_key_typed),
              a.layout() == nullptr ? a.t(T::assign_layout_unknown)
              : typed               ? "\"" + *typed + "\""
                                    : a.t(T::assign_key_types_nothing));
    if (a.ui.button("assign.key.use", a.t(T::assign_key_use), ui::Look::strong, is_any) && use_key(a))
        leave(a);
    a.ui.group("assign.key.press", a.t(T::assign_key_by_pressing));
    a.ui.heading(a.t(T::assign_key_by_pressing));
    if (const auto event = a.ui.key_catcher("assign.key.catch", a.t(T::assign_key_press)))
        if (const auto caught = caught_stroke(*event)) draft.stroke = *caught;
    modifiers_part(a);
    a.ui.end_group();
    a.ui.group("assign.key.names", a.t(T::assign_key_by_name));
    a.ui.heading(a.t(T::assign_key_by_name));
    if (const auto usage =
            names_part(a, found_keys(a.language(), draft.search, a.layout()), draft.stroke.usage,
                       [&](std::uint16_t u) { return both_names(a, static_cast<std::uint8_t>(u)); }))
        set_key(a, static_cast<std::uint8_t>(*usage));
    a.ui.end_group();
    a.ui.group("assign.key.numbers", a.t(T::assign_key_by_number));
    a.ui.heading(a.t(T::assign_key_by_number));
    if (const auto usage = number_part(a, draft.stroke.usage, k_first_key, k_last_key))
        set_key(a, static_cast<std::uint8_t>(*usage));
    a.ui.end_group();
}

void media_page(Assign& a) {
    KeyDraft& draft = a.state.key;
    a.head(a.t(T::assign_media_title));
    a.complaint();
    a.ui.fact("assign.key.now", a.t(T::assign_media),
              draft.media != 0 ? media_in(a.language(), draft.media) : a.t(T::assign_key_none));
    if (a.ui.button("assign.key.use", a.t(T::assign_key_use), ui::Look::strong, draft.media != 0)) {
        const auto now = action_at(a.profile(), a.at());
        const auto* old = now ? std::get_if<Consumer>(&*now) : nullptr;
        const Consumer media{draft.media, old != nullptr && old->is_held};
        if (a.edit(edit::SetAction{a.at().mode, a.at().input, a.at().gesture, media})) leave(a);
    }
    a.ui.group("assign.key.names", a.t(T::assign_key_by_name));
    a.ui.heading(a.t(T::assign_key_by_name));
    if (const auto usage = names_part(a, found_media(a.language(), draft.search), draft.media,
                                      [&](std::uint16_t u) { return media_in(a.language(), u); }))
        draft.media = *usage;
    a.ui.end_group();
    a.ui.group("assign.key.numbers", a.t(T::assign_key_by_number));
    a.ui.heading(a.t(T::assign_key_by_number));
    if (const auto usage = number_part(a, draft.media, 1, k_last_consumer)) draft.media = *usage;
    a.ui.end_group();
}

}  // namespace fettle::app
