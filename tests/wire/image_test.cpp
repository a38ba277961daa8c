#include "core/wire/image.hpp"

#include <doctest/doctest.h>

#include <stdexcept>

#include "core/wire/crc.hpp"
#include "tests/wire/support/images.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;
using namespace fettle::engine;

namespace {

/// A storage that fails the test when something past the end, or past the room, is asked for.
struct StrictStorage {
    const Bytes& bytes;
    size_t room;
    size_t reads = 0;
    size_t busy_from = SIZE_MAX;  ///< answers "busy" from this read on

    Storage seam() {
        return Storage{this, [](void* owner, uint16_t at, uint8_t* to, uint8_t count) {
                           auto& self = *static_cast<StrictStorage*>(owner);
                           if (self.reads++ >= self.busy_from) return false;
                           if (size_t{at} + count > self.room || size_t{at} + count > self.bytes.size())
                               throw std::out_of_range("read past the end");
                           for (uint8_t i = 0; i < count; ++i)
                               to[i] = self.bytes[static_cast<size_t>(at + i)];
                           return true;
                       }};
    }
};

bool is_cleared(const Setup& setup) {
    return setup.used == 0 && setup.input_count == 0 && setup.mode_count == 0 && setup.action_count == 0 &&
           setup.text_count == 0 && setup.motion_count == 0;
}

}  // namespace

TEST_CASE("image: the full one loads, and every field is where the records put it") {
    const Bytes image = full_image();
    Setup setup;
    REQUIRE(load_from(image, 0, setup).fault == ImageFault::none);
    CHECK(setup.input_count == 5);
    CHECK(setup.rule_count == 2);
    CHECK(setup.mode_count == 2);
    CHECK(setup.gesture_count == 2);
    CHECK(setup.action_count == 18);
    CHECK(setup.motion_count == 2);
    CHECK(setup.repeat_count == 2);
    CHECK(setup.text_count == 2);
    CHECK(setup.variant_count == 3);
    CHECK(setup.grid_rows == 2);
    CHECK(setup.grid_columns == 3);
    CHECK(setup.stroke_gap_ms == 30);
    CHECK(setup.click_gap_ms == 60);
    CHECK(setup.trial_s == 90);
    CHECK(setup.input(1).source == Source::infrared_last);
    CHECK(setup.input(1).code == 0xFFFFFFFF);
    CHECK(setup.input(1).rule == 1);
    CHECK(setup.rule(1).double_ms == 300);
    CHECK(setup.rule(1).longest_hold_ds == 600);
    CHECK(setup.cell(1, 3) == 7);
    CHECK(setup.gesture(0, 2, Gesture::long_press) == 14);
    CHECK(setup.gesture(1, 0, Gesture::double_press) == 15);
    CHECK(setup.repeat(1).delay_ms == 5000);
    CHECK(setup.motion(0).family == MotionFamily::travel);
    CHECK(setup.motion(0).ramp_ms == 800);
    CHECK(setup.motion_point(0, 8) == 32768);
    CHECK(setup.motion(1).event_count == 3);
    CHECK(setup.motion_point(1, 3) == 4);
    ActionDef action;
    REQUIRE(setup.action(12, action));
    CHECK(action.kind == ActionKind::jump);
    CHECK(action.style == 7);
    CHECK(action.wide() == 300);
    char label[k_label_chars + 1];
    REQUIRE(setup.label(3, label));
    CHECK(std::string(label) == "new");
    CHECK(setup.texts.size == 9);
    CHECK(setup.grid.size == 10);
}

TEST_CASE("image: variant 1 overrides rule 1 and a motion by a shorter one; what follows it moves up") {
    const Bytes image = full_image();
    Setup plain, setup;
    REQUIRE(load_from(image, 0, plain).fault == ImageFault::none);
    REQUIRE(load_from(image, 1, setup).fault == ImageFault::none);
    CHECK(setup.rule(1).double_ms == 0);
    CHECK(setup.rule(0).longest_hold_ds == 300);
    CHECK(setup.motion(0).family == MotionFamily::mouse_keys);
    CHECK(setup.motion(0).event_count == 2);
    CHECK(setup.motion(1).event_count == 3);
    CHECK(setup.repeat(0).delay_ms == 500);
    CHECK(setup.repeat(1).interval_ms == 2000);
    CHECK(setup.used == plain.used - 37 + 12);
}

TEST_CASE("image: variant 2 overrides a motion by a longer one; what follows it moves down") {
    Setup plain, setup;
    const Bytes image = full_image();
    REQUIRE(load_from(image, 0, plain).fault == ImageFault::none);
    REQUIRE(load_from(image, 2, setup).fault == ImageFault::none);
    CHECK(setup.motion(0).first_step_counts == 2);
    CHECK(setup.motion(1).first_step_counts == 9);
    CHECK(setup.motion_point(1, 8) == 32768);
    CHECK(setup.repeat(1).delay_ms == 5000);
    CHECK(setup.used == plain.used - 14 + 37);
}

TEST_CASE("image: variant 3 of an image with 2 is refused and leaves a cleared setup") {
    Setup setup;
    const ImageVerdict verdict = load_from(full_image(), 3, setup);
    CHECK(verdict.fault == ImageFault::range);
    CHECK(verdict.tag == static_cast<uint8_t>(Tag::variant));
    CHECK(is_cleared(setup));
}

TEST_CASE("image: header fields come back, and the CRC is zlib's over all but itself") {
    const Bytes image = full_image(0x0102);
    MemoryImage memory = {image.data(), static_cast<uint16_t>(image.size())};
    ImageHeader header;
    REQUIRE(read_header(storage_of(memory), 480, header) == ImageFault::none);
    CHECK(header.format == 1);
    CHECK(header.size == image.size());
    CHECK(header.profile_version == 0x0102);
    CHECK(header.profile_id[0] == 1);
    CHECK(header.profile_id[7] == 8);
    Bytes covered(image.begin(), image.begin() + 16);
    covered.insert(covered.end(), image.begin() + 20, image.end());
    CHECK(header.crc == crc32(covered.data(), covered.size()));
}

TEST_CASE("image: the CRC is the same in steps of 1 to 255 bytes, and waits while the storage is busy") {
    const Bytes image = full_image();
    MemoryImage memory = {image.data(), static_cast<uint16_t>(image.size())};
    ImageHeader header;
    REQUIRE(read_header(storage_of(memory), 480, header) == ImageFault::none);
    for (int step = 1; step < 256; ++step) {
        StrictStorage strict{image, image.size()};
        CrcWalk walk = {0, 0, false};
        int calls = 0;
        while (!walk.done) {
            strict.busy_from = calls % 3 == 1 ? strict.reads : SIZE_MAX;
            const bool went_on = crc_step(strict.seam(), header, walk, static_cast<uint8_t>(step));
            REQUIRE((went_on || calls % 3 == 1));
            REQUIRE(++calls < 3000);
        }
        CAPTURE(step);
        REQUIRE(walk.crc == header.crc);
    }
}

TEST_CASE("image: the built-in profile is whole, has one mode and six switches, and types nothing") {
    ImageHeader header;
    REQUIRE(read_header(built_in_storage(), k_built_in_image_bytes, header) == ImageFault::none);
    CHECK(header.size == k_built_in_image_bytes);
    CrcWalk walk = {0, 0, false};
    while (!walk.done) REQUIRE(crc_step(built_in_storage(), header, walk, 255));
    CHECK(walk.crc == header.crc);
    Setup setup;
    REQUIRE(load(built_in_storage(), k_built_in_image_bytes, 0, setup).fault == ImageFault::none);
    CHECK(setup.mode_count >= 1);
    bool releases = false;
    for (uint8_t n = 1; n <= setup.action_count; ++n) {
        ActionDef action;
        REQUIRE(setup.action(n, action));
        CHECK(action.kind != ActionKind::text);
        CHECK(action.kind != ActionKind::chord);
        CHECK(action.kind != ActionKind::latch);
        releases = releases || action.kind == ActionKind::release_all;
    }
    CHECK(releases);
}

TEST_CASE("image: cut at any byte it is refused, and nothing past the end is read") {
    const Bytes image = full_image();
    for (size_t size = 0; size < image.size(); ++size) {
        const Bytes cut(image.begin(), image.begin() + static_cast<long>(size));
        StrictStorage strict{cut, cut.size()};
        Setup setup;
        CAPTURE(size);
        // The header still promises the whole size.
        REQUIRE(load(strict.seam(), static_cast<uint16_t>(size), 0, setup).fault == ImageFault::size);
        REQUIRE(is_cleared(setup));
    }
}

TEST_CASE(
    "image: cut at any byte with a header that agrees, it is refused: an action names the last section") {
    const Bytes image = full_image();
    for (size_t size = k_image_header_bytes; size < image.size(); ++size) {
        Bytes cut(image.begin(), image.begin() + static_cast<long>(size));
        seal(cut);
        StrictStorage strict{cut, cut.size()};
        Setup setup;
        CAPTURE(size);
        REQUIRE(load(strict.seam(), static_cast<uint16_t>(size), 0, setup).fault != ImageFault::none);
        REQUIRE(is_cleared(setup));
    }
}

TEST_CASE("image: the room of the storage is never exceeded, whatever the header says") {
    Bytes image = full_image();
    image.resize(480, 0xFF);
    for (uint16_t room = 0; room < 480; ++room) {
        StrictStorage strict{image, room};
        Setup setup;
        CAPTURE(room);
        const bool fits = room >= get16(image.data() + 2);
        REQUIRE((load(strict.seam(), room, 1, setup).fault == ImageFault::none) == fits);
    }
}

TEST_CASE(
    "image: every single flipped bit is caught by the CRC or by the header, and no walk leaves the image") {
    const Bytes image = full_image();
    for (size_t bit = 0; bit < image.size() * 8; ++bit) {
        Bytes wrong = image;
        wrong[bit / 8] = static_cast<uint8_t>(wrong[bit / 8] ^ 1u << bit % 8);
        StrictStorage strict{wrong, wrong.size()};
        ImageHeader header;
        Setup setup;
        CAPTURE(bit);
        const auto room = static_cast<uint16_t>(wrong.size());
        bool caught = read_header(strict.seam(), room, header) != ImageFault::none;
        if (!caught) {
            CrcWalk walk = {0, 0, false};
            while (!walk.done) REQUIRE(crc_step(strict.seam(), header, walk, 64));
            caught = walk.crc != header.crc;
        }
        REQUIRE(caught);
        for (uint8_t variant = 0; variant < 4; ++variant) load(strict.seam(), room, variant, setup);
    }
}

TEST_CASE("image: a storage that turns busy at any read gives busy and a cleared setup") {
    const Bytes image = full_image();
    StrictStorage all{image, image.size()};
    Setup setup;
    REQUIRE(load(all.seam(), 480, 1, setup).fault == ImageFault::none);
    for (size_t read = 0; read < all.reads; ++read) {
        StrictStorage strict{image, image.size()};
        strict.busy_from = read;
        CAPTURE(read);
        REQUIRE(load(strict.seam(), 480, 1, setup).fault == ImageFault::busy);
        REQUIRE(is_cleared(setup));
    }
}

TEST_CASE("image: a newer format, an unknown flag and sizes that cannot be are refused by their names") {
    Bytes image = full_image();
    image[0] = 2;
    CHECK(verdict_of(image).fault == ImageFault::format);
    image[0] = 0;
    CHECK(verdict_of(image).fault == ImageFault::format);
    image = full_image();
    image[1] = 1;
    CHECK(verdict_of(image).fault == ImageFault::format);
    image = full_image();
    put16(image.data() + 2, 19);
    CHECK(verdict_of(image).fault == ImageFault::size);
    put16(image.data() + 2, static_cast<uint16_t>(image.size() + 1));
    CHECK(verdict_of(image).fault == ImageFault::size);
}

TEST_CASE("image: an unknown section is skipped where it may be, and refused where it must be understood") {
    for (int tag = 0; tag < 256; ++tag) {
        const bool known = (tag >= 0x81 && tag <= 0x8C && tag != 0x89) || tag == 0x09;
        if (known) continue;
        auto sections = plain_sections();
        sections.insert(sections.begin() + 2, Section{static_cast<uint8_t>(tag), {1, 2, 3}});
        const ImageVerdict verdict = verdict_of(build(sections));
        CAPTURE(tag);
        CHECK(verdict.fault == (tag < 0x80 ? ImageFault::none : ImageFault::unknown_section));
        CHECK(verdict.tag == (tag < 0x80 ? 0 : tag));
    }
}

TEST_CASE("image: each section may stand once, variants three times") {
    for (const auto& section : full_sections()) {
        auto sections = full_sections();
        sections.push_back(section);
        const ImageVerdict verdict = verdict_of(build(sections));
        const bool is_variant = section.tag == static_cast<uint8_t>(Tag::variant);
        CAPTURE(int(section.tag));
        CHECK(verdict.fault == (is_variant ? ImageFault::none : ImageFault::section));
    }
    auto sections = full_sections();
    sections.push_back(sections.back());
    sections.push_back(sections.back());
    CHECK(verdict_of(build(sections)).fault == ImageFault::range);
}

TEST_CASE("image: inputs, rules, modes and actions must be there; everything else may be missing") {
    const auto plain = plain_sections();
    for (size_t i = 0; i < plain.size(); ++i) {
        auto sections = plain;
        sections.erase(sections.begin() + static_cast<long>(i));
        const auto tag = static_cast<Tag>(plain[i].tag);
        const bool needed =
            tag == Tag::inputs || tag == Tag::rules || tag == Tag::modes || tag == Tag::actions;
        if (tag == Tag::texts) continue;  // an action names a text: the range test below
        const ImageVerdict verdict = verdict_of(build(sections));
        CAPTURE(int(plain[i].tag));
        CHECK(verdict.fault == (needed ? ImageFault::missing : ImageFault::none));
        CHECK(verdict.tag == (needed ? plain[i].tag : 0));
    }
}

TEST_CASE("image: sections in any order load the same") {
    auto sections = full_sections();
    Setup forward, backward;
    REQUIRE(load_from(build(sections), 0, forward).fault == ImageFault::none);
    std::swap(sections[0], sections[9]);
    std::swap(sections[1], sections[7]);
    std::swap(sections[4], sections[5]);
    REQUIRE(load_from(build(sections), 0, backward).fault == ImageFault::none);
    CHECK(memcmp(forward.bytes, backward.bytes, sizeof forward.bytes) == 0);
    CHECK(forward.used == backward.used);
}

TEST_CASE("image: the writer says how much room would have been needed and writes nothing past its room") {
    const Bytes whole = full_image();
    for (uint16_t room = k_image_header_bytes; room < whole.size(); ++room) {
        Bytes to(whole.size() + 8, 0xA5);
        ImageWriter writer(to.data(), room);
        for (const auto& section : full_sections()) {
            writer.begin_section(static_cast<Tag>(section.tag));
            writer.put(section.body.data(), static_cast<uint16_t>(section.body.size()));
            writer.end_section();
        }
        const uint8_t id[8] = {};
        CAPTURE(room);
        REQUIRE_FALSE(writer.finish(id, 1));
        REQUIRE(writer.size() == whole.size());
        for (size_t i = room; i < to.size(); ++i) REQUIRE(to[i] == 0xA5);
    }
}
