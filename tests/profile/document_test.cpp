#include "core/profile/document.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/profile/sample.hpp"

namespace fettle::profile {
namespace {

std::string replaced(std::string text, const std::string& from, const std::string& to) {
    const std::size_t at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

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

struct Broken {
    const char* what;
    const char* from;
    const char* to;
    Errc code;
    const char* where;
    const char* detail;  // a part of it
};
// Each takes one piece of the written sample and breaks it.
const Broken k_broken[] = {
    {"an unknown key", "\"version\": 513", "\"versoin\": 513", Errc::unknown_key, "/versoin",
     "allowed: format_version"},
    {"an unknown key deep inside", "\"acceptance_ms\": 35", "\"acceptance_s\": 35", Errc::unknown_key,
     "/rule_sets/1/acceptance_s", "acceptance_ms"},
    {"a number too large", "\"acceptance_ms\": 35", "\"acceptance_ms\": 5001", Errc::out_of_range,
     "/rule_sets/1/acceptance_ms", "5001; allowed: 0 to 5000 ms"},
    {"a number below 0", "\"acceptance_ms\": 35", "\"acceptance_ms\": -1", Errc::out_of_range,
     "/rule_sets/1/acceptance_ms", "-1; allowed: 0 to 5000 ms"},
    {"half a millisecond", "\"acceptance_ms\": 35", "\"acceptance_ms\": 0.5", Errc::out_of_range,
     "/rule_sets/1/acceptance_ms", "0.5"},
    {"a number that no integer holds", "\"acceptance_ms\": 35", "\"acceptance_ms\": 18446744073709551615",
     Errc::out_of_range, "/rule_sets/1/acceptance_ms", "allowed: 0 to 5000 ms"},
    {"text for a number", "\"acceptance_ms\": 35", "\"acceptance_ms\": \"35\"", Errc::wrong_type,
     "/rule_sets/1/acceptance_ms", "text; allowed: 0 to 5000 ms"},
    {"a step between", "\"longest_hold_ms\": 1500", "\"longest_hold_ms\": 1550", Errc::out_of_range,
     "/rule_sets/1/longest_hold_ms", "in steps of 100"},
    {"a long press shorter than 100 ms that is not off", "\"long_ms\": 600", "\"long_ms\": 99",
     Errc::out_of_range, "/rule_sets/0/long_ms", "0 (off), or 100 to 5000 ms"},
    {"null for a flag", "\"act_on_release\": true", "\"act_on_release\": null", Errc::wrong_type,
     "/rule_sets/1/act_on_release", "null; allowed: true or false"},
    {"a list for an object", "\"pace\": {", "\"pace\": [], \"x\": {", Errc::wrong_type, "/pace",
     "a list; allowed: an object"},
    {"an object for a list", "\"repeats\": [", "\"repeats\": {}, \"x\": [", Errc::wrong_type, "/repeats",
     "an object"},
    {"an unknown version", "\"format_version\": 1", "\"format_version\": 2", Errc::version, "/format_version",
     "2; allowed"},
    {"no version", "\"format_version\": 1,", "", Errc::missing_key, "/format_version", "missing"},
    {"an id of 15 digits", "\"1032547698badcfe\"", "\"1032547698badcf\"", Errc::out_of_range, "/id",
     "16 digits"},
    {"an unknown action", "\"do\": \"grid_pick\"", "\"do\": \"launch\"", Errc::out_of_range,
     "/modes/1/assignments/3/short/do", "one of: key, latch"},
    {"a key of another action", "\"do\": \"grid_pick\"", "\"do\": \"grid_pick\", \"counts\": 3",
     Errc::unknown_key, "/modes/1/assignments/3/short/counts", "allowed: do"},
    {"an unknown direction", "\"direction\": \"up_left\"", "\"direction\": \"upwards\"", Errc::out_of_range,
     "/modes/0/assignments/0/short/direction", "one of: up, up_right"},
    {"a diagonal scroll", "\"direction\": \"left\", \"detents\": 3",
     "\"direction\": \"up_left\", \"detents\": 3", Errc::out_of_range,
     "/modes/1/assignments/0/short/direction", "up, right, down, left"},
    {"a motion that is not there", "\"motion\": \"travel\"", "\"motion\": \"fast\"", Errc::unknown_name,
     "/modes/0/assignments/0/short/motion", "\"fast\"; allowed: travel, points, keys, moves"},
    {"a rule set that is not there", "\"rules\": \"switches\"", "\"rules\": \"switch\"", Errc::unknown_name,
     "/inputs/2/rules", "remote, switches"},
    {"an input that is not there", "\"input\": \"spare\"", "\"input\": \"spar\"", Errc::unknown_name,
     "/modes/1/assignments/4/input", "button, other, line"},
    {"an input assigned twice", "\"input\": \"other\"", "\"input\": \"button\"", Errc::duplicate,
     "/modes/0/assignments/1", "stands twice"},
    {"two modes of one name", "\"name\": \"second\"", "\"name\": \"first\"", Errc::duplicate, "/modes/1",
     "first"},
    {"a name with a space", "\"name\": \"second\"", "\"name\": \"sec ond\"", Errc::out_of_range,
     "/modes/1/name", "letters"},
    {"a label of 13 characters", "\"label\": \"First\"", "\"label\": \"Thirteen char\"", Errc::out_of_range,
     "/modes/0/label", "up to 12"},
    {"a label beyond ASCII", "\"label\": \"First\"", "\"label\": \"F\u00FCrst\"", Errc::out_of_range,
     "/modes/0/label", "ASCII"},
    {"a modifier that is none", "\"left_gui\"", "\"left_hyper\"", Errc::out_of_range,
     "/modes/0/assignments/2/double/modifiers/0", "some of: left_control"},
    {"a modifier twice", "[\"left_gui\"]", "[\"left_gui\", \"left_gui\"]", Errc::duplicate,
     "/modes/0/assignments/2/double/modifiers/1", "twice"},
    {"a key that is none", "\"key\": \"tab\"", "\"key\": \"tabulator\"", Errc::out_of_range,
     "/texts/0/parts/1/key", "usage_"},
    {"a consumer usage that is none", "\"volume_up\"", "\"louder\"", Errc::out_of_range,
     "/modes/1/assignments/1/double/usage", "usage_"},
    {"rows of unequal length", "[\"Z\", ", "[", Errc::out_of_range, "/grid/rows/1", "a row of 2"},
    {"a number in a cell", "[\"Z\", ", "[5, ", Errc::wrong_type, "/grid/rows/1/0",
     "text, an object with a key, or null"},
    {"a command too wide for sirc20", "\"command\": 73", "\"command\": 128", Errc::out_of_range,
     "/inputs/0/source/command", "0 to 127"},
    {"a signature for a known protocol", "\"extended\": 200", "\"extended\": 200, \"signature\": 5",
     Errc::out_of_range, "/inputs/0/source/signature", "0"},
    {"off above on", "\"off_permille\": 400", "\"off_permille\": 598", Errc::out_of_range,
     "/inputs/3/source/off_permille", "at least 4 less"},
    {"a repeat without its hold", "\"hold\": \"held\"", "\"hold\": \"held\", \"repeat\": \"slow\"",
     Errc::out_of_range, "/modes/0/assignments/2/short/repeat", "hold: repeated"},
};

TEST_CASE("document: 37 broken documents are refused with code, JSON pointer, and what is allowed") {
    std::size_t count = 0;
    const std::string text = write(sample());
    for (const Broken& one : k_broken) {
        CAPTURE(one.what);
        REQUIRE(text.find(one.from) != std::string::npos);
        std::vector<Error> all;
        const auto refused = parse(replaced(text, one.from, one.to), &all);
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
        CAPTURE(one.what);
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
