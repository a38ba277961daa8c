#include <algorithm>
#include <cctype>

#include "core/profile/check_rules.hpp"

namespace fettle::profile {

namespace {

std::string layout_name(const Profile& profile) {
    const auto& names = profile.keyboard_layout;
    return names.variant.empty() ? names.layout : names.layout + "(" + names.variant + ")";
}

/// The first character of a text that cannot be typed, as UTF-8.
std::string first_missing(const std::string& text, const StrokeSource& layout) {
    for (std::size_t at = 0; at < text.size();) {
        std::size_t next = at + 1;
        while (next < text.size() && (static_cast<unsigned char>(text[next]) & 0xC0) == 0x80) ++next;
        if (!layout.strokes_for(std::string_view(text).substr(at, next - at)))
            return text.substr(at, next - at);
        at = next;
    }
    return text;
}

/// Common practice, no source: one word of eight or more characters with three of the four kinds of them, or
/// a text that its owner calls a password.
bool looks_like_password(const std::string& name, const std::string& text) {
    std::string lower(name);
    std::transform(lower.begin(), lower.end(), lower.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    if (lower.find("password") != std::string::npos || lower.find("passphrase") != std::string::npos)
        return true;
    bool has_lower = false, has_upper = false, has_digit = false, has_other = false;
    for (const char c : text) {
        const auto u = static_cast<unsigned char>(c);
        if (std::isspace(u) != 0) return false;
        has_lower = has_lower || std::islower(u) != 0;
        has_upper = has_upper || std::isupper(u) != 0;
        has_digit = has_digit || std::isdigit(u) != 0;
        has_other = has_other || std::isalnum(u) == 0;
    }
    return text.size() >= 8 && has_lower + has_upper + has_digit + has_other >= 3;
}

void check_piece(const Profile& profile, const std::string& piece, const StrokeSource& layout,
                 const std::string& where, const std::string& subject, std::vector<Finding>& findings) {
    if (!layout.strokes_for(piece))
        findings.push_back({FindingKind::text_not_typable,
                            where,
                            {subject, first_missing(piece, layout), layout_name(profile)}});
}

/// A cell types one stroke, as build_image() has it.
void check_cell(const Profile& profile, const std::string& piece, const StrokeSource& layout,
                const std::string& where, std::vector<Finding>& findings) {
    const auto strokes = layout.strokes_for(piece);
    if (!strokes) return check_piece(profile, piece, layout, where, piece, findings);
    if (strokes->size() != 1)
        findings.push_back({FindingKind::text_not_typable, where, {piece, piece, layout_name(profile)}});
}

bool has_texts(const Profile& profile) {
    const auto is_text = [](const auto& part) { return std::holds_alternative<std::string>(part); };
    for (const Text& text : profile.texts)
        if (std::any_of(text.parts.begin(), text.parts.end(), is_text)) return true;
    for (const auto& row : profile.grid.rows)
        if (std::any_of(row.begin(), row.end(), is_text)) return true;
    return false;
}

}  // namespace

void check_texts(const Profile& profile, const StrokeSource* layout, std::vector<Finding>& findings) {
    for (std::size_t t = 0; t < profile.texts.size(); ++t) {
        const Text& text = profile.texts[t];
        const std::string where = "/texts/" + std::to_string(t);
        std::string whole;
        for (const TextPart& part : text.parts)
            if (const auto* piece = std::get_if<std::string>(&part)) {
                whole += *piece;
                if (layout != nullptr) check_piece(profile, *piece, *layout, where, text.name, findings);
            }
        if (looks_like_password(text.name, whole))
            findings.push_back({FindingKind::password_in_text, where, {text.name}});
    }
    for (std::size_t r = 0; r < profile.grid.rows.size(); ++r)
        for (std::size_t c = 0; c < profile.grid.rows[r].size(); ++c)
            if (const auto* piece = std::get_if<std::string>(&profile.grid.rows[r][c]);
                piece != nullptr && layout != nullptr)
                check_cell(profile, *piece, *layout,
                           "/grid/rows/" + std::to_string(r) + "/" + std::to_string(c), findings);
    if (layout == nullptr && has_texts(profile))
        findings.push_back({FindingKind::layout_unknown, "/keyboard_layout", {layout_name(profile)}});
}

}  // namespace fettle::profile
