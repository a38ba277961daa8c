#include "app/words/event_names.hpp"

#include "app/words/action_words.hpp"
#include "core/wire/image.hpp"

namespace fettle::app {

namespace {

template <typename Named>
std::vector<std::string> names_in(const std::vector<Named>& all) {
    std::vector<std::string> names;
    for (const Named& one : all) names.push_back(one.name);
    return names;
}

/// The image leaves out what no press uses, so its texts are counted by the actions that type them.
void name_text(const engine::Setup& setup, std::uint8_t number, const std::string& text, EventNames& names) {
    engine::ActionDef def{};
    if (!setup.action(number, def) || def.kind != engine::ActionKind::text) return;
    while (names.texts.size() <= def.a)
        names.texts.push_back(text_in(names.language, T::name_text, names.texts.size() + 1));
    names.texts[def.a] = text;
}

void name_actions(const profile::Profile& profile, const engine::Setup& setup, EventNames& names) {
    const auto name = [&](std::uint8_t number, const std::optional<profile::Action>& action) {
        if (!action || number == 0 || number > names.actions.size()) return;
        names.actions[number - 1u] = action_words(*action, profile, names.language);
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
    return index < inputs.size() ? inputs[index] : text_in(language, T::name_input, index + 1);
}
std::string EventNames::mode(std::uint8_t index) const {
    if (index < modes.size()) return text_in(language, T::name_mode, modes[index]);
    return text_in(language, modes.empty() ? T::name_mode : T::name_mode_number, index + 1);
}
std::string EventNames::variant(std::uint8_t index) const {
    if (index == 0) return text_in(language, T::name_variant, profile::k_base_variant);
    if (index <= variants.size()) return text_in(language, T::name_variant, variants[index - 1u]);
    return variants.empty() ? text_in(language, T::name_variant, index + 1)
                            : text_in(language, T::name_variant_number, int{index});
}
std::string EventNames::text(std::uint8_t index) const {
    return index < texts.size() ? texts[index] : text_in(language, T::name_text, index + 1);
}
std::string EventNames::action(std::uint8_t number) const {
    if (number == 0) return text_in(language, T::does_nothing);
    return number <= actions.size() ? actions[number - 1u] : text_in(language, T::name_action, int{number});
}

EventNames names_of(const profile::Profile& profile, const std::vector<std::uint8_t>& image,
                    Language language) {
    wire::MemoryImage memory{image.data(), static_cast<std::uint16_t>(image.size())};
    engine::Setup setup;
    if (wire::load(wire::storage_of(memory), memory.size, 0, setup).fault != wire::ImageFault::none)
        return {};
    EventNames names{
        names_in(profile.inputs), names_in(profile.modes), names_in(profile.variants), {}, {}, language};
    for (std::size_t i = 1; i <= setup.action_count; ++i)
        names.actions.push_back(text_in(language, T::name_action, i));
    name_actions(profile, setup, names);
    return names;
}

}  // namespace fettle::app
