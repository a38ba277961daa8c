#include "app/words/change_words.hpp"

#include <algorithm>
#include <array>
#include <string_view>
#include <utility>

#include "app/words/plain_text.hpp"

namespace fettle::app {

namespace {

constexpr std::array<std::pair<std::string_view, T>, 11> k_sections{{{"inputs", T::change_inputs},
                                                                     {"modes", T::change_modes},
                                                                     {"rule_sets", T::change_rule_sets},
                                                                     {"motions", T::change_motions},
                                                                     {"repeats", T::change_repeats},
                                                                     {"texts", T::change_texts},
                                                                     {"grid", T::change_grid},
                                                                     {"variants", T::change_variants},
                                                                     {"pace", T::change_pace},
                                                                     {"keyboard_layout", T::change_layout},
                                                                     {"name", T::change_name}}};

std::string section_words(std::string_view key, Language language) {
    for (const auto& [section, text] : k_sections)
        if (section == key) return text_in(language, text);
    return std::string(key);
}

}  // namespace

/// "modes/far/assignments/up/short" as "Mode far, up, short".
std::string change_place(const profile::Change& change, Language language) {
    std::string words;
    std::string_view left = change.path;
    bool is_first = true;
    while (!left.empty()) {
        const std::size_t slash = left.find('/');
        std::string_view part = left.substr(0, slash);
        left = slash == std::string_view::npos ? std::string_view() : left.substr(slash + 1);
        if (is_first) {
            words = section_words(part, language);
        } else if (left.empty() && change.field != nullptr) {
            words += ", " + field_label(*change.field, language);
        } else if (part != "assignments") {
            words +=
                (words.find(' ') == std::string::npos && words.find(',') == std::string::npos ? " " : ", ") +
                std::string(part);
        }
        is_first = false;
    }
    return plain_text(words);
}

std::string value_words(const profile::Change& change, const std::string& value) {
    const bool has_unit = change.field != nullptr && change.field->unit[0] != '\0';
    return plain_text(value) + (has_unit ? std::string(" ") + change.field->unit : "");
}

std::string field_label(const profile::Field& field, Language language) {
    const std::string name = std::string("field_") + field.key;
    for (int i = static_cast<int>(T::field_acceptance_ms); i < text_count(); ++i)
        if (name == text_name(static_cast<T>(i))) return text_in(language, static_cast<T>(i));
    std::string label = field.key;
    std::replace(label.begin(), label.end(), '_', ' ');
    return label;
}

std::string change_words(const profile::Change& change, Language language) {
    const std::string where = change_place(change, language);
    switch (change.kind) {
        case profile::ChangeKind::changed:
            return text_in(language, T::change_changed, where, value_words(change, change.before),
                           value_words(change, change.after));
        case profile::ChangeKind::added:
            return text_in(language, T::change_added, where, value_words(change, change.after));
        case profile::ChangeKind::removed:
            return text_in(language, T::change_removed, where, value_words(change, change.before));
    }
    return where;
}

}  // namespace fettle::app
