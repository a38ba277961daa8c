#include "app/words/infrared_words.hpp"

#include <fmt/format.h>

#include <array>
#include <charconv>
#include <vector>

#include "core/profile/field_table.hpp"

namespace fettle::app {

using engine::IrFrame;
using engine::Protocol;

namespace {

std::vector<std::string_view> split(std::string_view text) {
    std::vector<std::string_view> parts;
    for (;;) {
        const std::size_t colon = text.find(':');
        parts.push_back(text.substr(0, colon));
        if (colon == std::string_view::npos) return parts;
        text.remove_prefix(colon + 1);
    }
}

std::optional<std::uint16_t> number(std::string_view text) {
    int base = 10;
    if (text.starts_with("0x")) {
        base = 16;
        text.remove_prefix(2);
    }
    std::uint16_t value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, base);
    if (error != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return value;
}

}  // namespace

std::string protocol_name(Protocol protocol) {
    const profile::Field& field = profile::field::k_protocol;
    const auto index = static_cast<int>(protocol) - static_cast<int>(field.least);
    return index >= 0 && index < field.choices.count ? field.choices.names[index] : "none";
}

std::optional<Protocol> protocol_named(std::string_view name) {
    const int index = profile::choice_of(profile::field::k_protocol, name);
    if (index < 0) return std::nullopt;
    return static_cast<Protocol>(index + static_cast<int>(profile::field::k_protocol.least));
}

IrFrame frame_of_event(const engine::Event& event) {
    IrFrame frame = engine::make_ir_frame(static_cast<Protocol>(event.data[0] & 0x7F), 0, 0);
    const std::uint32_t code = engine::get32(event.data + 2);
    frame.repeat = (event.data[0] & 0x80) != 0;
    frame.toggle = event.data[1];
    if (frame.protocol == Protocol::unknown) {
        frame.signature = code;
        return frame;
    }
    frame.address = static_cast<std::uint16_t>(code >> 8);
    frame.command = static_cast<std::uint16_t>(code & 0xFF);
    frame.extended = static_cast<std::uint8_t>(code >> 24);
    return frame;
}

std::string frame_words(const IrFrame& frame) {
    std::string words = protocol_name(frame.protocol);
    if (frame.protocol == Protocol::unknown)
        return words + fmt::format("  signature {:08x}", frame.signature);
    const bool is_bare = frame.repeat && frame.protocol != Protocol::jvc;
    if (!is_bare) words += fmt::format("  address {:#04x}  command {:#04x}", frame.address, frame.command);
    if (frame.protocol == Protocol::sirc20) words += fmt::format("  extended {:#04x}", frame.extended);
    if (frame.toggle != engine::k_no_toggle) words += fmt::format("  toggle {}", frame.toggle);
    if (frame.repeat) words += "  repeat";
    return words;
}

Result<IrFrame> parse_frame(std::string_view text) {
    const auto parts = split(text);
    const auto protocol = protocol_named(parts[0]);
    if (!protocol || *protocol == Protocol::unknown)
        return fail(Errc::unknown_name, std::string(parts[0]), "infrared protocol");
    const bool has_extended = *protocol == Protocol::sirc20;
    if (parts.size() != (has_extended ? 4u : 3u))
        return fail(Errc::syntax, std::string(text),
                    has_extended ? "PROTOCOL:ADDRESS:COMMAND:EXTENDED" : "PROTOCOL:ADDRESS:COMMAND");
    IrFrame frame = engine::make_ir_frame(*protocol, 0, 0);
    std::array<std::uint16_t, 3> values{};
    for (std::size_t i = 1; i < parts.size(); ++i) {
        const auto value = number(parts[i]);
        if (!value) return fail(Errc::out_of_range, std::string(parts[i]), "0 to 65535");
        values[i - 1] = *value;
    }
    frame.address = values[0];
    frame.command = values[1];
    frame.extended = static_cast<std::uint8_t>(values[2]);
    return frame;
}

}  // namespace fettle::app
