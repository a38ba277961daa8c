#include "core/profile/document.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/profile/broken.hpp"
#include "tests/profile/sample.hpp"

namespace fettle::profile {
namespace {

TEST_CASE("document: a profile with all 18 kinds of action reads back equal from what was written") {
    const Profile profile = sample();
    const auto back = parse(write(profile));
    REQUIRE(back);
    CHECK(*back == profile);
    CHECK(write(*back) == write(profile));
}

TEST_CASE("document: the sample uses every alternative of every variant") {
    const std::string text = write(sample());
    for (const auto& [path, field] : all_fields()) {
        if (field->kind != FieldKind::choice || field->is_required == false) continue;
        const std::string kind = field->key;
        if (kind != "do" && kind != "kind" && kind != "family" && kind != "by") continue;
        for (const char* name : field->choices) {
            CAPTURE(name);
            CHECK(text.find("\"" + kind + "\": \"" + name + "\"") != std::string::npos);
        }
    }
}

TEST_CASE("document: the 4 demo profiles are canonical, byte for byte") {
    for (const char* name : k_asset_names) {
        CAPTURE(name);
        const std::string text = asset(name);
        std::vector<Error> errors;
        const auto profile = parse(text, &errors);
        for (const Error& error : errors) MESSAGE(error.where << ": " << error.detail);
        REQUIRE(profile);
        CHECK(write(*profile) == text);
    }
}

TEST_CASE("document: a smallest document takes its values from the table's defaults") {
    const auto profile =
        parse(R"({"format_version": 1, "id": "00000000000000ff", "rule_sets": [{"name": "r"}],
        "inputs": [], "modes": [{"name": "m"}]})");
    REQUIRE(profile);
    Profile wanted;
    wanted.id[7] = 0xFF;
    wanted.rule_sets.push_back(RuleSet{});
    wanted.rule_sets[0].name = "r";
    wanted.modes.push_back(Mode{"m", "", {}});
    CHECK(*profile == wanted);
}

TEST_CASE("document: 37 broken documents are refused with code, JSON pointer, and what is allowed") {
    std::size_t count = 0;
    const std::string text = write(sample());
    for (const Broken& one : k_broken) {
        CAPTURE(std::string(one.what));
        std::vector<Error> all;
        const auto refused = parse(broken(text, one), &all);
        ++count;
        REQUIRE_FALSE(refused);
        const Error* found = nullptr;
        for (const Error& error : all)
            if (error.code == one.code && error.where == one.where) found = &error;
        if (found == nullptr) {
            for (const Error& error : all)
                MESSAGE(static_cast<int>(error.code) << " " << error.where << ": " << error.detail);
        }
        REQUIRE(found != nullptr);
        CHECK(found->where == one.where);
        CHECK(found->detail.find(one.detail) != std::string::npos);
    }
    CHECK(count == 37);
}

TEST_CASE("document: several errors are collected, 20 at most") {
    std::vector<Error> all;
    CHECK_FALSE(
        parse(R"({"format_version": 1, "id": "x", "rule_sets": [{"nam": "r"}], "inputs": {}, "modes": [{}]})",
              &all));
    CHECK(all.size() == 5);
    std::string many =
        R"({"format_version": 1, "id": "0000000000000000", "inputs": [], "modes": [{"name": "m"}],
        "rule_sets": [{"name": "r")";
    for (int i = 0; i < 40; ++i) many += ", \"k" + std::to_string(i) + "\": 1";
    CHECK_FALSE(parse(many + "}]}", &all));
    CHECK(all.size() == k_most_errors);
}

struct NoJson {
    const char* what;
    std::string text;
    Errc code;
    const char* where;
};

TEST_CASE("document: what is no JSON is refused with line and column, before any value is read") {
    const std::string deep = std::string(30, '[') + std::string(30, ']');
    const NoJson k_table[] = {
        {"nothing", "", Errc::syntax, "line 1, column 1"},
        {"truncated", "{\n  \"format_version\": 1,\n  \"id", Errc::syntax, "line 3"},
        {"NaN", "{\"format_version\": NaN}", Errc::syntax, "line 1, column 2"},
        {"Infinity", "{\"format_version\": 1e999}", Errc::syntax, "line 1"},
        {"text behind the end", "{} {}", Errc::syntax, "line 1, column 4"},
        {"a comma too many", "{\"a\": 1,}", Errc::syntax, "line 1, column 9"},
        {"invalid UTF-8", "{\"name\": \"\xC3(\"}", Errc::syntax, "line 1, column 11"},
        {"half a surrogate pair", "{\"name\": \"\\ud800\"}", Errc::syntax, "line 1"},
        {"a key twice", "{\"a\": {\"b\": [0, {\"c\": 1, \"c\": 2}]}}", Errc::duplicate, "/a/b/1/c"},
        {"nested 30 deep", deep, Errc::too_large, "/0/0/0"},
        {"larger than 4 MB", std::string((4u << 20) + 1u, ' '), Errc::too_large, ""},
        {"a list", "[]", Errc::wrong_type, ""},
        {"null", "null", Errc::wrong_type, ""},
    };
    for (const NoJson& one : k_table) {
        CAPTURE(std::string(one.what));
        const auto refused = parse(one.text);
        REQUIRE_FALSE(refused);
        CHECK(refused.error().code == one.code);
        CHECK(refused.error().where.find(one.where) == 0);
    }
}

TEST_CASE("document: a key with slashes and tildes is pointed to as RFC 6901 escapes it") {
    const auto refused = parse("{\"a/b~c\": 1, \"a/b~c\": 2}");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().where == "/a~1b~0c");
}

TEST_CASE("document: an object with 65 keys is refused") {
    std::string text = "{\"k\": 0";
    for (int i = 0; i < 64; ++i) text += ", \"k" + std::to_string(i) + "\": 0";
    const auto refused = parse(text + "}");
    REQUIRE_FALSE(refused);
    CHECK(refused.error().code == Errc::too_large);
}

std::string scratch(const char* name) {
    return std::string(FETTLE_BUILD) + "/profile_" + std::to_string(getpid()) + "_" + name;
}

TEST_CASE("document: a saved profile loads equal; errors of a file name the file") {
    const std::string path = scratch("saved.json");
    REQUIRE(save_file(path, sample()));
    const auto back = load_file(path);
    REQUIRE(back);
    CHECK(*back == sample());
    std::ofstream(path) << "{}";
    std::vector<Error> all;
    const auto refused = load_file(path, &all);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().where == path + ": /format_version");
    CHECK(all.size() == 5);
    unlink(path.c_str());
    CHECK(load_file(path).error().code == Errc::not_found);
}

TEST_CASE("document: a file of 100 MB is refused by its size") {
    const std::string path = scratch("large.json");
    std::ofstream(path) << "{";
    REQUIRE(truncate(path.c_str(), 100'000'000) == 0);  // a hole: takes no space
    const auto refused = load_file(path);
    unlink(path.c_str());
    REQUIRE_FALSE(refused);
    CHECK(refused.error().code == Errc::too_large);
}

}  // namespace
}  // namespace fettle::profile
