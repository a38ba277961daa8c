#include "core/base/utf8.hpp"

#include <doctest/doctest.h>

#include <cstdint>
#include <string>

namespace fettle {
namespace {

/// The bytes of one code point by the plain bit layout, without any check.
std::string encoded(uint32_t point) {
    const auto byte = [](uint32_t value) { return static_cast<char>(static_cast<unsigned char>(value)); };
    if (point < 0x80) return {byte(point)};
    if (point < 0x800) return {byte(0xC0u | (point >> 6)), byte(0x80u | (point & 0x3Fu))};
    if (point < 0x10000) {
        return {byte(0xE0u | (point >> 12)), byte(0x80u | ((point >> 6) & 0x3Fu)),
                byte(0x80u | (point & 0x3Fu))};
    }
    return {byte(0xF0u | (point >> 18)), byte(0x80u | ((point >> 12) & 0x3Fu)),
            byte(0x80u | ((point >> 6) & 0x3Fu)), byte(0x80u | (point & 0x3Fu))};
}

// Source: RFC 3629, section 7: examples.
TEST_CASE("utf8: the 4 examples of RFC 3629 are well formed") {
    CHECK(is_utf8("\x41\xE2\x89\xA2\xCE\x91\x2E"));
    CHECK(is_utf8("\xED\x95\x9C\xEA\xB5\xAD\xEC\x96\xB4"));
    CHECK(is_utf8("\xE6\x97\xA5\xE6\x9C\xAC\xE8\xAA\x9E"));
    CHECK(is_utf8("\xEF\xBB\xBF\xF0\xA3\x8E\xB4"));
}

// Source: RFC 3629, section 3: U+0000 to U+10FFFF without the surrogates D800 to DFFF.
TEST_CASE("utf8: all 1,112,064 code points are well formed and the 2,048 surrogates are not") {
    size_t good = 0;
    for (uint32_t point = 0; point <= 0x10FFFF; ++point) good += size_t{is_utf8(encoded(point))};
    CHECK(good == 1112064);
    for (uint32_t point = 0xD800; point <= 0xDFFF; ++point) good += size_t{is_utf8(encoded(point))};
    CHECK(good == 1112064);
    CHECK_FALSE(is_utf8(encoded(0x110000)));
}

// Source: RFC 3629, section 10: C0 80 for NUL, and the overlong slash of its security considerations.
TEST_CASE("utf8: 4 overlong forms are refused at their first byte") {
    CHECK(first_bad_utf8("a\xC0\x80") == 1);
    CHECK(first_bad_utf8("\x2F\xC0\xAE\x2E\x2F") == 1);
    CHECK(first_bad_utf8("\xE0\x9F\xBF") == 0);
    CHECK(first_bad_utf8("\xF0\x8F\xBF\xBF") == 0);
}

TEST_CASE("utf8: a sequence cut after each of its bytes is refused where it starts") {
    const std::string whole = "ab" + encoded(0x1F600);
    CHECK(is_utf8(whole));
    for (size_t cut = 3; cut < whole.size(); ++cut) CHECK(first_bad_utf8(whole.substr(0, cut)) == 2);
    CHECK(first_bad_utf8("\x80") == 0);
    CHECK(first_bad_utf8("ok\xFF") == 2);
    CHECK(is_utf8(""));
    CHECK(is_utf8(std::string_view("\0", 1)));
}

}  // namespace
}  // namespace fettle
