#include "app/words/texts.hpp"

#include <doctest/doctest.h>

#include <set>
#include <string>
#include <vector>

#include "core/base/utf8.hpp"

namespace fettle::app {
namespace {

std::string row(int i, Language language) {
    return text_in(language, static_cast<T>(i));
}

/// What stands between braces, up to a colon: the values that a row takes.
std::multiset<std::string> values_of(const std::string& text) {
    std::multiset<std::string> values;
    for (std::size_t at = text.find('{'); at != std::string::npos; at = text.find('{', at + 1)) {
        const std::size_t end = text.find('}', at);
        if (end == std::string::npos) return {"unclosed"};
        values.insert(text.substr(at + 1, end - at - 1));
    }
    return values;
}

TEST_CASE("texts: every one of the rows is there in 2 languages, in well-formed UTF-8") {
    CHECK(text_count() > 300);
    for (int i = 0; i < text_count(); ++i)
        for (const Language language : {Language::english, Language::german}) {
            const std::string words = row(i, language);
            CAPTURE(text_name(static_cast<T>(i)));
            CHECK_FALSE(words.empty());
            CHECK(is_utf8(words));
        }
}

TEST_CASE("texts: a row takes the same values, formatted alike, in every language, each with its number") {
    for (int i = 0; i < text_count(); ++i) {
        CAPTURE(text_name(static_cast<T>(i)));
        const auto english = values_of(row(i, Language::english));
        const auto german = values_of(row(i, Language::german));
        CHECK(std::set<std::string>(english.begin(), english.end()) ==
              std::set<std::string>(german.begin(), german.end()));
        for (const std::string& value : english) {
            CAPTURE(value);
            const bool is_numbered = !value.empty() && value[0] >= '0' && value[0] <= '9';
            CHECK(is_numbered);
        }
    }
}

TEST_CASE("texts: every row can be filled: numbers and words where its values stand") {
    for (int i = 0; i < text_count(); ++i)
        for (const Language language : {Language::english, Language::german}) {
            CAPTURE(text_name(static_cast<T>(i)));
            // A value with a number's format takes numbers only, one without takes words as well.
            const std::string with_numbers = text_in(language, static_cast<T>(i), 1.0, 1.0, 1.0, 1.0, 1.0);
            CHECK(with_numbers.find('{') == std::string::npos);
        }
}

TEST_CASE("texts: 3 rows of each language as they are, German longer in sum") {
    CHECK(std::string(text_in(Language::english, T::screen_trial)) == "Try and keep");
    CHECK(std::string(text_in(Language::german, T::screen_trial)) == "Erproben und behalten");
    CHECK(text_in(Language::english, T::trial_left, 43) == "43 s left");
    CHECK(text_in(Language::german, T::trial_left, 43) == "noch 43 s");
    std::size_t english = 0;
    std::size_t german = 0;
    for (int i = 0; i < text_count(); ++i) {
        english += row(i, Language::english).size();
        german += row(i, Language::german).size();
    }
    CHECK(german > english);
}

}  // namespace
}  // namespace fettle::app
