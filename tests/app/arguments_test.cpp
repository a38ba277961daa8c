#include "app/arguments.hpp"

#include <doctest/doctest.h>

#include "tests/app/rig.hpp"

namespace fettle::app::test {
namespace {

Parsed parsed(std::vector<const char*> words) {
    words.insert(words.begin(), "fettle");
    return parse_arguments(static_cast<int>(words.size()), words.data(), "fettle 1.2.3");
}
template <typename Args>
Args args_of(const std::vector<const char*>& words) {
    const Parsed p = parsed(words);
    CAPTURE(p.text);
    REQUIRE(p.command);
    REQUIRE(std::holds_alternative<Args>(*p.command));
    return std::get<Args>(*p.command);
}

}  // namespace

TEST_CASE("arguments: each of the 16 commands of the terminal alone, with its defaults") {
    CHECK_FALSE(args_of<DemoArgs>({"demo"}).is_slow);
    CHECK_FALSE(args_of<DevicesArgs>({"devices"}).wants_rule);
    CHECK(args_of<InfoArgs>({"info"}).device.which.empty());
    const auto read = args_of<ReadArgs>({"read"});
    CHECK(read.file.empty());
    CHECK(read.layout == "us");
    CHECK_FALSE(read.replaces);
    CHECK_FALSE(read.wants_spare);
    const auto write = args_of<WriteArgs>({"write", "p.json"});
    CHECK(write.file == "p.json");
    CHECK(write.trial_s == 0);
    CHECK(write.stays);
    CHECK_FALSE(write.has_agreed);
    CHECK_FALSE(args_of<KeepArgs>({"keep"}).helper_overrides);
    args_of<RevertArgs>({"revert"});
    CHECK(args_of<ExtendArgs>({"extend"}).seconds == 60);
    args_of<ReleaseArgs>({"release"});
    CHECK(args_of<CheckArgs>({"check", "p.json"}).accepted_warnings.empty());
    CHECK(args_of<ExplainArgs>({"explain", "p.json"}).file == "p.json");
    CHECK(args_of<TeachArgs>({"teach", "p.json", "--input", "up"}).wait_s == 20);
    const auto watch = args_of<WatchArgs>({"watch"});
    CHECK(watch.for_s == 10);
    CHECK_FALSE(watch.usages);
    CHECK_FALSE(watch.edges);
    CHECK(args_of<DecodeArgs>({"decode", "-"}).file == "-");
    CHECK(args_of<SimulateArgs>({"simulate", "--profile", "p", "--script", "s"}).poll_ms == 1);
    CHECK(args_of<CurveArgs>({"curve", "p.json"}).motion.empty());
}

TEST_CASE("arguments: every option of every command reaches its field") {
    CHECK(args_of<DemoArgs>({"demo", "--pause"}).is_slow);
    CHECK(args_of<DevicesArgs>({"devices", "--rule"}).wants_rule);
    CHECK(args_of<InfoArgs>({"info", "--device", "sim"}).device.which == "sim");
    const auto read = args_of<ReadArgs>({"read", "out.json", "--on-trial", "--replace", "--layout", "de",
                                         "--layout-variant", "nodeadkeys", "--device", "X"});
    CHECK(read.file == "out.json");
    CHECK(read.wants_spare);
    CHECK(read.replaces);
    CHECK(read.layout == "de");
    CHECK(read.layout_variant == "nodeadkeys");
    CHECK(read.device.which == "X");
    const auto write = args_of<WriteArgs>(
        {"write", "p.json", "--trial", "20", "--agree", "--leave", "--accept", "a", "--accept", "b"});
    CHECK(write.trial_s == 20);
    CHECK(write.has_agreed);
    CHECK_FALSE(write.stays);
    CHECK(write.accepted_warnings == std::vector<std::string>{"a", "b"});
    CHECK(args_of<WriteArgs>({"write", "p.json", "--stay"}).stays);
    CHECK(args_of<KeepArgs>({"keep", "--helper-answers-for-it"}).helper_overrides);
    CHECK(args_of<ExtendArgs>({"extend", "--seconds", "600"}).seconds == 600);
    CHECK(args_of<CheckArgs>({"check", "p.json", "--accept", "a"}).accepted_warnings.size() == 1);
    const auto teach = args_of<TeachArgs>(
        {"teach", "p.json", "--input", "up", "--heard", "h", "--sim-press", "nec:1:2", "--wait", "5"});
    CHECK(teach.input == "up");
    CHECK(teach.heard_from == "h");
    CHECK(teach.sim_presses == "nec:1:2");
    CHECK(teach.wait_s == 5);
    const auto watch = args_of<WatchArgs>(
        {"watch", "--seconds", "86400", "--usages", "--edges", "--profile", "p", "--sim-script", "s"});
    CHECK(watch.for_s == 86400);
    CHECK(watch.usages);
    CHECK(watch.edges);
    CHECK(watch.profile == "p");
    CHECK(watch.sim_presses == "s");
    const auto simulate =
        args_of<SimulateArgs>({"simulate", "--profile", "p", "--script", "s", "--poll", "100"});
    CHECK(simulate.profile == "p");
    CHECK(simulate.script == "s");
    CHECK(simulate.poll_ms == 100);
    CHECK(args_of<CurveArgs>({"curve", "p.json", "--motion", "far"}).motion == "far");
}

TEST_CASE("arguments: --json is known to the 12 commands that answer questions, and to no other") {
    for (const auto& words :
         std::vector<std::vector<const char*>>{{"devices", "--json"},
                                               {"info", "--json"},
                                               {"keep", "--json"},
                                               {"revert", "--json"},
                                               {"extend", "--json"},
                                               {"check", "p", "--json"},
                                               {"explain", "p", "--json"},
                                               {"curve", "p", "--json"},
                                               {"teach", "p", "--input", "i", "--json"},
                                               {"watch", "--json"},
                                               {"decode", "p", "--json"},
                                               {"simulate", "--profile", "p", "--script", "s", "--json"}}) {
        CAPTURE(words[0]);
        CHECK(parsed(words).is_json);
        CHECK(parsed(words).command);
    }
    for (const auto& words : std::vector<std::vector<const char*>>{
             {"demo", "--json"}, {"read", "--json"}, {"write", "p", "--json"}, {"release", "--json"}})
        CHECK(parsed(words).exit_code == 2);
}

TEST_CASE("arguments: 30 wrong usages end with 2, and say what is wrong") {
    int wrong = 0;
    for (const auto& words : std::vector<std::vector<const char*>>{
             {"nothing"},
             {"--nothing"},
             {"info", "--nothing"},
             {"info", "extra"},
             {"info", "--device"},
             {"write"},
             {"write", "a", "b"},
             {"write", "a", "--trial", "19"},
             {"write", "a", "--trial", "601"},
             {"write", "a", "--trial", "x"},
             {"write", "a", "--trial"},
             {"extend", "--seconds", "19"},
             {"extend", "--seconds", "601"},
             {"check"},
             {"curve"},
             {"curve", "a", "b"},
             {"teach", "p"},
             {"teach", "--input", "i"},
             {"teach", "p", "--input", "i", "--wait", "0"},
             {"teach", "p", "--input", "i", "--wait", "601"},
             {"watch", "--seconds", "0"},
             {"watch", "--seconds", "86401"},
             {"decode"},
             {"simulate"},
             {"simulate", "--profile", "p"},
             {"simulate", "--profile", "p", "--script", "s", "--poll", "0"},
             {"simulate", "--profile", "p", "--script", "s", "--poll", "101"},
             {"info", "devices"},
             {"devices", "--rule", "1-1"},
             {"release", "--json"}}) {
        CAPTURE(words[0]);
        ++wrong;
        const Parsed p = parsed(words);
        CHECK_FALSE(p.command);
        CHECK(p.exit_code == 2);
        CHECK(p.text.size() > 10);
    }
    CHECK(wrong == 30);
}

TEST_CASE("arguments: --help and --version are what was handed over, exit 0") {
    CHECK(has(parsed({"--help"}).text, "simulate"));
    CHECK(parsed({"--help"}).exit_code == 0);
    CHECK(parsed({"--version"}).exit_code == 0);
    CHECK(parsed({"--version"}).text == "fettle 1.2.3\n");
    CHECK(has(parsed({"write", "--help"}).text, "--agree"));
}

TEST_CASE("arguments: the window by its name and without, with the same 7 options") {
    CHECK(args_of<WindowArgs>({"window"}).is_asked);
    CHECK_FALSE(args_of<WindowArgs>({}).is_asked);
    std::vector<const char*> words = {"--device",     "sim", "--scale",       "150", "--theme",       "light",
                                      "--language",   "de",  "--data-folder", "/d",  "--screen-text", "/t",
                                      "--screenshot", "/p"};
    for (int i = 0; i < 2; ++i) {
        const auto window = args_of<WindowArgs>(words);
        CHECK(window.is_asked == (i == 1));
        CHECK(window.device.which == "sim");
        CHECK(window.scale_percent == 150);
        CHECK(window.theme == "light");
        CHECK(window.language == "de");
        CHECK(window.data_folder == "/d");
        CHECK(window.screen_text == "/t");
        CHECK(window.pictures == "/p");
        words.insert(words.begin(), "window");
    }
    const auto bare = args_of<WindowArgs>({"window"});
    CHECK(bare.scale_percent == 0);
    CHECK(bare.theme.empty());
    CHECK(bare.language.empty());
}

TEST_CASE("arguments: the window's options before another command, or out of range, are wrong usage") {
    for (const std::vector<const char*>& words : {std::vector<const char*>{"--scale", "150", "demo"},
                                                  {"--scale", "99"},
                                                  {"--scale", "301"},
                                                  {"--theme", "pink"},
                                                  {"window", "--language", "xx"},
                                                  {"--device", "sim", "info"},
                                                  {"window", "demo"}}) {
        CAPTURE(words[0]);
        const Parsed p = parsed(words);
        CHECK_FALSE(p.command);
        CHECK(p.exit_code == 2);
        CHECK(p.text.size() > 10);
    }
}
}  // namespace fettle::app::test
