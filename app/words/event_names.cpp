#include "app/words/event_names.hpp"

#include <fmt/format.h>

#include "app/words/action_words.hpp"
#include "core/wire/image.hpp"

namespace fettle::app {

namespace {

/// "far" of "far", "near"; "mode 3" where there is no name.
std::string one_of(const std::vector<std::string>& names, std::size_t index, const char* what) {
    return index < names.size() ? names[index] : std::string(what) + " " + std::to_string(index + 1);
}

template <typename T>
std::vector<std::string> names_in(const std::vector<T>& all) {
    std::vector<std::string> names;
    for (const T& one : all) names.push_back(one.name);
    return names;
}

/// The image leaves out what no press uses, so its texts are counted by the actions that type them.
void name_text(const engine::Setup& setup, std::uint8_t number, const std::string& text, EventNames& names) {
    engine::ActionDef def{};
    if (!setup.action(number, def) || def.kind != engine::ActionKind::text) return;
    while (names.texts.size() <= def.a) names.texts.push_back(fmt::format("text {}", names.texts.size() + 1));
    names.texts[def.a] = text;
}

void name_actions(const profile::Profile& profile, const engine::Setup& setup, EventNames& names) {
    const auto name = [&](std::uint8_t number, const std::optional<profile::Action>& action) {
        if (!action || number == 0 || number > names.actions.size()) return;
        names.actions[number - 1u] = action_words(*action, profile);
        if (const auto* typed = std::get_if<profile::TypeText>(&*action))
            name_text(setup, number, typed->text, names);
    };
    for (std::size_t m = 0; m < profile.modes.size() && m < setup.mode_count; ++m)
        for (const auto& one : profile.modes[m].assignments) {
            const int at = profile::index_of(profile.inputs, one.input);
            if (at < 0 || at >= setup.input_count) continue;
            const auto mode = static_cast<std::uint8_t>(m), input = static_cast<std::uint8_t>(at);
            name(setup.cell(mode, input), one.short_press);
            name(setup.gesture(mode, input, engine::Gesture::long_press), one.long_press);
            name(setup.gesture(mode, input, engine::Gesture::double_press), one.double_press);
        }
}

}  // namespace

std::string EventNames::input(std::uint8_t index) const {
    return one_of(inputs, index, "input");
}
std::string EventNames::mode(std::uint8_t index) const {
    return modes.empty() ? one_of(modes, index, "mode") : "mode " + one_of(modes, index, "number");
}
std::string EventNames::variant(std::uint8_t index) const {
    if (index == 0) return std::string("variant ") + profile::k_base_variant;
    return variants.empty() ? one_of(variants, index, "variant")
                            : "variant " + one_of(variants, index - 1u, "number");
}
std::string EventNames::text(std::uint8_t index) const {
    return one_of(texts, index, "text");
}
std::string EventNames::action(std::uint8_t number) const {
    return number == 0 ? "nothing" : one_of(actions, number - 1u, "action");
}

EventNames names_of(const profile::Profile& profile, const std::vector<std::uint8_t>& image) {
    wire::MemoryImage memory{image.data(), static_cast<std::uint16_t>(image.size())};
    engine::Setup setup;
    if (wire::load(wire::storage_of(memory), memory.size, 0, setup).fault != wire::ImageFault::none)
        return {};
    EventNames names{names_in(profile.inputs), names_in(profile.modes), names_in(profile.variants), {}, {}};
    for (std::size_t i = 1; i <= setup.action_count; ++i)
        names.actions.push_back("action " + std::to_string(i));
    name_actions(profile, setup, names);
    return names;
}

}  // namespace fettle::app
