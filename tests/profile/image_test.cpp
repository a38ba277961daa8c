#include <doctest/doctest.h>

#include <algorithm>
#include <numeric>

#include "core/engine/bytes.hpp"
#include "core/profile/image_compile.hpp"
#include "core/profile/layout.hpp"
#include "tests/profile/built_in_source.hpp"
#include "tests/profile/sample.hpp"
#include "tests/profile/us_strokes.hpp"

namespace fettle::profile {
namespace {

const UsStrokes k_us;

Compiled built(const Profile& profile) {
    const auto compiled = build_image(profile, k_us);
    if (!compiled) MESSAGE(compiled.error().where << ": " << compiled.error().detail);
    REQUIRE(compiled);
    return *compiled;
}

engine::Setup loaded(const std::vector<uint8_t>& image, uint8_t variant = 0) {
    // The storage keeps a pointer: static, one image at a time.
    static std::vector<uint8_t> bytes;
    static wire::MemoryImage memory;
    bytes = image;
    memory = {bytes.data(), static_cast<uint16_t>(bytes.size())};
    engine::Setup setup;
    const auto verdict = wire::load(wire::storage_of(memory), memory.size, variant, setup);
    CHECK(static_cast<int>(verdict.fault) == 0);
    CHECK(static_cast<int>(verdict.tag) == 0);
    return setup;
}

Profile asset_profile(const char* name) {
    auto profile = parse(asset(name));
    REQUIRE(profile);
    return *profile;
}

TEST_CASE("image: the demo profile of 12 inputs and 4 modes takes at most 480 bytes, 256 in the mirror") {
    const auto layout = XkbLayout::load({"us", ""});
    REQUIRE(layout);
    const Profile profile = asset_profile("volunteer");
    CHECK(profile.inputs.size() == 12);
    CHECK(profile.modes.size() == 4);
    const auto compiled = compile(profile, **layout);
    REQUIRE(compiled);
    for (const SectionSize& one : compiled->sections) MESSAGE(one.name << " " << one.bytes);
    MESSAGE("image " << compiled->image.size() << ", mirror " << compiled->mirror_bytes);
    CHECK(compiled->image.size() <= 480);
    CHECK(compiled->mirror_bytes <= 256);
    CHECK(compiled->image == built(profile).image);  // both US layouts agree
}

TEST_CASE("image: the 4 demo profiles load on the device in each of their variants, and fit the 1 KB board") {
    for (const char* name : k_asset_names) {
        CAPTURE(std::string(name));
        const Profile profile = asset_profile(name);
        const auto compiled = compile(profile, k_us);
        REQUIRE(compiled);
        for (std::size_t v = 0; v <= profile.variants.size(); ++v) {
            const engine::Setup setup = loaded(compiled->image, static_cast<uint8_t>(v));
            CHECK(setup.input_count == profile.inputs.size());
            CHECK(setup.mode_count == profile.modes.size());
            CHECK(setup.used <= compiled->mirror_bytes);
        }
    }
}

TEST_CASE("image: sections add up to the image, and the mirror is what the loader fills") {
    const Compiled compiled = built(sample());
    int sum = 0;
    for (const SectionSize& one : compiled.sections) sum += one.bytes;
    CHECK(sum == static_cast<int>(compiled.image.size()));
    int most = 0;
    for (uint8_t v = 0; v < 3; ++v) most = std::max<int>(most, loaded(compiled.image, v).used);
    CHECK(most == compiled.mirror_bytes);
    CHECK(compiled.crc == engine::get32(compiled.image.data() + 16));
}

TEST_CASE("image: records reach the device as the document states them") {
    const Compiled compiled = built(sample());
    const engine::Setup setup = loaded(compiled.image);
    CHECK(setup.input(0).source == static_cast<engine::Source>(Protocol::sirc20));
    CHECK(setup.input(0).code == ((200u << 24) | (26u << 8) | 73u));  // ir_code(): extended, address, command
    CHECK(setup.input(1).code == 0x89ABCDEFu);
    CHECK(setup.input(2).code == 8u);  // line 8, closed is high
    CHECK(setup.input(3).code ==
          (0x81u | 153u << 8 | 102u << 16));  // negative y; 600 and 400 permille of 255
    CHECK(setup.input(4).source == engine::Source::none);
    CHECK(setup.rule(1).flags == engine::k_rule_act_on_release);
    CHECK(setup.rule(1).acceptance_ms == 35);
    CHECK(setup.rule(1).longest_hold_ds == 15);
    CHECK(setup.motion(1).family == engine::MotionFamily::travel);
    CHECK(setup.motion_point(1, 8) == 0xFFFFFFu);
    CHECK(setup.motion(2).event_count == 10);
    CHECK(setup.motion_point(3, 2) == 65535u);
    CHECK(setup.repeat(0).delay_ms == 900);
    CHECK(setup.stroke_gap_ms == 35);
    CHECK(setup.click_gap_ms == 61);
    CHECK(setup.trial_s == 90);
    char label[engine::k_label_chars + 1];
    REQUIRE(setup.label(0, label));
    CHECK(std::string(label) == "First");
    REQUIRE(setup.label(2, label));
    CHECK(std::string(label) == "Tired");
    engine::ActionDef action;
    REQUIRE(setup.action(setup.cell(0, 0), action));
    CHECK(action.kind == engine::ActionKind::move);
    CHECK(action.style == static_cast<uint8_t>(Direction::up_left));
    REQUIRE(setup.action(setup.gesture(1, 3, engine::Gesture::double_press), action));
    CHECK(action.kind == engine::ActionKind::scale);
    CHECK(action.wide() == 4000);
    CHECK(loaded(compiled.image, 1).rule(0).debounce_ms == 300);
    CHECK(loaded(compiled.image, 2).motion(2).event_count == 8);
}

TEST_CASE(
    "image: equal rule sets, motions, repeats and actions stand once; what nothing uses costs no byte") {
    Profile plain = asset_profile("volunteer");
    const Compiled before = built(plain);
    Profile more = plain;
    RuleSet copy = more.rule_sets[1];
    copy.name = "copy";
    more.rule_sets.push_back(copy);
    more.inputs[11].rules = "copy";
    Motion unused = more.motions[0];
    unused.name = "unused";
    more.motions.push_back(unused);
    more.repeats.push_back(Repeat{"unused", 1, 20});
    more.texts.push_back(Text{"unused", {TextPart{"x"}}});
    more.modes[0].assignments[0].short_press = Move{Direction::up, "unused"};  // equal to far
    CHECK(built(more).image == before.image);
    more.rule_sets[2].debounce_ms += 1;  // now another one
    CHECK(built(more).image.size() == before.image.size() + engine::k_rule_bytes);
}

TEST_CASE("image: equal rule sets that a variant tells apart stay apart") {
    Profile p = asset_profile("built_in");
    RuleSet twin = p.rule_sets[0];
    twin.name = "twin";
    p.rule_sets.push_back(twin);
    p.inputs[5].rules = "twin";
    RuleSet slow = twin;
    slow.acceptance_ms = 500;
    p.variants.push_back(Variant{"v", "", {slow}, {}});
    const Compiled compiled = built(p);
    CHECK(loaded(compiled.image).rule_count == 2);
    const engine::Setup setup = loaded(compiled.image, 1);
    CHECK(setup.rule(setup.input(0).rule).acceptance_ms == 0);
    CHECK(setup.rule(setup.input(5).rule).acceptance_ms == 500);
}

TEST_CASE("image: compile(decompile(image)) gives the same bytes for the sample and the 4 demo profiles") {
    std::vector<Profile> all = {sample()};
    for (const char* name : k_asset_names) all.push_back(asset_profile(name));
    for (const Profile& profile : all) {
        CAPTURE(profile.name);
        const Compiled compiled = built(profile);
        const auto back = decompile(compiled.image, k_us, profile.keyboard_layout);
        REQUIRE(back);
        CHECK(validate(*back).empty());
        CHECK(built(*back).image == compiled.image);
        CHECK(parse(write(*back)).has_value());
    }
}

TEST_CASE("image: what the device keeps of the demo profile comes back as it was, names apart") {
    const Profile profile = asset_profile("volunteer");
    const auto back = decompile(built(profile).image, k_us, profile.keyboard_layout);
    REQUIRE(back);
    Profile wanted = profile;
    const auto rename = [](auto& from, const auto& to) {
        for (std::size_t i = 0; i < from.size(); ++i) from[i].name = to[i].name;
    };
    wanted.name.clear();
    rename(wanted.rule_sets, back->rule_sets);
    rename(wanted.motions, back->motions);
    rename(wanted.repeats, back->repeats);
    rename(wanted.texts, back->texts);
    CHECK(back->rule_sets == wanted.rule_sets);
    CHECK(back->motions == wanted.motions);  // the shapes were recognised, not just their points
    CHECK(back->repeats == wanted.repeats);
    CHECK(back->texts == wanted.texts);
    CHECK(back->grid == wanted.grid);
    CHECK(back->pace == wanted.pace);
    CHECK(back->id == wanted.id);
    CHECK(back->version == wanted.version);
    REQUIRE(back->inputs.size() == 12);
    for (std::size_t i = 0; i < 12; ++i) CHECK(back->inputs[i].source == wanted.inputs[i].source);
    CHECK(back->inputs[0].name == "input1");
    CHECK(back->modes[3].name == "Letters");  // from its label
    CHECK(back->variants[0].name == "Tired");
    CHECK(back->modes[3].assignments.size() == profile.modes[3].assignments.size());
}

TEST_CASE("image: strokes that the layout has no character for come back as keys") {
    const Profile profile = sample();
    const auto back = decompile(built(profile).image, k_us, {});
    REQUIRE(back);
    CHECK(back->texts[0].parts == profile.texts[0].parts);
    CHECK(back->grid == profile.grid);
}

TEST_CASE("image: a profile too large is refused with its sections, the largest first") {
    Profile profile = asset_profile("volunteer");
    profile.texts[0].parts = {TextPart{std::string(200, 'x')}};
    const auto refused = compile(profile, k_us);
    REQUIRE_FALSE(refused);
    CHECK(refused.error().code == Errc::too_large);
    CHECK(refused.error().where == "image");
    CHECK(refused.error().detail.find(" bytes; allowed 480: texts 204, actions 96, inputs 63, motions 58") !=
          std::string::npos);
    CHECK(compile(profile, k_us, Limits{1000, 256, 24, 16, 4}).has_value());
    const auto mirror = compile(profile, k_us, Limits{1000, 200, 24, 16, 4});
    REQUIRE_FALSE(mirror);
    CHECK(mirror.error().where == "mirror");
    CHECK(mirror.error().detail.find("214 bytes; allowed 200: inputs 63, motions 58") == 0);
    CHECK(compile(profile, k_us, Limits{1000, 256, 11, 16, 4}).error().where == "inputs");
    CHECK(compile(profile, k_us, Limits{1000, 256, 24, 3, 4}).error().where == "modes");
    CHECK(compile(profile, k_us, Limits{1000, 256, 24, 16, 1}).error().where == "variants");
}

TEST_CASE("image: limits are those that hello states") {
    wire::HelloReply hello{};
    hello.slot_bytes = 900;
    hello.mirror_bytes = 300;
    hello.max_inputs = 20;
    hello.max_modes = 9;
    hello.max_variants = 2;
    CHECK(limits_of(hello) == Limits{900, 300, 20, 9, 2});
}

TEST_CASE("image: what cannot be compiled is refused with its place") {
    Profile p = asset_profile("volunteer");
    p.texts[0].parts = {TextPart{"gr\xC3\xBC\xC3\x9F"}};
    CHECK(build_image(p, k_us).error() == Error{Errc::unsupported, "/texts/0/parts/0",
                                                "\"gr\xC3\xBC\xC3\x9F\" cannot be typed with layout us"});
    p = asset_profile("volunteer");
    p.texts[0].parts = {TextPart{std::string(256, 'x')}};
    CHECK(build_image(p, k_us).error() == Error{Errc::too_large, "/texts/0", "256 bytes; allowed 255"});
    p = asset_profile("volunteer");
    p.grid.rows[1][2] = Cell{"ab"};
    CHECK(build_image(p, k_us).error().where == "/grid/rows/1/2");
    p = asset_profile("built_in");
    p.inputs.clear();
    p.modes[0].assignments.clear();
    CHECK(build_image(p, k_us).error().where == "/inputs");
    p = asset_profile("built_in");
    p.inputs[0].rules = "none";
    CHECK(build_image(p, k_us).error().code == Errc::unknown_name);
}

TEST_CASE("image: a profile that does nothing still compiles and loads") {
    Profile p = asset_profile("built_in");
    p.modes[0].assignments.clear();
    const Compiled compiled = built(p);
    CHECK(loaded(compiled.image).action_count == 1);
    const auto back = decompile(compiled.image, k_us, {});
    REQUIRE(back);
    CHECK(back->modes[0].assignments.empty());
    CHECK(built(*back).image == compiled.image);
}

TEST_CASE("image: a damaged or cut image is refused, every bit and every length") {
    const std::vector<uint8_t> image = built(asset_profile("volunteer")).image;
    for (std::size_t bit = 0; bit < image.size() * 8; ++bit) {
        std::vector<uint8_t> bad = image;
        bad[bit / 8] = static_cast<uint8_t>(bad[bit / 8] ^ (1u << (bit % 8)));
        CAPTURE(bit);
        CHECK_FALSE(decompile(bad, k_us, {}).has_value());
    }
    for (std::size_t size = 0; size < image.size(); ++size) {
        const std::vector<uint8_t> cut(image.begin(), image.begin() + static_cast<std::ptrdiff_t>(size));
        CHECK(decompile(cut, k_us, {}).error().code != Errc::io);
    }
    std::vector<uint8_t> slot = image;
    slot.resize(480, 0xFF);  // a slot is read whole
    CHECK(decompile(slot, k_us, {}).has_value());
}

TEST_CASE("image: the built-in image of the source is the one of its document") {
    const Compiled compiled = built(asset_profile("built_in"));
    CHECK(built_in_source(compiled.image) == tree_file("core/wire/built_in_image.cpp"));
    const std::vector<uint8_t> linked(wire::k_built_in_image,
                                      wire::k_built_in_image + wire::k_built_in_image_bytes);
    CHECK(linked == compiled.image);
}

TEST_CASE("image: sections have names, unknown ones too") {
    CHECK(section_name(static_cast<uint8_t>(wire::Tag::inputs)) == "inputs");
    CHECK(section_name(static_cast<uint8_t>(wire::Tag::labels)) == "labels");
    CHECK(section_name(static_cast<uint8_t>(wire::Tag::variant)) == "variant");
    CHECK(section_name(0xFE) == "section_fe");
}

}  // namespace
}  // namespace fettle::profile
