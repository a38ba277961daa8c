// What a name may be.
#include <algorithm>

#include "core/base/utf8.hpp"
#include "core/store/inside.hpp"

namespace fettle::store {

namespace {

bool starts_code_point(char c) {
    return (static_cast<unsigned char>(c) & 0xC0u) != 0x80u;
}

/// In well-formed UTF-8: C0, DELETE, and C1 (C2 80 to C2 9F). Source: ISO/IEC 6429 by way of Unicode, Cc.
bool has_control(std::string_view text) {
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        if (byte < 0x20 || byte == 0x7F) return true;
        if (byte == 0xC2 && static_cast<unsigned char>(text[i + 1]) < 0xA0) return true;
    }
    return false;
}

}  // namespace

Status check_name(std::string_view name, const std::string& where) {
    if (!is_utf8(name)) return fail(Errc::syntax, where, "not UTF-8");
    const auto length = static_cast<std::size_t>(std::count_if(name.begin(), name.end(), starts_code_point));
    if (length == 0 || length > k_name_most_code_points)
        return fail(Errc::out_of_range, where, std::to_string(length) + " characters; allowed: 1 to 64");
    if (has_control(name)) return fail(Errc::syntax, where, "a control character");
    if (name.find_first_not_of(' ') == std::string_view::npos)
        return fail(Errc::out_of_range, where, "spaces alone");
    return Done{};
}

Status check_text(std::string_view text, std::size_t most_bytes, const std::string& where) {
    if (text.size() > most_bytes)
        return fail(Errc::too_large, where,
                    std::to_string(text.size()) + " bytes; allowed: " + std::to_string(most_bytes));
    if (!is_utf8(text)) return fail(Errc::syntax, where, "not UTF-8");
    return Done{};
}

}  // namespace fettle::store
