#pragma once
// Text from outside is UTF-8 or refused.

#include <cstddef>
#include <string_view>

namespace fettle {

inline constexpr size_t k_all_utf8 = static_cast<size_t>(-1);

/// Offset of the first byte that starts no well-formed sequence, or k_all_utf8.
/// Overlong forms, surrogates and values above U+10FFFF are ill-formed. Source: RFC 3629, section 4.
[[nodiscard]] size_t first_bad_utf8(std::string_view bytes);

[[nodiscard]] inline bool is_utf8(std::string_view bytes) {
    return first_bad_utf8(bytes) == k_all_utf8;
}

}  // namespace fettle
