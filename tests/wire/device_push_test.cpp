// A push: every order of its messages, every image that must not run.

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;

namespace {

Bytes write_at(Rig& rig, uint32_t offset, const Bytes& bytes) {
    uint8_t raw[k_message_max];
    const uint8_t size =
        put_write_request(raw, rig.next_id++, {offset, bytes.data(), static_cast<uint8_t>(bytes.size())});
    const auto answer = rig.ask(Bytes(raw, raw + size));
    REQUIRE(answer.has_value());
    return *answer;
}

Bytes slice(const Bytes& image, size_t from, size_t to) {
    return Bytes(image.begin() + static_cast<long>(from), image.begin() + static_cast<long>(to));
}

}  // namespace

TEST_CASE("push: begin, ten blocks and finish put an image on trial; the spare reads back byte for byte") {
    Rig rig;
    rig.install(plain_image(1));
    const Bytes image = full_image();
    rig.next_id = 77;
    CHECK(rig.begin_write(image) == Bytes{0x85, 77, static_cast<uint8_t>(image.size() & 0xFF),
                                          static_cast<uint8_t>(image.size() >> 8)});
    rig.write_all(image);
    CHECK(rig.read_back(k_slot_spare, static_cast<uint16_t>(image.size())) == image);
    CHECK(trial_of(rig.finish(image)).phase == TrialPhase::running);
    CHECK(rig.read_back(k_slot_current, static_cast<uint16_t>(image.size())) == image);
    CHECK(rig.read_back(0, static_cast<uint16_t>(plain_image(1).size())) == plain_image(1));
    CHECK(rig.ends_released());
}

TEST_CASE("push: blocks of 1, 7, 47 and 48 bytes, each sent three times, give the same image") {
    for (const size_t block : std::vector<size_t>{1, 7, 47, 48}) {
        Rig rig;
        rig.eeprom.write_ticks = 1;
        const Bytes image = full_image();
        rig.begin_write(image);
        for (size_t at = 0; at < image.size(); at += block) {
            const size_t end = std::min(image.size(), at + block);
            for (int i = 0; i < 3; ++i) {
                const Bytes answer = write_at(rig, static_cast<uint32_t>(at), slice(image, at, end));
                REQUIRE(type_of(answer) == static_cast<uint8_t>(MessageType::write));
                REQUIRE(answer[2] + 256 * answer[3] == static_cast<int>(at));
                REQUIRE(answer[6] == end - at);
            }
        }
        CAPTURE(block);
        CHECK(trial_of(rig.finish(image)).image_crc == crc_of(image));
        CHECK(rig.ends_released());
    }
}

TEST_CASE("push: write before begin, a gap, past the end, and finish too early are out of order") {
    Rig rig;
    const Bytes image = full_image();
    CHECK(is_error(write_at(rig, 0, slice(image, 0, 10)), WireError::out_of_order));
    CHECK(is_error(rig.finish(image), WireError::out_of_order));
    rig.begin_write(image);
    CHECK(is_error(rig.finish(image), WireError::out_of_order));
    CHECK(is_error(write_at(rig, 1, slice(image, 1, 10)), WireError::out_of_order));
    CHECK(is_error(write_at(rig, 0xFFFFFFFF, slice(image, 0, 10)), WireError::out_of_order));
    CHECK(type_of(write_at(rig, 0, slice(image, 0, 40))) == static_cast<uint8_t>(MessageType::write));
    CHECK(is_error(write_at(rig, 41, slice(image, 41, 50)), WireError::out_of_order));
    rig.write_all(image);
    const auto past = static_cast<uint32_t>(image.size());
    CHECK(is_error(write_at(rig, past, {1}), WireError::out_of_order));
    CHECK(is_error(write_at(rig, past - 1, {1, 2}), WireError::out_of_order));
    CHECK(trial_of(rig.finish(image)).phase == TrialPhase::running);
    CHECK(rig.ends_released());
}

TEST_CASE("push: finish with another CRC than begin's is out of order") {
    Rig rig;
    const Bytes image = full_image();
    rig.begin_write(image);
    rig.write_all(image);
    CHECK(is_error(rig.finish(plain_image(1)), WireError::out_of_order));
    CHECK(trial_of(rig.finish(image)).phase == TrialPhase::running);
    CHECK(rig.ends_released());
}

TEST_CASE("push: sizes of 0 and 19 are malformed, 481 is too large and says 480") {
    Rig rig;
    for (const uint16_t size : std::vector<uint16_t>{0, 19, 481, 65535}) {
        uint8_t raw[k_message_max];
        const uint8_t bytes = put_begin_write_request(raw, rig.next_id++, {size, 1});
        const auto answer = rig.ask(Bytes(raw, raw + bytes));
        REQUIRE(answer.has_value());
        CAPTURE(size);
        if (size < 20) {
            CHECK(is_error(*answer, WireError::malformed));
        } else {
            CHECK(is_error(*answer, WireError::too_large));
            CHECK(error_of(*answer).detail[0] == 0xE0);
            CHECK(error_of(*answer).detail[1] == 0x01);
        }
    }
    CHECK(rig.ends_released());
}

TEST_CASE("push: an image of exactly 480 bytes runs and is kept") {
    auto sections = plain_sections();
    sections.push_back(Section{0x40, {}});  // a section that may be skipped fills it up
    sections.back().body.resize(480 - build(sections).size());
    const Bytes image = build(sections);
    REQUIRE(image.size() == 480);
    Rig rig;
    rig.install(image);
    rig.start();
    CHECK(rig.read_back(k_slot_current, 480) == image);
    CHECK(rig.ends_released());
}

TEST_CASE("push: a wrong CRC, a wrong section and a value out of range are told, and the old one goes on") {
    Rig rig;
    rig.install(plain_image(1));
    struct Row {
        Bytes image;
        ImageFault fault;
        uint8_t tag;
    };
    std::vector<Row> rows;
    Bytes image = full_image();
    image.back() ^= 1;
    rows.push_back({image, ImageFault::crc, 0});
    image = full_image();
    image[0] = 2;
    seal(image);
    rows.push_back({image, ImageFault::format, 0});
    image = full_image();
    engine::put16(image.data() + 2, 100);
    rows.push_back({image, ImageFault::size, 0});
    auto sections = plain_sections();
    sections.push_back(Section{0xFE, {1}});
    rows.push_back({build(sections), ImageFault::unknown_section, 0xFE});
    sections = plain_sections();
    section_of(sections, Tag::modes).body[1] = 99;
    rows.push_back({build(sections), ImageFault::range, static_cast<uint8_t>(Tag::modes)});
    for (const auto& row : rows) {
        rig.switch_to(1, true);
        rig.tick(5);
        const Bytes answer = rig.push(row.image);
        CAPTURE(int(row.fault));
        REQUIRE(is_error(answer, WireError::bad_image));
        CHECK(error_of(answer).detail[0] == static_cast<uint8_t>(row.fault));
        CHECK(error_of(answer).detail[1] == row.tag);
        // What is held is not even disturbed.
        CHECK(rig.last[1].bytes[1] == 1);
        rig.switch_to(1, false);
        rig.tick(5);
        CHECK(rig.hello().image_crc == crc_of(plain_image(1)));
    }
    CHECK(trial_of(rig.push(plain_image(2))).phase == TrialPhase::running);
    CHECK(rig.ends_released());
}

TEST_CASE("push: begun again with another image it starts over, with the same one it goes on") {
    Rig rig;
    const Bytes image = full_image(), other = plain_image(1);
    rig.begin_write(image);
    write_at(rig, 0, slice(image, 0, 48));
    rig.begin_write(image);
    CHECK(type_of(write_at(rig, 48, slice(image, 48, 96))) == static_cast<uint8_t>(MessageType::write));
    rig.begin_write(other);
    CHECK(is_error(write_at(rig, 48, slice(other, 48, 96)), WireError::out_of_order));
    rig.write_all(other);
    CHECK(trial_of(rig.finish(other)).image_crc == crc_of(other));
    CHECK(rig.ends_released());
}

TEST_CASE(
    "push: while a block is written another request for the storage is busy, the same one is answered once") {
    Rig rig;
    const Bytes image = full_image();
    rig.begin_write(image);
    uint8_t raw[k_message_max];
    const uint8_t size = put_write_request(raw, 100, {0, image.data(), 48});
    rig.device.receive(Channel::hid, raw, size, rig.now_us);
    rig.tick(3);
    rig.device.receive(Channel::hid, raw, size, rig.now_us);  // repeated, same id
    raw[1] = 101;
    rig.device.receive(Channel::hid, raw, size, rig.now_us);  // repeated, own id
    const auto busy = rig.fetch(Channel::hid);
    REQUIRE(busy.has_value());
    CHECK(busy->at(1) == 101);
    CHECK(is_error(*busy, WireError::busy));
    const Bytes hello = {0x01, 102, 1, 0};  // needs no storage
    CHECK(rig.ask(hello)->at(0) == 0x81);
    int answers = 0;
    for (int i = 0; i < 1000; ++i) {
        while (const auto answer = rig.fetch(Channel::hid)) {
            CHECK(answer->at(1) == 100);
            ++answers;
        }
        rig.tick();
    }
    CHECK(answers == 1);
    CHECK(rig.ends_released());
}

TEST_CASE(
    "push: finish repeated with the same id while the image is checked is answered once, with one trial") {
    Rig rig;
    const Bytes image = full_image();
    rig.begin_write(image);
    rig.write_all(image);
    uint8_t raw[k_message_max];
    const uint8_t size = put_finish_request(raw, 100, {crc_of(image), 0});
    int answers = 0;
    for (int i = 0; i < 300; ++i) {
        if (i < 10) rig.device.receive(Channel::hid, raw, size, rig.now_us);
        rig.tick();
        while (const auto answer = rig.fetch(Channel::hid)) {
            CHECK(trial_of(*answer).id == 1);
            ++answers;
        }
    }
    CHECK(answers == 1);
    CHECK(rig.ends_released());
}

TEST_CASE("push: a cable lost while the image is checked starts no trial") {
    for (int ticks = 0; ticks < 60; ++ticks) {
        Rig rig;
        rig.eeprom.write_ticks = 0;
        rig.install(plain_image(1));
        const Bytes image = full_image();
        rig.begin_write(image);
        rig.write_all(image);
        uint8_t raw[k_message_max];
        rig.device.receive(Channel::hid, raw, put_finish_request(raw, 100, {crc_of(image), 0}), rig.now_us);
        rig.tick(ticks);
        rig.tick(1, engine::k_command_cable_lost);
        rig.tick(100);
        CAPTURE(ticks);
        REQUIRE(rig.device.trial().phase != TrialPhase::running);
        REQUIRE(rig.device.hello().image_crc == crc_of(plain_image(1)));
        REQUIRE(rig.ends_released());
    }
}

TEST_CASE("push: a host that goes away in the middle leaves the old profile, and another push works") {
    Rig rig;
    rig.install(plain_image(1));
    const Bytes image = full_image();
    rig.begin_write(image);
    write_at(rig, 0, slice(image, 0, 48));
    rig.tick(1, engine::k_command_cable_lost);
    rig.tick(100);
    CHECK(rig.hello().image_crc == crc_of(plain_image(1)));
    CHECK(trial_of(rig.push(plain_image(2))).phase == TrialPhase::running);
    CHECK(rig.ends_released());
}
