// fettle devices: what is attached, who holds it, and the rule that lets it be opened.

#include <fmt/format.h>

#include <array>

#include "app/device_door.hpp"
#include "app/program.hpp"
#include "app/words/plain_text.hpp"
#include "app/words/udev_rule.hpp"

namespace fettle::app {

namespace {

const char* channel_name(link::ChannelKind channel) {
    static constexpr std::array k_channels = {"simulated", "hid", "serial"};
    return k_channels.at(static_cast<std::size_t>(channel));
}

struct Listed {
    link::Attached device;
    std::optional<std::string> holder;
};

std::string state_words(const Listed& one) {
    if (!one.device.is_accessible)
        return sentence({Errc::no_access, one.device.path, ""}, DeviceThen::not_involved);
    if (one.holder) return sentence({Errc::in_use, one.device.path, *one.holder}, DeviceThen::not_involved);
    return {};
}

std::string line_of(const Listed& one) {
    const auto& d = one.device;
    std::string ways = channel_name(d.channel);
    if (!d.fallback_path.empty()) ways += "+serial";
    std::string nodes = d.path;
    if (!d.fallback_path.empty()) nodes += ", " + d.fallback_path;
    if (!d.place.empty()) nodes += "; socket " + d.place;
    std::string line = fmt::format("{:<10} {:<10} {}  ({})\n", ways, d.serial, d.product, nodes);
    if (const auto state = state_words(one); !state.empty()) line += "           " + state + "\n";
    return line;
}

Answer answer_of(const Listed& one) {
    const auto& d = one.device;
    Answer answer = Answer::object();
    answer.add("channel", channel_name(d.channel))
        .add("serial", d.serial)
        .add("product", d.product)
        .add("path", d.path)
        .add("fallback_path", d.fallback_path)
        .add("place", d.place)
        .add("is_accessible", d.is_accessible)
        .add("held_by", one.holder ? Answer(*one.holder) : Answer());
    return answer;
}

std::string stranger_words(const link::Stranger& stranger) {
    return text_in(
        Language::english, T::connect_stranger,
        stranger.product.empty() ? text_in(Language::english, T::connect_unnamed) : stranger.product.c_str(),
        stranger.place);
}

Exit print_rule(const Program& program) {
    if (program.console.is_json)
        return program.answer(Answer::object().add("rule", k_udev_rule).add("place", k_udev_rule_place), {});
    program.console.out << k_udev_rule << std::flush;
    program.console.err << text_in(Language::english, T::rule_place, k_udev_rule_place) << ' '
                        << text_in(Language::english, T::rule_who) << '\n';
    return Exit::done;
}

}  // namespace

Exit run_devices(const Program& program, const DevicesArgs& args) {
    if (args.wants_rule) return print_rule(program);
    link::Sight sight;
    if (program.world != nullptr) {
        auto seen = program.world->look();
        if (!seen) return program.could_not(seen.error());
        sight = std::move(*seen);
    }
    Answer devices = Answer::array(), strangers = Answer::array();
    std::string lines;
    const auto list = [&](const Listed& one) {
        lines += line_of(one);
        devices.push(answer_of(one));
    };
    for (const auto& device : sight.devices)
        list({device, device.is_accessible ? program.world->holder(device) : std::nullopt});
    list({simulated_device(), std::nullopt});
    for (const auto& stranger : sight.strangers) {
        lines += stranger_words(stranger) + "\n";
        strangers.push(Answer::object().add("place", stranger.place).add("product", stranger.product));
    }
    if (sight.devices.empty() && sight.strangers.empty() && !program.console.is_json)
        program.console.err << text_in(Language::english, T::devices_none) << '\n';
    return program.answer(
        Answer::object().add("devices", std::move(devices)).add("strangers", std::move(strangers)), lines);
}

}  // namespace fettle::app
