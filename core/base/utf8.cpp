#include "core/base/utf8.hpp"

#include <cstdint>

namespace fettle {

namespace {

struct Lead {
    size_t length;       ///< of the whole sequence, 0: no lead byte
    uint8_t second_min;  ///< the second byte's range; further bytes are 80..BF
    uint8_t second_max;
};

// The syntax of RFC 3629, section 4.
Lead lead_of(uint8_t first) {
    if (first <= 0x7F) return {1, 0, 0};
    if (first >= 0xC2 && first <= 0xDF) return {2, 0x80, 0xBF};
    if (first == 0xE0) return {3, 0xA0, 0xBF};
    if (first == 0xED) return {3, 0x80, 0x9F};
    if (first >= 0xE1 && first <= 0xEF) return {3, 0x80, 0xBF};
    if (first == 0xF0) return {4, 0x90, 0xBF};
    if (first >= 0xF1 && first <= 0xF3) return {4, 0x80, 0xBF};
    if (first == 0xF4) return {4, 0x80, 0x8F};
    return {0, 0, 0};
}

}  // namespace

size_t first_bad_utf8(std::string_view bytes) {
    const auto byte = [&](size_t i) { return static_cast<uint8_t>(bytes[i]); };
    size_t i = 0;
    while (i < bytes.size()) {
        const Lead lead = lead_of(byte(i));
        if (lead.length == 0 || bytes.size() - i < lead.length) return i;
        if (lead.length > 1 && (byte(i + 1) < lead.second_min || byte(i + 1) > lead.second_max)) return i;
        for (size_t k = 2; k < lead.length; ++k) {
            if (byte(i + k) < 0x80 || byte(i + k) > 0xBF) return i;
        }
        i += lead.length;
    }
    return k_all_utf8;
}

}  // namespace fettle
