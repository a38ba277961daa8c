// What counts as a character, and how often it and its pairs occur.

#include "core/advise/text_counts.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <numeric>

using namespace fettle;
using namespace fettle::advise;

namespace {
TextCounts counted(std::string_view text, std::string_view alphabet) {
    return count_text(text, alphabet_of(alphabet).value()).value();
}
std::uint64_t pair(const TextCounts& counts, char32_t first, char32_t second) {
    return counts.bigram(static_cast<std::size_t>(counts.place_of(first)),
                         static_cast<std::size_t>(counts.place_of(second)));
}
std::uint64_t letter(const TextCounts& counts, char32_t character) {
    return counts.letters[static_cast<std::size_t>(counts.place_of(character))];
}
}  // namespace

TEST_CASE("text: `A saw. A saw` has 4 a, 1 pair `sa` in each word, 2 spaces and the pairs around them") {
    const TextCounts counts = counted("A saw A saw", "asw ");
    CHECK(letter(counts, U'a') == 4);
    CHECK(letter(counts, U' ') == 3);
    CHECK(pair(counts, U's', U'a') == 2);
    CHECK(pair(counts, U'a', U' ') == 2);
    CHECK(pair(counts, U'w', U' ') == 1);
    CHECK(pair(counts, U' ', U's') == 2);
    CHECK(counts.total == 11);
    CHECK(counts.pairs == 10);
    CHECK(counts.left_out == 0);
}

TEST_CASE("text: white space of any kind and length is one space, and none at the beginning or the end") {
    const TextCounts counts = counted("\n\t a \r\n\n b\u00A0\u2003c \n", "abc ");
    CHECK(letter(counts, U' ') == 2);
    CHECK(counts.total == 5);
    CHECK(counts.pairs == 4);
    CHECK(counted("", "abc ").total == 0);
    CHECK(counted(" \n ", "abc ").total == 0);
}

TEST_CASE("text: what the alphabet lacks is left out and parts its neighbours") {
    const TextCounts counts = counted("saw-a", "asw ");
    CHECK(counts.left_out == 1);
    CHECK(pair(counts, U'w', U'a') == 0);
    CHECK(counts.pairs == 2);
    const TextCounts no_space = counted("a  b", "ab");
    CHECK(no_space.left_out == 1);
    CHECK(no_space.pairs == 0);
}

// Source: Unicode character database, simple lower case mappings.
TEST_CASE("text: large letters count as small ones, in German, Greek and Cyrillic too") {
    CHECK(folded(U'Q') == U'q');
    CHECK(folded(U'Ä') == U'ä');
    CHECK(folded(U'Ö') == U'ö');
    CHECK(folded(U'ẞ') == U'ß');
    CHECK(folded(U'ß') == U'ß');
    CHECK(folded(U'Σ') == U'σ');
    CHECK(folded(U'Ж') == U'ж');
    CHECK(folded(U'Č') == U'č');
    CHECK(folded(U'×') == U'×');
    CHECK(folded(U'7') == U'7');
    CHECK(folded(U'€') == U'€');
    const TextCounts counts = counted("SÄGE säge", "aäegs ");
    CHECK(letter(counts, U'ä') == 2);
    CHECK(pair(counts, U'ä', U'g') == 2);
}

TEST_CASE("text: an alphabet is folded, sorted and without doubles") {
    CHECK(alphabet_of("bBaA \n\t").value() == std::vector<char32_t>{U' ', U'a', U'b'});
    const std::vector<char32_t> drawn{U'B', U'a', U'b', U'\n'};
    CHECK(no_counts(drawn).alphabet == std::vector<char32_t>{U' ', U'a', U'b'});
}

TEST_CASE("text: bytes that are no UTF-8 are refused, and nothing of them is counted") {
    TextCounts counts = counted("a", "ab");
    const TextCounts before = counts;
    const Status added = add_text(counts, "ab\xC3(");
    REQUIRE_FALSE(added);
    CHECK(added.error().code == Errc::garbled);
    CHECK(added.error().detail.find("byte 2") != std::string::npos);
    CHECK(counts == before);
    CHECK_FALSE(alphabet_of("\xFF"));
}

TEST_CASE("text: characters of 1, 2, 3 and 4 bytes are read as they are") {
    CHECK(characters_of("a\u00E4\u20AC\U0001F528").value() ==
          std::vector<char32_t>{U'a', U'\u00E4', U'\u20AC', U'\U0001F528'});
}

TEST_CASE("text: sums agree for any text: letters to total, pairs to pairs, each character counted once") {
    CHECK(rc::check("sums", [] {
        const auto text = *rc::gen::container<std::string>(rc::gen::element('a', 'b', 'C', ' ', '-', '\n'));
        const TextCounts counts = counted(text, "abc ");
        const auto sum = [](const std::vector<std::uint64_t>& values) {
            return std::accumulate(values.begin(), values.end(), std::uint64_t{0});
        };
        RC_ASSERT(sum(counts.letters) == counts.total);
        RC_ASSERT(sum(counts.bigrams) == counts.pairs);
        RC_ASSERT(counts.pairs <= counts.total);
        RC_ASSERT(counts.total + counts.left_out <= text.size());
    }));
}

TEST_CASE("text: two texts added one after the other make no pair between them") {
    TextCounts counts = counted("ab", "ab");
    REQUIRE(add_text(counts, "ab"));
    CHECK(pair(counts, U'b', U'a') == 0);
    CHECK(pair(counts, U'a', U'b') == 2);
}

TEST_CASE("text: counts are those of a slow count that looks at every pair of the cleaned text anew") {
    CHECK(rc::check("slow count", [] {
        const auto text = *rc::gen::container<std::string>(rc::gen::element('a', 'b', 'C', ' ', '-', '\n'));
        // Cleaned by hand: small letters, one space for many, none at the ends.
        std::string clean;
        for (const char c : text) {
            const char small = c == 'C' ? 'c' : c == '\n' ? ' ' : c;
            if (small != ' ' || (!clean.empty() && clean.back() != ' ')) clean += small;
        }
        if (!clean.empty() && clean.back() == ' ') clean.pop_back();
        const TextCounts counts = counted(text, "abc ");
        for (const char first : std::string("abc ")) {
            RC_ASSERT(letter(counts, static_cast<char32_t>(first)) ==
                      static_cast<std::uint64_t>(std::count(clean.begin(), clean.end(), first)));
            for (const char second : std::string("abc ")) {
                std::uint64_t times = 0;
                for (std::size_t i = 1; i < clean.size(); ++i)
                    times += clean[i - 1] == first && clean[i] == second;
                RC_ASSERT(pair(counts, static_cast<char32_t>(first), static_cast<char32_t>(second)) == times);
            }
        }
        RC_ASSERT(counts.left_out == static_cast<std::uint64_t>(std::count(clean.begin(), clean.end(), '-')));
    }));
}

// Source: Unicode character database, White_Space: 25 characters.
TEST_CASE("text: 25 characters are white space, the zero width space and the tools between are not") {
    int spaces = 0;
    for (char32_t c = 0; c < 0x11000; ++c) spaces += is_white_space(c);
    CHECK(spaces == 25);
    for (const char32_t c : {U'\u200B', U'\u2060', U'\uFEFF', U'_', U'\0'}) CHECK_FALSE(is_white_space(c));
}

TEST_CASE("text: folding twice is folding once, for every character of the basic plane") {
    int wrong = 0;
    for (char32_t c = 0; c < 0xD800; ++c) wrong += folded(folded(c)) != folded(c);
    CHECK(wrong == 0);
}
