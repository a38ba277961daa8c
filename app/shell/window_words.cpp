#include "app/shell/window_words.hpp"

namespace fettle::app {

namespace {

ui::ThemeName theme_named(const std::string& name) {
    if (name == "light") return ui::ThemeName::light;
    return name == "contrast" ? ui::ThemeName::high_contrast : ui::ThemeName::dark;
}

}  // namespace

std::string no_window_sentence(const Error& error) {
    const std::string said = error.detail.empty() ? "" : " (" + error.detail + ")";
    const std::string rest = "; everything else works without it, see fettle --help.";
    if (error.where == "opengl")
        return "The window needs OpenGL 3.0 or newer, which this display does not give" + said + rest;
    return "There is no display to open the window on" + said + rest;
}

Language system_language(const Environment& environment) {
    for (const char* name : {"LC_ALL", "LC_MESSAGES", "LANG"}) {
        const auto value = environment(name);
        if (!value || value->empty()) continue;
        const bool is_german = *value == "de" || value->starts_with("de_") || value->starts_with("de.");
        return is_german ? Language::german : Language::english;
    }
    return Language::english;
}

void apply(const WindowArgs& args, ui::Options& options) {
    if (args.scale_percent > 0) options.scale_percent = args.scale_percent;
    if (!args.theme.empty()) options.theme = theme_named(args.theme);
    if (!args.language.empty())
        options.language = args.language == "de" ? Language::german : Language::english;
}

}  // namespace fettle::app
