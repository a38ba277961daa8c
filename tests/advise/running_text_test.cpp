// Running text that Debian carries: read where it lies, counted, never kept.

#include "core/advise/running_text.hpp"

#include <doctest/doctest.h>
#include <stdlib.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <string>

#include "core/advise/code_bounds.hpp"
#include "core/advise/text_counts.hpp"

using namespace fettle;
using namespace fettle::advise;

namespace {

/// A folder of its own, gone afterwards.
struct Folder {
    std::string path;
    Folder() {
        std::string name = (std::filesystem::temp_directory_path() / "fettle-text-XXXXXX").string();
        REQUIRE(::mkdtemp(name.data()) != nullptr);
        path = name;
    }
    ~Folder() {
        std::error_code ignored;
        std::filesystem::remove_all(path, ignored);
    }
    void put(const std::string& name, const std::string& content) const {
        std::ofstream(path + "/" + name, std::ios::binary) << content;
    }
};

TextCounts counts_of(const TextPlace& place) {
    TextCounts counts = no_counts(alphabet_of(place.alphabet).value());
    const auto text = read_running_text(place.folder);
    REQUIRE(text);
    for (const std::string& one : text->texts) REQUIRE(add_text(counts, one));
    return counts;
}

}  // namespace

// Source: base-files of Debian 12 puts the licences there on every system. Shannon 1951 counts 4.03 bit a
// symbol for 26 letters and the space (Bell System Technical Journal 30, table 1).
TEST_CASE("running text: Debian's licences give over 200,000 English characters of about 4.03 bit") {
    const TextPlace* english = text_place("en");
    REQUIRE(english != nullptr);
    const TextCounts counts = counts_of(*english);
    CHECK(counts.total > 200'000);
    CHECK(counts.pairs > 150'000);
    const double bits = letter_information(counts).mean;
    CHECK(bits > 3.93);
    CHECK(bits < 4.23);
    const auto letter = [&](char32_t c) {
        return counts.letters[static_cast<std::size_t>(counts.place_of(c))];
    };
    CHECK(letter(U' ') == *std::max_element(counts.letters.begin(), counts.letters.end()));
    CHECK(letter(U'e') > letter(U't'));  // the two most frequent of any English count
    CHECK(letter(U't') > letter(U'q'));
    const double after = letter_information_after(counts).mean;
    CHECK(after > 2.8);  // Shannon's F2, 3.32, was counted on other text
    CHECK(after < 3.5);
}

TEST_CASE(
    "running text: German is read from fortunes-de where it is installed, and says so where it is not") {
    const TextPlace* german = text_place("de");
    REQUIRE(german != nullptr);
    CHECK(std::string(german->package) == "fortunes-de");
    if (std::filesystem::exists(german->folder)) {
        const TextCounts counts = counts_of(*german);
        CHECK(counts.total > 200'000);
        const auto letter = [&](char32_t c) {
            return counts.letters[static_cast<std::size_t>(counts.place_of(c))];
        };
        CHECK(letter(U'e') > letter(U'n'));  // the two most frequent letters of any German count
        CHECK(letter(U'n') > letter(U'ü'));
        CHECK(letter(U'ü') > letter(U'q'));
    } else {
        const auto text = read_running_text(german->folder);
        REQUIRE_FALSE(text);
        CHECK(text.error().code == Errc::not_found);
        CHECK(text.error().where == german->folder);
    }
}

TEST_CASE("running text: a language without a place is none, and every place has letters and a space") {
    CHECK(text_place("xx") == nullptr);
    for (const TextPlace& place : text_places()) {
        CAPTURE(place.language);
        const auto alphabet = alphabet_of(place.alphabet);
        REQUIRE(alphabet);
        CHECK(alphabet->size() >= 27);
        CHECK(alphabet->front() == k_word_space);
    }
}

TEST_CASE("running text: files come in the order of their names; links and what is no text do not count") {
    Folder folder;
    folder.put("b", "second");
    folder.put("a", "first");
    folder.put("c.dat", std::string("\0\1\2", 3));
    folder.put("d", "bad \xFF");
    std::filesystem::create_symlink(folder.path + "/a", folder.path + "/z");
    std::filesystem::create_directory(folder.path + "/inner");
    const auto text = read_running_text(folder.path);
    REQUIRE(text);
    CHECK(text->files == std::vector<std::string>{"a", "b"});
    CHECK(text->texts == std::vector<std::string>{"first\n", "second\n"});
    CHECK(text->left_aside == std::vector<std::string>{"c.dat", "d"});
}

TEST_CASE("running text: of a fortune file the parting lines and the names of speakers are dropped") {
    Folder folder;
    folder.put("sayings", "Measure twice,\ncut once.\n\t\t-- a saying\n%\nReturn tools -- clean.\n%\n");
    const auto text = read_running_text(folder.path);
    REQUIRE(text);
    CHECK(text->texts.front() == "Measure twice,\ncut once.\nReturn tools -- clean.\n");
}

TEST_CASE("running text: an empty folder and a missing one are not found, 17 MiB are too large") {
    Folder folder;
    CHECK(read_running_text(folder.path).error().code == Errc::not_found);
    CHECK(read_running_text(folder.path + "/nowhere").error().code == Errc::not_found);
    folder.put("a", std::string(9u << 20, 'a'));
    folder.put("b", std::string(8u << 20, 'b'));
    const auto text = read_running_text(folder.path);
    REQUIRE_FALSE(text);
    CHECK(text.error().code == Errc::too_large);
}
