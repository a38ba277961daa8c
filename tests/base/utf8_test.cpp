#include "core/base/utf8.hpp"

#include <doctest/doctest.h>
#include <iconv.h>

#include <array>
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

// Source: the C library's own converter, iconv(3), which refuses what is no UTF-8.
TEST_CASE("utf8: 200,000 strings of telling bytes are judged as the C library's converter judges them") {
    constexpr std::array<unsigned char, 24> k_telling = {0x00, 0x41, 0x7F, 0x80, 0x8F, 0x90, 0x9F, 0xA0,
                                                         0xBF, 0xC0, 0xC1, 0xC2, 0xDF, 0xE0, 0xE1, 0xEC,
                                                         0xED, 0xEE, 0xEF, 0xF0, 0xF1, 0xF3, 0xF4, 0xF5};
    const iconv_t converter = ::iconv_open("UTF-32LE", "UTF-8");
    REQUIRE(converter != reinterpret_cast<iconv_t>(-1));
    uint32_t seed = 1;
    size_t good = 0;
    size_t apart = 0;
    for (int n = 0; n < 200000; ++n) {
        std::string text;
        seed = seed * 1664525u + 1013904223u;
        const size_t length = 1 + (seed >> 28) % 6;
        for (size_t i = 0; i < length; ++i) {
            seed = seed * 1664525u + 1013904223u;
            text.push_back(static_cast<char>(k_telling[(seed >> 16) % k_telling.size()]));
        }
        std::array<char, 64> wide{};
        std::string input = text;
        char* from = input.data();
        char* to = wide.data();
        size_t from_left = input.size();
        size_t to_left = wide.size();
        ::iconv(converter, nullptr, nullptr, nullptr, nullptr);
        const bool is_good = ::iconv(converter, &from, &from_left, &to, &to_left) != static_cast<size_t>(-1);
        good += size_t{is_good};
        const size_t bad_at = input.size() - from_left;  // where the converter stopped
        const bool agrees = is_good ? is_utf8(text) : first_bad_utf8(text) == bad_at;
        apart += size_t{!agrees};
    }
    ::iconv_close(converter);
    CHECK(apart == 0);
    CHECK(good > 1000);
}

}  // namespace
}  // namespace fettle
