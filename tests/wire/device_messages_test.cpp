// Whatever a host can send: each message has a defined answer or a counter, and nothing wedges the device.

#include <doctest/doctest.h>

#include <map>
#include <random>
#include <set>

#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;

namespace {

using Random = std::mt19937;

Bytes random_bytes(Random& random, size_t size) {
    Bytes bytes(size);
    for (auto& byte : bytes) byte = static_cast<uint8_t>(random());
    return bytes;
}

bool is_never_answered(uint8_t type) {
    return (type & k_reply) != 0 || type == static_cast<uint8_t>(MessageType::error);
}

bool is_known(uint8_t type) {
    return (type >= 0x01 && type <= 0x13) || (type >= 0x20 && type <= 0x22);
}

/// The shortest body that is not malformed for its length alone.
size_t least_body(uint8_t type) {
    const std::map<uint8_t, size_t> least = {{0x01, 2}, {0x02, 4}, {0x04, 6}, {0x05, 6}, {0x06, 5},
                                             {0x07, 6}, {0x08, 7}, {0x09, 6}, {0x0A, 8}, {0x0D, 1},
                                             {0x10, 1}, {0x11, 1}, {0x12, 4}, {0x13, 1}};
    const auto found = least.find(type);
    return found == least.end() ? 0 : found->second;
}

bool inject_all(void*, uint8_t, const InjectStep*, uint8_t) {
    return true;
}

/// hello and release are answered, and nothing is held.
void check_alive(Rig& rig) {
    for (const Channel channel : {Channel::hid, Channel::serial}) rig.drain(channel);
    rig.tick(3000);  // what was begun is over
    for (const Channel channel : {Channel::hid, Channel::serial}) rig.drain(channel);
    const auto hello = rig.ask({0x01, 0xE1, 1, 0});
    REQUIRE(hello.has_value());
    REQUIRE(hello->at(0) == 0x81);
    const auto release = rig.ask({0x0C, 0xE2});
    REQUIRE(release.has_value());
    REQUIRE(*release == Bytes{0x8C, 0xE2});
    REQUIRE(rig.ends_released());
}

}  // namespace

TEST_CASE(
    "messages: all 256 types with bodies of 0 to 60 random bytes get their reply, an error, or a count") {
    Random random(1);
    Rig rig;
    rig.identity.inject = InjectHook{nullptr, inject_all};
    rig.start();
    for (int type = 0; type < 256; ++type)
        for (size_t size = 0; size <= k_body_max; ++size) {
            const auto code = static_cast<uint8_t>(type);
            Bytes message = {code, static_cast<uint8_t>(1 + size)};
            const Bytes body = random_bytes(random, size);
            message.insert(message.end(), body.begin(), body.end());
            const InfoReply before = rig.device.info();
            const auto answer = rig.ask(message, Channel::hid, is_never_answered(code) ? 20 : 2000);
            CAPTURE(type);
            CAPTURE(size);
            if (is_never_answered(code)) {
                REQUIRE_FALSE(answer.has_value());
                REQUIRE(rig.device.info().frames_bad == before.frames_bad + 1);
                continue;
            }
            REQUIRE(answer.has_value());
            const bool is_reply = answer->at(0) == (code | k_reply);
            const bool is_fault = answer->at(0) == static_cast<uint8_t>(MessageType::error);
            REQUIRE((is_reply || is_fault));
            if (is_fault) REQUIRE(error_of(*answer).request == code);
            if (!is_known(code)) REQUIRE(is_error(*answer, WireError::unknown_type));
            if (code >= 0x20 && code <= 0x22) REQUIRE(is_error(*answer, WireError::unsupported));
            if (is_known(code) && code < 0x20 && size < least_body(code))
                REQUIRE(is_error(*answer, WireError::malformed));
        }
    check_alive(rig);
}

TEST_CASE("messages: 0 and 1 byte, and more than 62, are counted and not answered") {
    Rig rig;
    const Bytes long_one(80, 0x01);
    for (const uint8_t size : std::vector<uint8_t>{0, 1, 63, 80}) {
        const InfoReply before = rig.device.info();
        rig.device.receive(Channel::hid, long_one.data(), size, rig.now_us);
        rig.tick();
        uint8_t raw[k_message_max];
        CHECK(rig.device.send(Channel::hid, raw, rig.now_us) == 0);
        CHECK(rig.device.info().frames_bad == before.frames_bad + 1);
        CHECK(rig.device.info().frames_in == before.frames_in);
    }
    rig.device.bad_frame();
    CHECK(rig.device.info().frames_bad == 5);
    check_alive(rig);
}

TEST_CASE("messages: counters stop at 65,535") {
    Rig rig;
    for (int i = 0; i < 70000; ++i) rig.device.bad_frame();
    CHECK(rig.device.info().frames_bad == 65535);
    const Bytes release = {0x0C, 1};
    for (int i = 0; i < 70000; ++i) rig.device.receive(Channel::hid, release.data(), 2, rig.now_us);
    CHECK(rig.device.info().frames_in == 65535);
    check_alive(rig);
}

TEST_CASE("messages: before the profile runs, ping and release are served and everything else is busy") {
    for (int type = 1; type <= 0x13; ++type) {
        Rig rig(false);
        rig.start(1);
        Bytes message(k_message_max, 0);
        message[0] = static_cast<uint8_t>(type);
        message[1] = 9;
        rig.device.receive(Channel::hid, message.data(), k_message_max, rig.now_us);
        const auto answer = rig.fetch(Channel::hid);
        CAPTURE(type);
        REQUIRE(answer.has_value());
        if (type == 0x02 || type == 0x0C)
            CHECK(answer->at(0) == (type | k_reply));
        else
            CHECK(is_error(*answer, WireError::busy));
        rig.tick(100);
        check_alive(rig);
    }
}

TEST_CASE("messages: a request whose answer has no room is not carried out, and counted; release always is") {
    Rig rig;
    rig.install(plain_image(1));
    rig.drain(Channel::hid);
    Bytes hello = {0x01, 1, 1, 0};
    rig.device.receive(Channel::hid, hello.data(), 4, rig.now_us);
    const Bytes ping = {0x02, 4, 0, 0, 0, 0};
    rig.device.receive(Channel::hid, ping.data(), 6, rig.now_us);
    CHECK_FALSE(rig.device.can_receive(Channel::hid));
    CHECK(rig.device.can_receive(Channel::serial));
    const InfoReply before = rig.device.info();
    const Bytes mode = {0x10, 2, 1};
    rig.device.receive(Channel::hid, mode.data(), 3, rig.now_us);
    CHECK(rig.device.info().frames_bad == before.frames_bad + 1);
    CHECK(rig.device.engine().state().mode == 0);
    const Bytes release = {0x0C, 3};
    rig.device.receive(Channel::hid, release.data(), 2, rig.now_us);
    // The release overtakes the hello that was asked for first.
    CHECK(*rig.fetch(Channel::hid) == Bytes{0x8C, 3});
    CHECK(rig.fetch(Channel::hid)->at(0) == 0x81);
    CHECK(rig.fetch(Channel::hid)->at(0) == 0x82);
    CHECK(rig.device.can_receive(Channel::hid));
    check_alive(rig);
}

TEST_CASE("messages: a serial host that asks and never reads does not hold up a push over HID") {
    Rig rig;
    rig.install(plain_image(1));
    rig.device.serial_dtr(true);
    for (int round = 0; round < 30; ++round) {
        Bytes read = {0x04, static_cast<uint8_t>(round), 0, 0, 0, 0, 0, 48};
        rig.device.receive(Channel::serial, read.data(), 8, rig.now_us);
        rig.tick();
    }
    CHECK(rig.device.info().frames_bad > 0);
    CHECK(trial_of(rig.push(plain_image(2))).phase == TrialPhase::running);
    check_alive(rig);
}

TEST_CASE("messages: small answers queue up in order") {
    Rig rig;
    for (uint8_t id = 1; id <= 3; ++id) {
        const Bytes ping = {0x02, id, 0, 0, 0, 0};
        rig.device.receive(Channel::hid, ping.data(), 6, rig.now_us);
    }
    for (uint8_t id = 1; id <= 3; ++id) CHECK(rig.fetch(Channel::hid)->at(1) == id);
    check_alive(rig);
}

TEST_CASE("messages: a million random ones on both channels never wedge the device") {
    Random random(20260105);
    Rig rig;
    rig.identity.inject = InjectHook{nullptr, inject_all};
    rig.eeprom.write_ticks = 1;
    rig.start();
    rig.install(plain_image(1));
    const Bytes image = plain_image(2);
    rig.device.serial_dtr(true);
    for (int i = 0; i < 1000000; ++i) {
        Bytes message = random_bytes(random, 2 + random() % 61);
        // Three of four are of a known type; a third of those are good pieces of a push and its trial.
        if (random() % 4 != 0) message[0] = static_cast<uint8_t>(1 + random() % 0x13);
        if (random() % 4 == 0) {
            uint8_t raw[k_message_max];
            uint8_t size = 0;
            const auto id = static_cast<uint8_t>(random());
            const TrialReply trial = rig.device.trial();
            const TrialRequest named = {trial.id, trial.image_crc, static_cast<uint8_t>(random() & 1), 60};
            const size_t at = random() % 10 * 48 % image.size();
            const size_t count = std::min<size_t>(48, image.size() - at);
            switch (random() % 8) {
                case 0:
                    size = put_begin_write_request(raw, id,
                                                   {static_cast<uint16_t>(image.size()), crc_of(image)});
                    break;
                case 1:
                case 2:
                case 3:
                    size = put_write_request(
                        raw, id, {static_cast<uint32_t>(at), image.data() + at, static_cast<uint8_t>(count)});
                    break;
                case 4: size = put_finish_request(raw, id, {crc_of(image), 20}); break;
                case 5: size = put_keep_request(raw, id, named); break;
                case 6: size = put_revert_request(raw, id, named); break;
                default: size = put_extend_request(raw, id, named); break;
            }
            message.assign(raw, raw + size);
        }
        const Channel channel = random() % 3 == 0 ? Channel::serial : Channel::hid;
        rig.device.receive(channel, message.data(), static_cast<uint8_t>(message.size()), rig.now_us);
        if (random() % 3 != 0) {
            rig.drain(channel);
            rig.telemetry.clear();
        }
        if (random() % 4 == 0) rig.tick(static_cast<int>(1 + random() % 6));
        if (random() % 5000 == 0) rig.tick(1, static_cast<uint8_t>(1 + random() % 7));
        if (random() % 50000 == 0) rig.start();
        if (i % 100000 == 99999) check_alive(rig);
    }
    check_alive(rig);
    // And it still does its work.
    const TrialReply trial = rig.trial();
    if (trial.phase == TrialPhase::running) rig.revert(trial.id, trial.image_crc);
    rig.install(full_image());
    rig.start();
    CHECK(rig.hello().image_crc == crc_of(full_image()));
    CHECK(rig.ends_released());
}
