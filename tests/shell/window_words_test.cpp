#include "app/shell/window_words.hpp"

#include <doctest/doctest.h>

#include <map>

namespace fettle::app {
namespace {

Environment environment(std::map<std::string, std::string> values) {
    return [values = std::move(values)](const std::string& name) -> std::optional<std::string> {
        const auto found = values.find(name);
        if (found == values.end()) return std::nullopt;
        return found->second;
    };
}

}  // namespace

TEST_CASE("window words: without a display, without OpenGL: one sentence that says what works") {
    for (const char* where : {"display", "opengl"}) {
        for (const char* detail : {"", "X11: Failed to open display"}) {
            const std::string words = no_window_sentence({Errc::unsupported, where, detail});
            CAPTURE(words);
            CHECK(words.ends_with("see fettle --help."));
            CHECK(words.find('\n') == std::string::npos);
            CHECK((words.find("OpenGL") != std::string::npos) == (std::string(where) == "opengl"));
            CHECK((words.find("Failed") != std::string::npos) == (*detail != '\0'));
        }
    }
}

TEST_CASE("window words: the first of LC_ALL, LC_MESSAGES, LANG that says something gives the language") {
    CHECK(system_language(environment({})) == Language::english);
    CHECK(system_language(environment({{"LANG", "de_DE.UTF-8"}})) == Language::german);
    CHECK(system_language(environment({{"LANG", "de"}})) == Language::german);
    CHECK(system_language(environment({{"LANG", "de_AT.UTF-8"}, {"LC_ALL", "C.UTF-8"}})) ==
          Language::english);
    CHECK(system_language(environment({{"LANG", "en_GB.UTF-8"}, {"LC_MESSAGES", "de_CH.UTF-8"}})) ==
          Language::german);
    CHECK(system_language(environment({{"LC_ALL", ""}, {"LANG", "de_DE"}})) == Language::german);
    CHECK(system_language(environment({{"LANG", "den_CA.UTF-8"}})) == Language::english);
    CHECK(system_language(environment({{"LANG", "fr_FR.UTF-8"}})) == Language::english);
}

TEST_CASE("window words: only what was asked for replaces what was remembered") {
    ui::Options options;
    options.language = Language::german;
    options.theme = ui::ThemeName::light;
    options.scale_percent = 150;
    const ui::Options remembered = options;
    WindowArgs args;
    apply(args, options);
    CHECK(options == remembered);
    args.scale_percent = 300;
    apply(args, options);
    CHECK(options.scale_percent == 300);
    CHECK(options.theme == ui::ThemeName::light);
    args.theme = "contrast";
    args.language = "en";
    apply(args, options);
    CHECK(options.theme == ui::ThemeName::high_contrast);
    CHECK(options.language == Language::english);
    args.theme = "dark";
    args.language = "de";
    apply(args, options);
    CHECK(options.theme == ui::ThemeName::dark);
    CHECK(options.language == Language::german);
}

}  // namespace fettle::app
