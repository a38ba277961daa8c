// How the window is worked, as text in the store's settings: a line each, name=value. What a line says that
// is unknown or out of range is left as it was, so that an older program reads what a newer one wrote.

#include <cstdlib>
#include <sstream>

#include "app/desk/desk_inside.hpp"

namespace fettle::app {

namespace {

struct OptionField {
    const char* name;
    int least, most;
    int (*get)(const ui::Options&);
    void (*set)(ui::Options&, int);
};

template <auto member>
constexpr OptionField number(const char* name, int least, int most) {
    return {name, least, most, [](const ui::Options& o) { return static_cast<int>(o.*member); },
            [](ui::Options& o, int value) {
                using Value = std::remove_reference_t<decltype(o.*member)>;
                o.*member = static_cast<Value>(value);
            }};
}

// Ranges: app/ui/options.hpp; the last of each enumeration.
constexpr OptionField k_fields[] = {
    number<&ui::Options::language>("language", 0, k_languages - 1),
    number<&ui::Options::theme>("theme", 0, 2),
    number<&ui::Options::scale_percent>("scale_percent", 100, 300),
    number<&ui::Options::shows_call_list>("shows_call_list", 0, 1),
    number<&ui::Options::scans>("scans", 0, 1),
    number<&ui::Options::scan_period_ms>("scan_period_ms", 400, 10000),
    number<&ui::Options::scan_first_ms>("scan_first_ms", 0, 10000),
    number<&ui::Options::scan_rounds>("scan_rounds", 0, 100),
    number<&ui::Options::scan_start>("scan_start", 0, 1),
    number<&ui::Options::lit_ms>("lit_ms", 350, 5000),
    number<&ui::Options::tap_ms>("tap_ms", 1, 10000),
};

}  // namespace

std::string options_text(const ui::Options& options) {
    std::string all;
    for (const OptionField& field : k_fields)
        all += std::string(field.name) + "=" + std::to_string(field.get(options)) + "\n";
    return all;
}

ui::Options options_from(const std::string& text) {
    ui::Options options;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        const auto equals = line.find('=');
        if (equals == std::string::npos || equals + 1 == line.size()) continue;
        char* end = nullptr;
        const long value = std::strtol(line.c_str() + equals + 1, &end, 10);
        for (const OptionField& field : k_fields)
            if (line.compare(0, equals, field.name) == 0 && *end == 0 && value >= field.least &&
                value <= field.most)
                field.set(options, static_cast<int>(value));
    }
    return options;
}

void DeskKeeper::Inside::save_options() {
    with_store(
        T::desk_work_save,
        [options = options_text(desk.options)](store::Store& its) {
            return its.set_setting(k_options_setting, options);
        },
        [](Inside& in, const Status& status) {
            if (!status) in.problem(status.error());
        });
}

}  // namespace fettle::app
