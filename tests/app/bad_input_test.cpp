#include <doctest/doctest.h>

#include <filesystem>

#include "tests/app/rig.hpp"

// What a person may meet by accident or from a stranger: a clear sentence, exit 1, and nothing changed,
// neither the file nor the device.

namespace fettle::app::test {
namespace {

const std::vector<std::vector<std::string>> k_readers = {
    {"check"},
    {"explain"},
    {"curve"},
    {"write", "--agree", "--leave"},
    {"teach", "--input", "up", "--sim-press", "nec:1:2"}};

/// Every command that reads a profile refuses `path` and names `told`; it answers nothing.
void check_all_refuse(Rig& rig, const std::string& path, const std::string& told) {
    for (auto words : k_readers) {
        words.push_back(path);
        const Run ran = rig.run(words);
        CAPTURE(words[0]);
        CAPTURE(ran.err);
        CHECK(ran.exit == 1);
        CHECK(ran.out.empty());
        CHECK(has(ran.err, told));
        CHECK(ran.err.ends_with(".\n"));
    }
    CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
}

/// The same, for the volunteer's profile with `from` made `to`; afterwards the file is as it was.
void check_refused_with(const char* from, const char* to, const char* told) {
    CAPTURE(to);
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    const std::string bad = with(rig.content(path), from, to);
    rig.put("volunteer.json", bad);
    check_all_refuse(rig, path, told);
    CHECK(rig.content(path) == bad);
}

}  // namespace

TEST_CASE(
    "bad input: a profile cut short anywhere in 64 places is refused with a place, and nothing is touched") {
    Rig rig;
    const std::string whole = rig.content(demo_profile("volunteer"));
    for (std::size_t i = 0; i < 64; ++i) {
        CAPTURE(i);
        const Run ran = rig.run({"check", rig.put("cut.json", whole.substr(0, whole.size() * i / 64))});
        CHECK(ran.exit == 1);
        CHECK(ran.out.empty());
        CHECK(has(ran.err, "cut.json"));
        CHECK(has(ran.err, "cannot be read"));
    }
    check_all_refuse(rig, rig.put("cut.json", whole.substr(0, whole.size() / 2)), "cannot be read");
}

TEST_CASE("bad input: a profile of 100 MB is refused by its size before it is read") {
    Rig rig;
    const std::string path = rig.put("large.json", "{");
    std::filesystem::resize_file(path, 100u << 20);  // sparse: takes no room
    check_all_refuse(rig, path, "too large");
    CHECK(rig.run({"decode", path}).exit == 1);
}

TEST_CASE("bad input: values of another type are refused with their path in the document") {
    check_refused_with(R"("long_ms": 800)", R"("long_ms": "800")", "/rule_sets/0/long_ms has the wrong type");
    check_refused_with(R"("long_ms": 800)", R"("long_ms": 800.5)", "/rule_sets/0/long_ms");
    check_refused_with(R"("long_ms": 800)", R"("long_ms": null)", "/rule_sets/0/long_ms has the wrong type");
    check_refused_with(R"("name": "remote")", R"("name": [1])", "/rule_sets/0/name has the wrong type");
    check_refused_with(R"("keyboard_layout": {"layout": "us"})", R"("keyboard_layout": 7)",
                       "/keyboard_layout has the wrong type");
}

TEST_CASE("bad input: values out of range are refused with the value and what is allowed") {
    check_refused_with(R"("long_ms": 800)", R"("long_ms": -1)",
                       "/rule_sets/0/long_ms is outside its range: -1");
    check_refused_with(R"("long_ms": 800)", R"("long_ms": 99999)",
                       "/rule_sets/0/long_ms is outside its range: 99999");
    check_refused_with(R"("long_ms": 800)", R"("long_ms": 1e300)", "/rule_sets/0/long_ms");
    check_refused_with(R"("line": 1,)", R"("line": 9,)", "/inputs/10/source/line is outside its range: 9");
    check_refused_with(R"("trial_s": 60)", R"("trial_s": 19)", "/pace/trial_s is outside its range: 19");
}

TEST_CASE("bad input: NaN and infinity are no JSON and are refused") {
    check_refused_with(R"("long_ms": 800)", R"("long_ms": NaN)", "cannot be read");
    check_refused_with(R"("long_ms": 800)", R"("long_ms": Infinity)", "cannot be read");
    check_refused_with(R"("long_ms": 800)", R"("long_ms": 1e999)", "volunteer.json");
}

TEST_CASE(
    "bad input: an unknown version, an unknown key, a missing key, a name of nothing, a key given twice") {
    check_refused_with(R"("format_version": 1)", R"("format_version": 2)",
                       "is of a version that this program does not know");
    check_refused_with(R"("long_ms": 800)", R"("long_time": 800)",
                       "/rule_sets/0/long_time is not a key of a profile");
    check_refused_with(R"("rules": "remote",)", "", "/inputs/0/rules is missing");
    check_refused_with(
        R"("rules": "remote",)", R"("rules": "removed",)",
        "/inputs/0/rules names something that does not exist: \"removed\"; allowed: remote, switches");
    check_refused_with(R"("long_ms": 800)", R"("long_ms": 800, "long_ms": 900)", "long_ms is there twice");
}

TEST_CASE("bad input: invalid UTF-8, in a name and as the whole file, is refused") {
    check_refused_with(R"("name": "remote")", "\"name\": \"rem\xFFte\"", "cannot be read");
    check_refused_with(R"("name": "remote")", "\"name\": \"rem\xC3\"", "cannot be read");
    Rig rig;
    check_all_refuse(rig, rig.put("binary.json", std::string("\x00\xFF\xFE\x80 nothing", 12)),
                     "cannot be read");
}

TEST_CASE("bad input: a file that is not there, a folder, a folder in a file's place") {
    Rig rig;
    check_all_refuse(rig, rig.folder / "none.json", "none.json was not found");
    check_all_refuse(rig, rig.folder.path(), "failed");
    check_all_refuse(rig, rig.put("file", "x") + "/inside.json", "inside.json");
}

TEST_CASE("bad input: a profile that is read only is not taught, not even by root, and stays as it is") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer"), before = rig.content(path);
    std::filesystem::permissions(path, std::filesystem::perms::owner_read);
    const Run ran = rig.run({"teach", path, "--input", "up", "--sim-press", "nec:1:2"});
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "There is no permission for"));
    CHECK(has(ran.err, "Ask the owner of the file, or choose another place."));
    CHECK(rig.content(path) == before);
}

TEST_CASE("bad input: read has nowhere to save: no such folder, or a folder of that name") {
    Rig rig;
    const Run none = rig.run({"read", rig.folder / "no/such/folder.json"});
    CHECK(none.exit == 1);
    CHECK(count(none.err, "\n") == 1);
    const Run folder = rig.run({"read", rig.folder.path(), "--replace"});
    CHECK(folder.exit == 1);
    CHECK(count(folder.err, "\n") == 1);
}

TEST_CASE("bad input: a text that the layout cannot type keeps the profile off the device") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    rig.put("volunteer.json", with(rig.content(path), "Thank you!", "\xE3\x81\x82"));
    const Run ran = rig.run({"write", path, "--agree", "--leave"});
    CHECK(ran.exit == 1);
    CHECK(has(ran.err, "The character \xE3\x81\x82 of thanks cannot be typed by the keyboard layout us."));
    CHECK(has(rig.json({"info"}), R"("runs_built_in":true,)"));
}

TEST_CASE("bad input: a state folder that cannot be made: the answer comes, or a sentence says why not") {
    Rig rig;
    rig.put("state", "a file where the folder should be");
    const Run ran = rig.run({"info"});
    CHECK(ran.exit == 1);
    CHECK(ran.out.empty());
    CHECK(count(ran.err, "\n") == 1);
}
}  // namespace fettle::app::test
