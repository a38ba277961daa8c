// What a valid document may say, the device takes; and the device's own words for it, cross-checked.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "core/engine/infrared.hpp"
#include "core/profile/check.hpp"
#include "core/profile/diff.hpp"
#include "core/profile/image_compile.hpp"
#include "core/profile/layout.hpp"
#include "core/profile/workable.hpp"
#include "core/sim/ir_encode.hpp"
#include "core/wire/crc.hpp"
#include "tests/profile/random_profile.hpp"
#include "tests/profile/sample.hpp"
#include "tests/profile/us_strokes.hpp"

namespace fettle::profile {
namespace {

const UsStrokes k_us;

/// Walks a profile and changes the value number `at`, to `how`: 0 its least, 1 its most, 2 below, 3 above, 4
/// another one.
class Changer {
public:
    Changer(int at, int how) : left_(at), how_(how) {}
    bool is_done = false, can = true;
    const Field* field = nullptr;

    template <class Number>
    void number(const Field& f, Number& value) {
        if (!mine(f)) return;
        const int64_t least = f.zero_is_off ? 0 : f.least;
        const int64_t now = static_cast<int64_t>(value);
        const int64_t wanted[] = {f.least, f.most, least - f.step, f.most + f.step,
                                  now == f.least ? f.most : f.least};
        value = static_cast<Number>(wanted[how_]);
        can = static_cast<int64_t>(value) == wanted[how_];  // some values no integer of the model holds
    }
    void format_version(const Field&) {}
    void flag(const Field& f, bool& value) {
        if (mine(f)) value = !value;
    }
    void text(const Field& f, std::string& value) {
        if (f.kind == FieldKind::reference || !mine(f)) return;
        value = value == "x" ? "y" : "x";
    }
    void hex(const Field& f, ProfileId& id) {
        if (mine(f)) id[3] ^= 0x40;
    }
    template <class Choice>
    void choice(const Field& f, Choice& value) {
        const int64_t now = static_cast<int64_t>(value);
        if (mine(f)) value = static_cast<Choice>(now == f.most ? f.least : f.most);
    }
    void bits(const Field& f, uint8_t& value) {
        if (mine(f)) value = static_cast<uint8_t>(value == f.most ? 1 : f.most);
    }
    void key(const Field& f, uint8_t& usage) {
        if (mine(f)) usage = usage == 0x04 ? 0x05 : 0x04;
    }
    void consumer(const Field& f, uint16_t& usage) {
        if (mine(f)) usage = usage == 1 ? 2 : 1;
    }
    void numbers(const Field& f, auto& values) {
        if (mine(f)) values[0] = static_cast<std::decay_t<decltype(values[0])>>(values[0] == 7 ? 8 : 7);
    }
    void object(const Field&, auto& record) { describe(*this, record); }
    void list(const Field&, auto& records) {
        for (auto& record : records) describe(*this, record);
    }
    void optional(const Field&, auto& record) {
        if (record) describe(*this, *record);
    }
    void one_of(const Field&, auto& variant) {
        std::visit([&](auto& record) { describe(*this, record); }, variant);
    }
    void pieces(const Field& f, const Field&, auto& parts) {
        if (mine(f)) parts.push_back(TextPart{"x"});
    }
    void rows(const Field& f, const Field&, const Field&, auto& rows) {
        if (mine(f)) rows[0][0] = Cell{"x"};
    }

private:
    bool mine(const Field& f) {
        if (is_done || left_-- != 0) return false;
        is_done = true;
        field = &f;
        return true;
    }
    int left_;
    int how_;
};

TEST_CASE(
    "limits: each value of the sample, changed by itself, is one difference or more, and only then none") {
    int count = 0;
    for (;; ++count) {
        Profile after = sample();
        Changer changer(count, 4);
        describe(changer, after);
        if (!changer.is_done) break;
        CAPTURE(std::string(changer.field->key));
        CHECK_FALSE(after == sample());
        CHECK_FALSE(diff(sample(), after).empty());
        CHECK(write(after) != write(sample()));
    }
    CHECK(count > 140);
}

TEST_CASE("limits: each number of the sample at both ends is taken by the device, or refused by validate()") {
    int taken = 0, refused = 0;
    for (int at = 0;; ++at) {
        bool is_done = false;
        for (int how = 0; how < 4; ++how) {
            Profile p = sample();
            Changer changer(at, how);
            describe(changer, p);
            is_done = changer.is_done;
            if (!is_done || changer.field->kind != FieldKind::number || !changer.can) continue;
            CAPTURE(std::string(changer.field->key));
            CAPTURE(how);
            const auto errors = validate(p);
            if (how >= 2) CHECK_FALSE(errors.empty());
            if (!errors.empty()) {
                ++refused;
                continue;
            }
            const auto compiled = build_image(p, k_us);
            REQUIRE(compiled);
            wire::MemoryImage memory{compiled->image.data(), static_cast<uint16_t>(compiled->image.size())};
            const auto verdict = wire::check(wire::storage_of(memory), memory.size);
            CHECK(
                (verdict.fault == wire::ImageFault::none || compiled->mirror_bytes > engine::k_mirror_bytes));
            CHECK(decompile(compiled->image, k_us, {}).has_value() ==
                  (compiled->mirror_bytes <= engine::k_mirror_bytes));
            ++taken;
        }
        if (!is_done) break;
    }
    CHECK(taken > 100);
    CHECK(refused > 100);
}

TEST_CASE(
    "limits: 300 drawn profiles that are valid make an image that the device takes, if the mirror holds it") {
    int taken = 0;
    CHECK(rc::check("valid means loadable", [&] {
        for (int round = 0; round < 3; ++round) {
            const Profile p = draw_profile();
            const auto compiled = build_image(p, k_us);
            RC_ASSERT(compiled.has_value());
            wire::MemoryImage memory{compiled->image.data(), static_cast<uint16_t>(compiled->image.size())};
            const auto fault = wire::check(wire::storage_of(memory), memory.size).fault;
            const bool is_small = compiled->mirror_bytes <= engine::k_mirror_bytes;
            RC_ASSERT(fault == (is_small ? wire::ImageFault::none : wire::ImageFault::mirror));
            taken += is_small ? 1 : 0;
        }
    }));
    CHECK(taken > 100);
}

/// What the engine's decoders make of a frame, ir_code and protocol.
std::pair<Protocol, uint32_t> heard(const engine::IrFrame& frame) {
    engine::Infrared decoders;
    decoders.reset();
    engine::IrFrame out{};
    std::pair<Protocol, uint32_t> last{Protocol::none, 0};
    const auto take = [&](bool is_frame) {
        if (is_frame) last = {out.protocol, engine::ir_code(out)};
    };
    take(decoders.width(false, 60000, out));
    bool is_mark = true;
    for (const uint32_t width : sim::encode(frame)) {
        take(decoders.width(is_mark, static_cast<uint16_t>(std::min<uint32_t>(width, 0xFFFF)), out));
        is_mark = !is_mark;
    }
    take(decoders.width(false, 60000, out));
    return last;
}

TEST_CASE(
    "limits: every infrared input that validate() takes is heard as itself, or check() does not count on "
    "it") {
    int heard_count = 0, deaf = 0;
    for (int protocol = 1; protocol <= 10; ++protocol)
        for (const int address :
             {0, 1, 2, 0x0F, 0x1F, 0x55, 0xAA, 0xFF, 0x0100, 0x5AA5, 0xFF00, 0x1234, 0xFFFF})
            for (const int command : {0, 1, 0x3F, 0x40, 0x55, 0x7F, 0x80, 0xFF})
                for (const int extended : {0, 1, 0x80, 0xFF}) {
                    Profile p = sample();
                    const Infrared one{static_cast<Protocol>(protocol), address, command, extended, 0};
                    p.inputs[0].source = one;
                    if (!validate(p).empty()) continue;
                    engine::IrFrame frame = engine::make_ir_frame(
                        one.protocol, static_cast<uint16_t>(address), static_cast<uint16_t>(command));
                    frame.extended = static_cast<uint8_t>(extended);
                    if (protocol == static_cast<int>(Protocol::rc5) ||
                        protocol == static_cast<int>(Protocol::rc6))
                        frame.toggle = 0;
                    CAPTURE(protocol);
                    CAPTURE(address);
                    CAPTURE(command);
                    CAPTURE(extended);
                    if (!is_hearable(one)) {
                        ++deaf;
                        continue;
                    }
                    const auto [as, code] = heard(frame);
                    CHECK(static_cast<int>(as) == protocol);
                    CHECK(code == engine::ir_code(frame));
                    ++heard_count;
                }
    CHECK(heard_count > 300);
    CHECK(deaf == 3 * 8);  // 0x00FF, 0x5AA5, 0xFF00, with 8 commands
}

TEST_CASE("limits: what a layout types of all of Unicode is what the device can send, and comes back") {
    for (const auto& row : {std::pair{"us", ""},
                            {"gb", ""},
                            {"fr", ""},
                            {"de", ""},
                            {"de", "nodeadkeys"},
                            {"fr", "nodeadkeys"}}) {
        const std::string name = row.first, variant = row.second;
        CAPTURE(name);
        CAPTURE(variant);
        const auto layout = XkbLayout::load({name, variant});
        REQUIRE(layout);
        int typed = 0;
        for (char32_t c = 1; c < 0x110000; ++c) {
            if (c >= 0xD800 && c < 0xE000) continue;
            std::string text;
            if (c < 0x80) {
                text = static_cast<char>(c);
            } else {
                if (c < 0x800) {
                    text += static_cast<char>(0xC0 | c >> 6);
                } else if (c < 0x10000) {
                    text += static_cast<char>(0xE0 | c >> 12);
                    text += static_cast<char>(0x80 | (c >> 6 & 0x3F));
                } else {
                    text += static_cast<char>(0xF0 | c >> 18);
                    text += static_cast<char>(0x80 | (c >> 12 & 0x3F));
                    text += static_cast<char>(0x80 | (c >> 6 & 0x3F));
                }
                text += static_cast<char>(0x80 | (c & 0x3F));
            }
            const auto strokes = (*layout)->strokes_for(text);
            if (!strokes) continue;
            ++typed;
            REQUIRE(strokes->size() >= 1);
            for (const Stroke& stroke : *strokes) {
                CHECK(stroke.usage >= 0x04);
                CHECK(stroke.usage <= 0xA4);
            }
            if (strokes->size() == 1 && c >= 0x20) {
                const auto back = (*layout)->text_for(strokes->front());
                REQUIRE(back);
                CHECK(*(*layout)->strokes_for(*back) == *strokes);
            }
        }
        MESSAGE(typed << " characters");
        CHECK(typed >= 97);  // 95 of ASCII, Enter, Tab
    }
}

/// `inputs` switches in `modes` modes, everything assigned alike.
Profile plain(int inputs, int modes) {
    Profile p;
    p.rule_sets.resize(1);
    p.rule_sets[0].name = "all";
    for (int i = 0; i < inputs; ++i)
        p.inputs.push_back({"input" + std::to_string(i), "all", Infrared{Protocol::nec, 1, i, 0, 0}});
    for (int m = 0; m < modes; ++m) p.modes.push_back({"mode" + std::to_string(m), "", {}});
    p.modes[0].assignments.push_back({"input0", ReleaseAll{}, {}, {}});
    return p;
}

TEST_CASE(
    "limits: an image of exactly the slot's bytes fits and one byte less of room does not; so the mirror") {
    Profile p = plain(3, 1);
    p.texts = {{"long", {TextPart{std::string(200, 'x')}}}, {"other", {TextPart{std::string(100, 'y')}}}};
    p.modes[0].assignments[0].long_press = TypeText{"long"};
    p.modes[0].assignments[0].double_press = TypeText{"other"};
    auto compiled = build_image(p, k_us);
    REQUIRE(compiled);
    const std::size_t missing = 480 - compiled->image.size();
    REQUIRE(missing < 150);
    p.texts[1].parts = {TextPart{std::string(100 + missing, 'y')}};
    compiled = compile(p, k_us);
    REQUIRE(compiled);
    CHECK(compiled->image.size() == 480);
    p.texts[1].parts = {TextPart{std::string(101 + missing, 'y')}};
    CHECK(compile(p, k_us).error().detail.find("481 bytes; allowed 480") == 0);

    // 5 bytes an input, 19 a rule set, 1 a cell, 3 a long press (core/engine/setup.hpp): 24 inputs in 4 modes
    // are 235, and 7 long presses 256.
    p = plain(24, 4);
    for (int i = 0; i < 7; ++i) {
        Assignment one{"input" + std::to_string(i), ReleaseAll{}, ReleaseAll{}, {}};
        if (i == 0)
            p.modes[0].assignments[0] = one;
        else
            p.modes[0].assignments.push_back(one);
    }
    compiled = compile(p, k_us);
    REQUIRE(compiled);
    CHECK(compiled->mirror_bytes == 256);
    wire::MemoryImage memory{compiled->image.data(), static_cast<uint16_t>(compiled->image.size())};
    CHECK(wire::check(wire::storage_of(memory), memory.size).fault == wire::ImageFault::none);
    p.modes[0].assignments.push_back({"input7", ReleaseAll{}, ReleaseAll{}, {}});
    CHECK(compile(p, k_us).error().where == "mirror");
}

TEST_CASE(
    "limits: 24 inputs, 16 modes, 8 rule sets, 6 motions, 4 repeats and 3 variants are valid, one more is "
    "not") {
    const auto is_refused_at = [](const Profile& p, const char* where) {
        const auto errors = validate(p);
        return !errors.empty() && errors[0].where == where;
    };
    Profile p = plain(24, 16);
    CHECK(validate(p).empty());
    CHECK(is_refused_at(plain(25, 16), "/inputs"));
    CHECK(is_refused_at(plain(24, 17), "/modes"));
    const auto fill = [](auto& records, int count) {
        for (int i = static_cast<int>(records.size()); i < count; ++i)
            records.emplace_back().name = "more" + std::to_string(i);
    };
    fill(p.rule_sets, 8);
    fill(p.motions, 6);
    fill(p.repeats, 4);
    fill(p.variants, 3);
    CHECK(validate(p).empty());
    Profile more = p;
    fill(more.rule_sets, 9);
    CHECK(is_refused_at(more, "/rule_sets"));
    more = p;
    fill(more.motions, 7);
    CHECK(is_refused_at(more, "/motions"));
    more = p;
    fill(more.repeats, 5);
    CHECK(is_refused_at(more, "/repeats"));
    more = p;
    fill(more.variants, 4);
    CHECK(is_refused_at(more, "/variants"));
}

TEST_CASE("limits: 2000 images of drawn bytes with a check sum that fits are refused or a valid profile") {
    CHECK(rc::check("hostile images", [] {
        for (int round = 0; round < 20; ++round) {
            std::vector<uint8_t> image(20);
            const int64_t sections = draw(0, 12);
            for (int64_t s = 0; s < sections; ++s) {
                // Sections in order, of sizes that are often those of records.
                const int64_t size = draw(0, 2) == 0 ? draw(0, 40) : 5 * draw(1, 8);
                image.push_back(static_cast<uint8_t>(draw(0, 3) == 0 ? draw(0, 255) : 0x80 + s + 1));
                image.push_back(static_cast<uint8_t>(size));
                image.push_back(0);
                const bool is_quiet = draw(0, 1) == 0;
                for (int64_t i = 0; i < size; ++i)
                    image.push_back(static_cast<uint8_t>(is_quiet ? draw(0, 2) : draw(0, 255)));
            }
            image[0] = 1;
            engine::put16(image.data() + 2, static_cast<uint16_t>(image.size()));
            uint32_t crc = wire::k_crc32_start;
            for (std::size_t i = 0; i < image.size(); ++i)
                if (i < 16 || i >= wire::k_image_header_bytes) crc = wire::crc32_step(crc, image[i]);
            engine::put32(image.data() + 16, crc ^ wire::k_crc32_final);
            const auto profile = decompile(image, k_us, {});
            if (profile) {
                RC_ASSERT(validate(*profile).empty());
                RC_ASSERT(build_image(*profile, k_us).has_value());
                check(*profile, &k_us);
            } else {
                RC_ASSERT(!profile.error().where.empty());
            }
        }
    }));
}

}  // namespace
}  // namespace fettle::profile
