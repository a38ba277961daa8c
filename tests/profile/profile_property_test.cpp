#include <doctest/doctest.h>

#include "core/engine/bytes.hpp"
#include "core/profile/diff.hpp"
#include "core/profile/image_compile.hpp"
#include "core/wire/crc.hpp"
#include "tests/profile/random_profile.hpp"
#include "tests/profile/sample.hpp"
#include "tests/profile/us_strokes.hpp"

namespace fettle::profile {
namespace {

const UsStrokes k_us;

TEST_CASE("properties: 100 drawn profiles are valid, read back equal from JSON, and differ in nothing") {
    CHECK(rc::check("JSON round trip", [] {
        const Profile profile = draw_profile();
        const auto errors = validate(profile);
        for (const Error& error : errors) RC_LOG() << error.where << ": " << error.detail << "\n";
        RC_ASSERT(errors.empty());
        const std::string text = write(profile);
        const auto back = parse(text);
        RC_ASSERT(back.has_value());
        RC_ASSERT(*back == profile);
        RC_ASSERT(write(*back) == text);
        RC_ASSERT(diff(profile, *back).empty());
    }));
}

TEST_CASE(
    "properties: 100 drawn profiles compile; the image decompiles to one that compiles to the same bytes") {
    CHECK(rc::check("image round trip", [] {
        const Profile profile = draw_profile();
        const auto compiled = build_image(profile, k_us);
        if (!compiled) RC_LOG() << compiled.error().where << ": " << compiled.error().detail << "\n";
        RC_ASSERT(compiled.has_value());
        RC_PRE(compiled->mirror_bytes <= engine::k_mirror_bytes);
        const auto back = decompile(compiled->image, k_us, profile.keyboard_layout);
        if (!back) RC_LOG() << back.error().where << ": " << back.error().detail << "\n";
        RC_ASSERT(back.has_value());
        const auto again = build_image(*back, k_us);
        RC_ASSERT(again.has_value());
        RC_ASSERT(again->image == compiled->image);
        RC_ASSERT(back->id == profile.id);
        RC_ASSERT(back->version == profile.version);
        RC_ASSERT(back->pace == profile.pace);
        RC_ASSERT(back->modes.size() == profile.modes.size());
        RC_ASSERT(back->variants.size() == profile.variants.size());
        for (std::size_t m = 0; m < profile.modes.size(); ++m)
            RC_ASSERT(back->modes[m].label == profile.modes[m].label);
        for (std::size_t i = 0; i < profile.inputs.size(); ++i)
            if (!std::holds_alternative<Axis>(profile.inputs[i].source))
                RC_ASSERT(back->inputs[i].source == profile.inputs[i].source);
        const auto text = parse(write(*back));
        RC_ASSERT(text.has_value());
        RC_ASSERT(*text == *back);
    }));
}

template <class Bytes>
void damage(Bytes& bytes, int64_t least) {
    for (int64_t left = draw(1, 4); left > 0 && !bytes.empty(); --left) {
        const auto at = bytes.begin() + draw(least, static_cast<int64_t>(bytes.size()) - 1);
        const auto byte = static_cast<typename Bytes::value_type>(draw(0, 255));
        const int64_t how = draw(0, 3);
        if (how == 0)
            bytes.erase(at);
        else if (how == 1)
            bytes.insert(at, byte);
        else
            *at = byte;
    }
}

TEST_CASE("properties: 400 damaged documents are refused with an error, or are another valid document") {
    const std::string whole = write(sample());
    int refused = 0;
    CHECK(rc::check("damaged JSON", [&] {
        for (int round = 0; round < 4; ++round) {
            std::string text = whole;
            damage(text, 0);
            const auto profile = parse(text);
            if (!profile) {
                ++refused;
                RC_ASSERT(!profile.error().detail.empty());
                continue;
            }
            const auto again = parse(write(*profile));
            RC_ASSERT(again.has_value());
            RC_ASSERT(*again == *profile);
        }
    }));
    CHECK(refused > 100);
}

TEST_CASE(
    "properties: 800 damaged images with a check sum that fits are refused, or are another valid profile") {
    const auto compiled = build_image(sample(), k_us);
    REQUIRE(compiled);
    int refused = 0, accepted = 0;
    CHECK(rc::check("damaged image", [&] {
        for (int round = 0; round < 8; ++round) {
            std::vector<uint8_t> image = compiled->image;
            damage(image, wire::k_image_header_bytes);
            engine::put16(image.data() + 2, static_cast<uint16_t>(image.size()));
            uint32_t crc = wire::k_crc32_start;
            for (std::size_t i = 0; i < image.size(); ++i)
                if (i < 16 || i >= wire::k_image_header_bytes) crc = wire::crc32_step(crc, image[i]);
            engine::put32(image.data() + 16, crc ^ wire::k_crc32_final);
            const auto profile = decompile(image, k_us, {});
            if (!profile) {
                ++refused;
                continue;
            }
            ++accepted;
            RC_ASSERT(validate(*profile).empty());
            RC_ASSERT(build_image(*profile, k_us).has_value());
        }
    }));
    CHECK(refused > 100);
    CHECK(accepted > 10);
}

}  // namespace
}  // namespace fettle::profile
