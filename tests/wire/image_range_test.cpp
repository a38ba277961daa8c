// Every value of every record: the least and the largest that are lawful, and the ones beside them that are
// not.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <stdexcept>

#include "core/wire/image.hpp"
#include "tests/wire/support/images.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;
using namespace fettle::engine;

namespace {

bool is_lawful(const Sections& sections, Tag tag) {
    const ImageVerdict verdict = verdict_of(build(sections));
    if (verdict.fault == ImageFault::none) return true;
    CHECK(verdict.fault == ImageFault::range);
    CHECK(verdict.tag == static_cast<uint8_t>(tag));
    return false;
}

/// full_sections() with one rule's field replaced.
bool is_rule_lawful(uint16_t RuleDef::*field, uint16_t value) {
    auto sections = full_sections();
    Bytes& body = section_of(sections, Tag::rules).body;
    RuleDef rule = get_rule(body.data());
    rule.*field = value;
    put_rule(body.data(), rule);
    return is_lawful(sections, Tag::rules);
}

bool is_action_lawful(ActionKind kind, int style, int a, int b) {
    auto sections = full_sections();
    put_action(
        section_of(sections, Tag::actions).body.data(),
        ActionDef{kind, static_cast<uint8_t>(style), static_cast<uint8_t>(a), static_cast<uint8_t>(b)});
    return is_lawful(sections, Tag::actions);
}

bool is_input_lawful(int source, int rule, uint32_t code) {
    auto sections = full_sections();
    put_input(section_of(sections, Tag::inputs).body.data(),
              InputDef{static_cast<Source>(source), static_cast<uint8_t>(rule), code});
    return is_lawful(sections, Tag::inputs);
}

/// One byte of a section replaced by each of its 256 values: which are lawful?
std::vector<int> lawful_bytes(Tag tag, size_t at) {
    std::vector<int> lawful;
    for (int value = 0; value < 256; ++value) {
        auto sections = full_sections();
        section_of(sections, tag).body.at(at) = static_cast<uint8_t>(value);
        if (verdict_of(build(sections)).fault == ImageFault::none) lawful.push_back(value);
    }
    return lawful;
}

}  // namespace

TEST_CASE("range: nine times of a rule, at both ends and past them") {
    struct Row {
        uint16_t RuleDef::*field;
        uint16_t least, most;
        bool may_be_off;
    };
    const Row rows[] = {
        {&RuleDef::acceptance_ms, 0, 5000, true},    {&RuleDef::debounce_ms, 0, 5000, true},
        {&RuleDef::bridge_ms, 0, 2000, true},        {&RuleDef::refractory_ms, 0, 5000, true},
        {&RuleDef::long_ms, 100, 5000, true},        {&RuleDef::double_ms, 100, 3000, true},
        {&RuleDef::guard_ms, 0, 2000, true},         {&RuleDef::holdover_ms, 0, 1000, true},
        {&RuleDef::longest_hold_ds, 5, 6000, false},
    };
    for (const auto& row : rows) {
        CAPTURE(row.most);
        CHECK(is_rule_lawful(row.field, row.least));
        CHECK(is_rule_lawful(row.field, row.most));
        CHECK_FALSE(is_rule_lawful(row.field, static_cast<uint16_t>(row.most + 1)));
        CHECK_FALSE(is_rule_lawful(row.field, 65535));
        if (row.least > 0) CHECK_FALSE(is_rule_lawful(row.field, static_cast<uint16_t>(row.least - 1)));
        CHECK(is_rule_lawful(row.field, 0) == row.may_be_off);
    }
    CHECK(lawful_bytes(Tag::rules, 0) == std::vector<int>{0, 1});  // flags
}

TEST_CASE("range: inputs name a rule that is there, a line of 1 to 8, an axis of 0 to 3 with hysteresis") {
    for (int source = 0; source < 16; ++source) {
        CAPTURE(source);
        const uint32_t code = source == 12 ? 0x81 : source == 13 ? 0x002040 : 0;
        const uint32_t axis_code = 0x402000u | 0x82u;
        if (source == 13)
            CHECK_FALSE(is_input_lawful(source, 0, axis_code));  // up at 0x40 would be above down at 0x20
        else
            CHECK(is_input_lawful(source, 0, code) == (source <= 12));
    }
    CHECK(is_input_lawful(13, 0, 0x204083));
    CHECK_FALSE(is_input_lawful(13, 0, 0x204084));
    CHECK_FALSE(is_input_lawful(13, 0, 0x404083));
    CHECK_FALSE(is_input_lawful(13, 0, 0x01204083));
    CHECK_FALSE(is_input_lawful(0, 0, 1));
    CHECK(is_input_lawful(1, 1, 0xFFFFFFFF));
    CHECK_FALSE(is_input_lawful(1, 2, 0));
    for (uint32_t line = 0; line < 256; ++line) {
        CAPTURE(line);
        CHECK(is_input_lawful(12, 0, line) == ((line & 0x7F) >= 1 && (line & 0x7F) <= 8));
    }
    CHECK_FALSE(is_input_lawful(12, 0, 0x101));
}

TEST_CASE("range: actions of all 32 kinds, at both ends of each of their values") {
    CHECK(is_action_lawful(ActionKind::none, 0, 0, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::chord, 0, 0, 0));
    CHECK(is_action_lawful(ActionKind::chord, 1, 1, 0));
    CHECK(is_action_lawful(ActionKind::chord, 3, 0, 0x04));
    CHECK(is_action_lawful(ActionKind::chord, 0, 255, 0xA4));
    CHECK_FALSE(is_action_lawful(ActionKind::chord, 0, 0, 0x03));
    CHECK_FALSE(is_action_lawful(ActionKind::chord, 0, 0, 0xA5));
    CHECK_FALSE(is_action_lawful(ActionKind::chord, 4, 0, 0x04));  // two repeat settings are there
    CHECK(is_action_lawful(ActionKind::latch, 2, 0x80, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::latch, 3, 1, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::latch, 0, 0, 0));
    CHECK(is_action_lawful(ActionKind::button, 2, 7, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::button, 3, 1, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::button, 0, 0, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::drag, 0, 0, 0));
    CHECK(is_action_lawful(ActionKind::move, 7, 1, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::move, 7, 2, 0));
    for (int style = 0; style < 8; ++style) {
        CHECK(is_action_lawful(ActionKind::scroll, style, 1, 0) == (style % 2 == 0));
        CHECK(is_action_lawful(ActionKind::grid_move, style, 0, 0) == (style % 2 == 0));
    }
    CHECK(is_action_lawful(ActionKind::scroll, 0, 127, 2));
    CHECK_FALSE(is_action_lawful(ActionKind::scroll, 0, 128, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::scroll, 0, 0, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::scroll, 0, 1, 3));
    CHECK_FALSE(is_action_lawful(ActionKind::grid_move, 0, 0, 3));
    CHECK(is_action_lawful(ActionKind::mode, 0, 1, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::mode, 0, 2, 0));
    CHECK(is_action_lawful(ActionKind::mode, 1, 200, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::mode, 2, 2, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::mode, 3, 0, 0));
    CHECK(is_action_lawful(ActionKind::consumer, 1, 0xFF, 0x03));
    CHECK_FALSE(is_action_lawful(ActionKind::consumer, 1, 0x00, 0x04));
    CHECK_FALSE(is_action_lawful(ActionKind::consumer, 0, 0, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::consumer, 2, 1, 0));
    CHECK(is_action_lawful(ActionKind::text, 0, 1, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::text, 0, 2, 0));
    CHECK(is_action_lawful(ActionKind::jump, 0, 0xFF, 0x7F));
    CHECK_FALSE(is_action_lawful(ActionKind::jump, 0, 0x00, 0x80));
    CHECK_FALSE(is_action_lawful(ActionKind::jump, 0, 0, 0));
    CHECK(is_action_lawful(ActionKind::scale, 0, 50, 0));
    CHECK(is_action_lawful(ActionKind::scale, 1, 0xA0, 0x0F));
    CHECK_FALSE(is_action_lawful(ActionKind::scale, 1, 0xA1, 0x0F));
    CHECK_FALSE(is_action_lawful(ActionKind::scale, 0, 49, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::scale, 2, 100, 0));
    CHECK(is_action_lawful(ActionKind::variant, 0, 2, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::variant, 0, 3, 0));
    CHECK(is_action_lawful(ActionKind::variant, 1, 99, 0));
    CHECK_FALSE(is_action_lawful(ActionKind::variant, 2, 0, 0));
    for (int kind = 14; kind < 18; ++kind) CHECK(is_action_lawful(static_cast<ActionKind>(kind), 0, 0, 0));
    for (int kind = 19; kind < 32; ++kind)
        CHECK_FALSE(is_action_lawful(static_cast<ActionKind>(kind), 0, 1, 1));
}

TEST_CASE("range: a grid action without a grid is refused") {
    for (const ActionKind kind : {ActionKind::grid_move, ActionKind::grid_pick}) {
        auto sections = plain_sections();
        put_action(section_of(sections, Tag::actions).body.data(), ActionDef{kind, 0, 0, 0});
        CHECK_FALSE(is_lawful(sections, Tag::actions));
    }
}

TEST_CASE("range: cells and gestures name modes, inputs and actions that are there") {
    for (size_t at = 1; at < 11; ++at) CHECK(lawful_bytes(Tag::modes, at).size() == 19);  // 0 to 18
    CHECK(lawful_bytes(Tag::modes, 0) == std::vector<int>{2});
    CHECK(lawful_bytes(Tag::gestures, 0) == std::vector<int>{0, 1, 128, 129});
    CHECK(lawful_bytes(Tag::gestures, 1).size() == 5);
    CHECK(lawful_bytes(Tag::gestures, 2).size() == 19);
}

TEST_CASE("range: motions of both families, at both ends") {
    struct Row {
        size_t at;
        uint16_t least, most;
    };
    // Place in the section: travel's record begins at 0 (length byte), mouse_keys' at 38.
    const Row rows[] = {{2, 0, 5000},    {5, 0, 20000}, {7, 0, 2000},
                        {9, 1000, 8000}, {40, 0, 5000}, {42, 8, 1000}};
    for (const auto& row : rows)
        for (const int past : {-1, 0, 1, 2}) {
            const int value = past < 1 ? row.least + past : row.most + past - 1;
            if (value < 0) continue;
            auto sections = full_sections();
            put16(section_of(sections, Tag::motions).body.data() + row.at, static_cast<uint16_t>(value));
            CAPTURE(row.at);
            CAPTURE(value);
            CHECK(is_lawful(sections, Tag::motions) == (value >= row.least && value <= row.most));
        }
    CHECK(lawful_bytes(Tag::motions, 1) ==
          std::vector<int>{0});  // a family that is not there, or the other's size
    CHECK(lawful_bytes(Tag::motions, 44) == std::vector<int>{3});  // moves that are not there
    CHECK(lawful_bytes(Tag::motions, 4).size() == 256);            // first step
}

TEST_CASE("range: a pace section of 0, 5, 7 or 12 bytes is refused") {
    for (const size_t size : std::vector<size_t>{0, 5, 6, 7, 12}) {
        auto sections = full_sections();
        section_of(sections, Tag::pace).body.resize(size, 0);
        CAPTURE(size);
        CHECK((verdict_of(build(sections)).fault == ImageFault::none) == (size == 6));
    }
}

TEST_CASE("range: repeats, pace, labels, texts and grid") {
    auto words = [](Tag tag, size_t at, int value) {
        auto sections = full_sections();
        put16(section_of(sections, tag).body.data() + at, static_cast<uint16_t>(value));
        return is_lawful(sections, tag);
    };
    CHECK(words(Tag::repeats, 0, 5000));
    CHECK_FALSE(words(Tag::repeats, 0, 5001));
    CHECK(words(Tag::repeats, 2, 20));
    CHECK_FALSE(words(Tag::repeats, 2, 19));
    CHECK_FALSE(words(Tag::repeats, 2, 2001));
    CHECK(words(Tag::pace, 0, 8));
    CHECK_FALSE(words(Tag::pace, 0, 7));
    CHECK_FALSE(words(Tag::pace, 0, 501));
    CHECK(words(Tag::pace, 2, 40));
    CHECK_FALSE(words(Tag::pace, 2, 39));
    CHECK(words(Tag::pace, 4, 20));
    CHECK(words(Tag::pace, 4, 600));
    CHECK_FALSE(words(Tag::pace, 4, 19));
    CHECK_FALSE(words(Tag::pace, 4, 601));
    CHECK(lawful_bytes(Tag::labels, 1).size() == 95);  // printable ASCII
    // A plain stroke: 04 to 7F without Shift, the same with it; usages past A4 cannot be said in 7 bits.
    CHECK(lawful_bytes(Tag::texts, 1).size() == 2 * 124 + 1);  // 01: the next two are its modifiers and usage
    CHECK(lawful_bytes(Tag::texts, 7).size() == 256);          // modifiers of a modified stroke
    CHECK(lawful_bytes(Tag::texts, 8).size() == 0xA4 - 3);     // its usage, 04 to A4
    CHECK(lawful_bytes(Tag::grid, 2).size() == 2 * 124 + 1);   // as a text, and the empty cell
    CHECK(lawful_bytes(Tag::grid, 0) == std::vector<int>{2});
}

TEST_CASE(
    "range: 24 inputs, 16 modes and 8 rules fit the mirror as far as it goes, and one more of each is "
    "refused") {
    auto with = [](size_t inputs, size_t modes, size_t rules) {
        Sections sections = plain_sections();
        const Bytes input = {static_cast<uint8_t>(12), 0x81, 0, 0, 0};
        Bytes rule(section_of(sections, Tag::rules).body);
        Bytes& all = section_of(sections, Tag::inputs).body;
        all.clear();
        for (size_t i = 0; i < inputs; ++i) all.insert(all.end(), input.begin(), input.end());
        Bytes& some = section_of(sections, Tag::rules).body;
        some.clear();
        for (size_t i = 0; i < rules; ++i) some.insert(some.end(), rule.begin(), rule.end());
        Bytes& cells = section_of(sections, Tag::modes).body;
        cells.assign(1 + modes * inputs, 1);
        cells[0] = static_cast<uint8_t>(modes);
        return verdict_of(build(sections));
    };
    CHECK(with(24, 4, 2).fault == ImageFault::none);  // 120 + 96 + 38 = 254
    CHECK(with(24, 5, 2).fault == ImageFault::mirror);
    CHECK(with(24, 4, 3).fault == ImageFault::mirror);
    CHECK(with(25, 1, 1).fault == ImageFault::range);
    CHECK(with(1, 16, 8).fault == ImageFault::none);
    CHECK(with(1, 17, 1).fault == ImageFault::range);
    CHECK(with(1, 1, 9).fault == ImageFault::range);
    CHECK(with(0, 1, 1).fault == ImageFault::range);
    CHECK(with(1, 0, 1).fault == ImageFault::range);
}

TEST_CASE("range: a variant may override what is there, once each, and must fit the mirror") {
    auto with = [](const Bytes& overrides) {
        auto sections = full_sections();
        section_of(sections, Tag::variant).body = overrides;
        return verdict_of(build(sections)).fault;
    };
    const auto sections = full_sections();
    Bytes rule = sections[1].body;
    rule.resize(k_rule_bytes);
    Bytes one = {0};
    one.insert(one.end(), rule.begin(), rule.end());
    CHECK(with({}) == ImageFault::none);
    CHECK(with(one) == ImageFault::none);
    Bytes twice = one;
    twice.insert(twice.end(), one.begin(), one.end());
    CHECK(with(twice) == ImageFault::section);
    one[0] = 2;
    CHECK(with(one) == ImageFault::range);
    one[0] = 0x80;
    CHECK(with(one) == ImageFault::range);
    one[0] = 0;
    one[1] = 2;
    CHECK(with(one) == ImageFault::range);
    for (size_t size = 1; size < one.size(); ++size) {
        one[1] = 0;
        CHECK(with(Bytes(one.begin(), one.begin() + static_cast<long>(size))) == ImageFault::section);
    }
    // 60 events make a record of 1 + 6 + 122 bytes; two of them do not fit beside the rest.
    Bytes large = {0x40, 128, 1, 0, 0, 40, 0, 60};
    large.resize(1 + 129, 1);
    CHECK(with(large) == ImageFault::none);
    Bytes both = large;
    both.insert(both.end(), large.begin(), large.end());
    both[130] = 0x41;
    CHECK(with(both) == ImageFault::mirror);
    large[0] = 0x42;
    CHECK(with(large) == ImageFault::range);
}

TEST_CASE(
    "range: any bytes under a good header are refused or loaded, and what loads stays inside its counts") {
    CHECK(rc::check([] {
        Bytes image = full_image();
        const auto changes = *rc::gen::container<std::vector<std::pair<uint16_t, uint8_t>>>(
            rc::gen::arbitrary<std::pair<uint16_t, uint8_t>>());
        for (const auto& change : changes) image[20 + change.first % (image.size() - 20)] = change.second;
        seal(image);
        for (uint8_t variant = 0; variant < 4; ++variant) {
            Setup setup;
            if (load_from(image, variant, setup).fault != ImageFault::none) {
                RC_ASSERT(setup.used == 0);
                continue;
            }
            RC_ASSERT(setup.used <= k_mirror_bytes);
            for (uint8_t i = 0; i < setup.input_count; ++i) RC_ASSERT(setup.input(i).rule < setup.rule_count);
            for (uint8_t m = 0; m < setup.mode_count; ++m)
                for (uint8_t i = 0; i < setup.input_count; ++i)
                    RC_ASSERT(setup.cell(m, i) <= setup.action_count);
            for (uint8_t n = 1; n <= setup.action_count; ++n) {
                ActionDef action;
                RC_ASSERT(setup.action(n, action));
                RC_ASSERT(static_cast<uint8_t>(action.kind) <= k_last_action_kind);
                if (action.kind == ActionKind::move) setup.motion_point(action.a, 60);
            }
        }
    }));
}
