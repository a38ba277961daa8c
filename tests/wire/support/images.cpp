#include "tests/wire/support/images.hpp"

#include <stdexcept>

#include "core/wire/crc.hpp"

namespace fettle::test {

using namespace engine;
using wire::Tag;

namespace {

uint8_t tag(Tag t) {
    return static_cast<uint8_t>(t);
}

void add(Bytes& to, const Bytes& from) {
    to.insert(to.end(), from.begin(), from.end());
}

void add_input(Bytes& to, Source source, uint8_t rule, uint32_t code) {
    uint8_t raw[k_input_bytes];
    put_input(raw, InputDef{source, rule, code});
    to.insert(to.end(), raw, raw + sizeof raw);
}

void add_rule(Bytes& to, const RuleDef& def) {
    uint8_t raw[k_rule_bytes];
    put_rule(raw, def);
    to.insert(to.end(), raw, raw + sizeof raw);
}

void add_action(Bytes& to, ActionKind kind, uint8_t style, uint8_t a, uint8_t b) {
    uint8_t raw[k_action_bytes];
    put_action(raw, ActionDef{kind, style, a, b});
    to.insert(to.end(), raw, raw + sizeof raw);
}

/// 1 count at once, after 200 ms a ramp of 800 ms up to 0.5 counts a ms.
Bytes travel(uint8_t first_step) {
    Bytes body = {0, 200, 0, first_step, 0x20, 0x03, 0, 0, 0xE8, 0x03};
    for (uint32_t i = 0; i < k_curve_points; ++i) {
        const uint32_t speed = i * 4096u;
        add(body, {static_cast<uint8_t>(speed), static_cast<uint8_t>(speed >> 8),
                   static_cast<uint8_t>(speed >> 16)});
    }
    body.insert(body.begin(), static_cast<uint8_t>(body.size()));
    return body;
}

Bytes mouse_keys(uint8_t events) {
    Bytes body = {1, 160, 0, 40, 0, events};
    for (uint8_t i = 0; i <= events; ++i) add(body, {static_cast<uint8_t>(i + 1), 0});
    body.insert(body.begin(), static_cast<uint8_t>(body.size()));
    return body;
}

const RuleDef k_rule = {0, 0, 0, 0, 0, 0, 0, 0, 120, 300};
const RuleDef k_slow_rule = {1, 50, 80, 40, 100, 600, 300, 20, 150, 600};

Bytes labels(const std::vector<std::string>& texts) {
    Bytes body;
    for (const auto& text : texts) {
        body.push_back(static_cast<uint8_t>(text.size()));
        body.insert(body.end(), text.begin(), text.end());
    }
    return body;
}

}  // namespace

Section& section_of(Sections& sections, Tag wanted) {
    for (auto& section : sections)
        if (section.tag == tag(wanted)) return section;
    throw std::logic_error("no such section");
}

Bytes build(const Sections& sections, uint16_t version) {
    Bytes room(4096);
    wire::ImageWriter writer(room.data(), static_cast<uint16_t>(room.size()));
    for (const auto& section : sections) {
        writer.begin_section(static_cast<Tag>(section.tag));
        writer.put(section.body.data(), static_cast<uint16_t>(section.body.size()));
        writer.end_section();
    }
    const uint8_t id[wire::k_profile_id_bytes] = {1, 2, 3, 4, 5, 6, 7, 8};
    if (!writer.finish(id, version)) throw std::logic_error("image too large");
    room.resize(writer.size());
    return room;
}

uint32_t crc_of(const Bytes& image) {
    return get32(image.data() + 16);
}

void seal(Bytes& image) {
    put16(image.data() + 2, static_cast<uint16_t>(image.size()));
    uint32_t crc = wire::k_crc32_start;
    for (size_t i = 0; i < image.size(); ++i)
        if (i < 16 || i >= 20) crc = wire::crc32_step(crc, image[i]);
    put32(image.data() + 16, crc ^ wire::k_crc32_final);
}

Sections full_sections() {
    Bytes inputs, rules, modes, gestures, actions, motions, texts, grid, variant1, variant2;
    add_input(inputs, Source::infrared_first, 0, 0x00FF10EF);
    add_input(inputs, Source::infrared_last, 1, 0xFFFFFFFF);
    add_input(inputs, Source::switch_line, 0, 0x80 | 1);
    add_input(inputs, Source::axis, 1, 0x80u | 0x7F00u | 0x400000u);
    add_input(inputs, Source::none, 0, 0);
    add_rule(rules, k_rule);
    add_rule(rules, k_slow_rule);
    add_action(actions, ActionKind::chord, 2, 0x02, 0x04);
    add_action(actions, ActionKind::latch, 0, 0x01, 0);
    add_action(actions, ActionKind::button, 0, 1, 0);
    add_action(actions, ActionKind::drag, 0, 1, 0);
    add_action(actions, ActionKind::move, 2, 1, 0);
    add_action(actions, ActionKind::scroll, 4, 1, 2);
    add_action(actions, ActionKind::mode, 0, 1, 0);
    add_action(actions, ActionKind::consumer, 0, 0xE9, 0);
    add_action(actions, ActionKind::text, 0, 1, 0);
    add_action(actions, ActionKind::grid_move, 2, 0, 1);
    add_action(actions, ActionKind::grid_pick, 0, 0, 0);
    add_action(actions, ActionKind::jump, 7, 0x2C, 0x01);
    add_action(actions, ActionKind::scale, 1, 0xF4, 0x01);
    add_action(actions, ActionKind::release_all, 0, 0, 0);
    add_action(actions, ActionKind::keep, 0, 0, 0);
    add_action(actions, ActionKind::revert, 0, 0, 0);
    add_action(actions, ActionKind::extend, 0, 0, 0);
    add_action(actions, ActionKind::variant, 0, 2, 0);
    modes = {2, 1, 5, 3, 7, 14, 10, 11, 9, 7, 14};
    gestures = {0, 2, 14, 1 | 0x80, 0, 15};
    motions = travel(2);
    add(motions, mouse_keys(3));
    texts = {3, 0x17, 0x8B, 0x28, 4, 0x04, 0x01, 0x40, 0x14};
    grid = {2, 3, 0x04, 0x05, 0x86, 0x01, 0x40, 0x14, 0x00, 0x28};
    variant1.push_back(1);
    add_rule(variant1, k_rule);
    variant1.push_back(0x40);
    add(variant1, mouse_keys(2));
    variant2.push_back(0x41);
    add(variant2, travel(9));
    return Sections{
        {tag(Tag::inputs), inputs},
        {tag(Tag::rules), rules},
        {tag(Tag::modes), modes},
        {tag(Tag::gestures), gestures},
        {tag(Tag::actions), actions},
        {tag(Tag::motions), motions},
        {tag(Tag::repeats), {0xF4, 0x01, 0x64, 0x00, 0x88, 0x13, 0xD0, 0x07}},
        {tag(Tag::texts), texts},
        {tag(Tag::labels), labels({"far", "letters", "tired", "new"})},
        {tag(Tag::grid), grid},
        {tag(Tag::pace), {30, 0, 60, 0, 90, 0}},
        {tag(Tag::variant), variant1},
        {tag(Tag::variant), variant2},
    };
}

Bytes full_image(uint16_t version) {
    return build(full_sections(), version);
}

Sections plain_sections() {
    Bytes inputs, rules, actions, variant;
    for (uint8_t line = 1; line <= 8; ++line) add_input(inputs, Source::switch_line, 0, 0x80u | line);
    add_rule(rules, k_rule);
    add_action(actions, ActionKind::button, 0, 1, 0);
    add_action(actions, ActionKind::release_all, 0, 0, 0);
    add_action(actions, ActionKind::mode, 1, 0, 0);
    add_action(actions, ActionKind::text, 0, 0, 0);
    add_action(actions, ActionKind::keep, 0, 0, 0);
    add_action(actions, ActionKind::revert, 0, 0, 0);
    add_action(actions, ActionKind::extend, 0, 0, 0);
    add_action(actions, ActionKind::variant, 1, 0, 0);
    variant.push_back(0);
    add_rule(variant, k_slow_rule);
    return Sections{
        {tag(Tag::inputs), inputs},
        {tag(Tag::rules), rules},
        {tag(Tag::modes), {2, 1, 2, 3, 4, 5, 6, 7, 8, 1, 2, 3, 4, 5, 6, 7, 8}},
        {tag(Tag::actions), actions},
        {tag(Tag::texts), {3, 0x17, 0x8B, 0x28}},
        {tag(Tag::labels), labels({"one", "two", "slow"})},
        {tag(Tag::pace), {20, 0, 50, 0, 60, 0}},
        {tag(Tag::variant), variant},
    };
}

Bytes plain_image(uint16_t version) {
    return build(plain_sections(), version);
}

wire::ImageVerdict load_from(const Bytes& image, uint8_t variant, Setup& setup) {
    static wire::MemoryImage memory;  // the setup goes on reading from the last image that was loaded
    memory = wire::MemoryImage{image.data(), static_cast<uint16_t>(image.size())};
    return wire::load(wire::storage_of(memory), static_cast<uint16_t>(image.size()), variant, setup);
}

wire::ImageVerdict verdict_of(const Bytes& image) {
    wire::MemoryImage memory = {image.data(), static_cast<uint16_t>(image.size())};
    return wire::check(wire::storage_of(memory), static_cast<uint16_t>(image.size()));
}

}  // namespace fettle::test
