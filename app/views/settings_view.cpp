// How this person works the window, every time that it keeps, the cautions, and which version this is.
#include <array>
#include <string>
#include <utility>
#include <vector>

#include "app/views/views.hpp"
#include "core/base/version.hpp"

namespace fettle::app {

namespace {

using ui::NumberRange;
using ui::Ui;

constexpr std::array k_sizes = {100, 125, 150, 175, 200, 250, 300};
constexpr std::array k_theme_names = {T::settings_dark, T::settings_light, T::settings_high_contrast};
constexpr std::array k_cautions = {T::settings_caution_medical, T::settings_caution_help,
                                   T::settings_caution_fitting, T::settings_caution_electric,
                                   T::settings_caution_stop,    T::settings_caution_type};

int nearest_size(int percent) {
    int at = 0;
    for (std::size_t i = 0; i < k_sizes.size(); ++i)
        if (k_sizes[i] <= percent) at = static_cast<int>(i);
    return at;
}

/// Every control below changes a copy; one order at the end.
void seeing(Ui& ui, ui::Options& o) {
    ui.group("settings.seeing", ui.t(T::settings_seeing));
    ui.heading(ui.t(T::settings_seeing));
    std::vector<std::string> sizes;
    for (const int percent : k_sizes) sizes.push_back(std::to_string(percent) + " %");
    ui.row();
    if (auto size = ui.choice("settings.size", ui.t(T::settings_size), sizes, nearest_size(o.scale_percent)))
        o.scale_percent = k_sizes[static_cast<std::size_t>(*size)];
    std::vector<std::string> themes;
    for (const T name : k_theme_names) themes.emplace_back(ui.t(name));
    if (auto theme = ui.choice("settings.theme", ui.t(T::settings_theme), themes, static_cast<int>(o.theme)))
        o.theme = static_cast<ui::ThemeName>(*theme);
    // Each language by its own name, so that a person finds the way back.
    const std::vector<std::string> languages{text_in(Language::english, T::language_name),
                                             text_in(Language::german, T::language_name)};
    if (auto language = ui.choice("settings.language", ui.t(T::settings_language), languages,
                                  static_cast<int>(o.language)))
        o.language = static_cast<Language>(*language);
    ui.end_row();
    ui.end_group();
}

void reaching(Ui& ui, ui::Options& o) {
    ui.group("settings.reaching", ui.t(T::settings_reaching));
    ui.heading(ui.t(T::settings_reaching));
    ui.quiet(ui.t(T::settings_keys));
    if (ui.toggle("settings.calls", ui.t(T::settings_calls), o.shows_call_list))
        o.shows_call_list = !o.shows_call_list;
    ui.quiet(ui.t(T::settings_calls_help));
    ui.end_group();
}

void number_of(Ui& ui, const char* id, T label, int& value, const NumberRange& range) {
    if (auto next = ui.number(id, ui.t(label), value, range)) value = static_cast<int>(*next);
}

void scanning(Ui& ui, ui::Options& o) {
    ui.group("settings.scanning", ui.t(T::settings_scanning));
    ui.heading(ui.t(T::settings_scanning));
    ui.quiet(ui.t(T::settings_scanning_help));
    if (ui.toggle("settings.scans", ui.t(T::settings_scans), o.scans)) o.scans = !o.scans;
    const std::vector<std::string> starts{ui.t(T::settings_scan_at_once), ui.t(T::settings_scan_on_switch)};
    if (auto start = ui.choice("settings.scan_start", ui.t(T::settings_scan_start), starts,
                               static_cast<int>(o.scan_start)))
        o.scan_start = static_cast<ui::ScanStart>(*start);
    ui.row();
    number_of(ui, "settings.scan_period", T::settings_scan_period, o.scan_period_ms,
              {400, 10000, 100, "ms", false});
    number_of(ui, "settings.scan_first", T::settings_scan_first, o.scan_first_ms,
              {100, 10000, 100, "ms", true});
    number_of(ui, "settings.scan_rounds", T::settings_scan_rounds, o.scan_rounds, {1, 100, 1, "", true});
    ui.end_row();
    ui.end_group();
}

void times(Ui& ui, ui::Options& o) {
    ui.group("settings.times", ui.t(T::settings_times));
    ui.heading(ui.t(T::settings_times));
    ui.row();
    number_of(ui, "settings.lit", T::settings_lit, o.lit_ms, {350, 5000, 50, "ms", false});
    number_of(ui, "settings.tap", T::settings_tap, o.tap_ms, {20, 5000, 10, "ms", false});
    ui.end_row();
    ui.quiet(ui.t(T::settings_limits));
    ui.end_group();
}

void about(Ui& ui) {
    ui.group("settings.about", ui.t(T::settings_cautions));
    ui.heading(ui.t(T::settings_cautions));
    for (const T caution : k_cautions) ui.text(ui.t(caution));
    ui.heading(ui.t(T::settings_about));
    ui.fact("settings.version", ui.t(T::settings_version), k_version);
    ui.fact("settings.build", ui.t(T::settings_build), k_build);
    ui.end_group();
}

}  // namespace

void settings_view(Ui& ui, const Desk& desk, SettingsState&, const Orders& orders) {
    ui::Options options = desk.options;
    seeing(ui, options);
    reaching(ui, options);
    scanning(ui, options);
    times(ui, options);
    about(ui);
    if (options != desk.options) orders(order::SetOptions{options});
}

}  // namespace fettle::app
