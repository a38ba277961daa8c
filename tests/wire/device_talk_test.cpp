// What host and device say to each other besides pushes and trials.

#include <doctest/doctest.h>

#include "core/wire/frame.hpp"
#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;

namespace {

struct Injected {
    int calls = 0;
    uint8_t line = 0;
    std::vector<InjectStep> steps;
    bool has_room = true;
    InjectHook hook() {
        return InjectHook{this, [](void* owner, uint8_t to, const InjectStep* from, uint8_t count) {
                              auto& self = *static_cast<Injected*>(owner);
                              if (!self.has_room) return false;
                              ++self.calls;
                              self.line = to;
                              self.steps.assign(from, from + count);
                              return true;
                          }};
    }
};

void send_serial(Rig& rig, const Bytes& message) {
    uint8_t frame[k_serial_frame_max];
    const uint8_t size = pack_serial(message.data(), static_cast<uint8_t>(message.size()), frame);
    for (uint8_t i = 0; i < size; ++i) rig.device.serial_byte(frame[i], rig.now_us);
}

}  // namespace

TEST_CASE("talk: hello says what this device is and what runs on it") {
    Rig rig;
    rig.install(plain_image(7));
    const HelloReply hello = rig.hello();
    CHECK(hello.contract_version == 1);
    CHECK(hello.engine_build == engine::k_engine_build);
    CHECK(hello.image_format == 1);
    CHECK(hello.features == (k_feature_trial | k_feature_variants | k_feature_display));
    CHECK(hello.slots == 2);
    CHECK(hello.slot_bytes == 480);
    CHECK(hello.mirror_bytes == 256);
    CHECK(hello.max_inputs == 24);
    CHECK(hello.max_modes == 16);
    CHECK(hello.max_variants == 4);
    CHECK(hello.current_slot == 0);
    CHECK(hello.image_size == plain_image(7).size());
    CHECK(hello.image_crc == crc_of(plain_image(7)));
    CHECK(hello.profile_id[7] == 8);
    CHECK(hello.profile_version == 7);
    CHECK(hello.boot_id == 0x1234);
    CHECK(hello.board == 0);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: an older and a newer host are both answered") {
    Rig rig;
    for (const uint8_t version : std::vector<uint8_t>{0, 1, 2, 255})
        CHECK(rig.ask({0x01, version, version, 0})->at(0) == 0x81);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: ping gives the stamp back with the times of its coming and of its going") {
    Rig rig;
    const uint32_t came = rig.now_us;
    const Bytes ping = {0x02, 1, 4, 3, 2, 1};
    rig.device.receive(Channel::hid, ping.data(), 6, came);
    rig.tick(5);
    const auto answer = rig.fetch(Channel::hid);
    PingReply reply = {};
    REQUIRE(get_ping(answer->data() + 2, 12, reply));
    CHECK(reply.stamp == 0x01020304);
    CHECK(reply.received_us == came);
    CHECK(reply.sent_us == came + 5000);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: info counts seconds, messages, starts and holds that reached their limit") {
    Rig rig;
    rig.identity.reset_cause = 2;
    rig.install(plain_image(1));
    rig.start();
    rig.tick(9900);
    rig.ask({0x01, 1, 1, 0});
    rig.switch_to(1, true);
    rig.tick(31000);  // the rule's longest hold is 30 s
    CHECK(rig.is_all_up());
    rig.switch_to(1, false);
    rig.tick(10);
    const auto answer = rig.ask({0x03, 2});
    InfoReply info = {};
    REQUIRE(get_info(answer->data() + 2, static_cast<uint8_t>(answer->size() - 2), info));
    CHECK(info.up_s == 41);
    CHECK(info.frames_in == 2);
    CHECK(info.frames_bad == 0);
    CHECK(info.resets == 2);
    CHECK(info.reset_cause == 2);
    CHECK(info.held_limit == 1);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: read gives 1 to 48 bytes inside a slot, of four names of slots, and nothing outside") {
    Rig rig;
    rig.install(plain_image(1));
    struct Row {
        uint8_t slot;
        uint32_t offset;
        uint8_t count;
        bool good;
    };
    const Row rows[] = {{0, 0, 48, true},       {1, 432, 48, true},       {0, 433, 48, false},
                        {0, 480, 1, false},     {2, 0, 1, false},         {0xFC, 0, 1, false},
                        {0xFD, 0, 20, true},    {0xFE, 479, 1, true},     {0xFF, 0, 20, true},
                        {0xFF, 440, 48, false}, {0, 0, 0, false},         {0, 0, 49, false},
                        {0, 0x10000, 1, false}, {0, 0xFFFFFFFF, 2, false}};
    for (const auto& row : rows) {
        uint8_t raw[k_message_max];
        const uint8_t size = put_read_request(raw, rig.next_id++, {row.slot, row.offset, row.count});
        const auto answer = rig.ask(Bytes(raw, raw + size));
        REQUIRE(answer.has_value());
        CAPTURE(int(row.slot));
        CAPTURE(row.offset);
        if (!row.good) {
            CHECK(is_error(*answer, WireError::malformed));
            continue;
        }
        ReadReply reply = {};
        REQUIRE(answer->at(0) == 0x84);
        REQUIRE(get_read(answer->data() + 2, static_cast<uint8_t>(answer->size() - 2), reply));
        CHECK(reply.slot == row.slot);
        CHECK(reply.offset == row.offset);
        CHECK(reply.count == row.count);
    }
    const Bytes built_in = rig.read_back(k_slot_built_in, k_built_in_image_bytes);
    CHECK(verdict_of(built_in).fault == ImageFault::none);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: a read while a byte is being written waits for it and is answered once") {
    Rig rig;
    rig.eeprom.write_ticks = 30;
    rig.start(40);  // the journal is being written
    REQUIRE(rig.eeprom.is_busy());
    const auto answer = rig.ask({0x04, 5, 0, 0, 0, 0, 0, 16});
    REQUIRE(answer.has_value());
    CHECK(answer->at(0) == 0x84);
    CHECK(rig.ends_released());
}

TEST_CASE(
    "talk: release lets go in one report of each kind, whatever waits, and is answered on both channels") {
    Rig rig;
    rig.install(plain_image(1));
    rig.device.serial_dtr(true);
    for (const Channel channel : {Channel::hid, Channel::serial}) {
        rig.switch_to(1, true);
        rig.tick(10);
        REQUIRE(rig.last[1].bytes[1] == 1);
        const Bytes release = {0x0C, 44};
        rig.device.receive(channel, release.data(), 2, rig.now_us);
        rig.tick(2);
        CHECK(rig.is_all_up());
        CHECK(*rig.fetch(channel) == Bytes{0x8C, 44});
        rig.switch_to(1, false);
        rig.tick(10);
    }
    CHECK(rig.ends_released());
}

TEST_CASE("talk: set_mode goes to a mode that is there, and is malformed for others") {
    Rig rig;
    rig.install(plain_image(1));
    CHECK(*rig.ask({0x10, 1, 1}) == Bytes{0x90, 1, 1});
    CHECK(rig.device.engine().state().mode == 1);
    CHECK(is_error(*rig.ask({0x10, 2, 2}), WireError::malformed));
    CHECK(rig.device.engine().state().mode == 1);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: set_variant and the device's own variant keep the mode; a repeat loads nothing anew") {
    Rig rig;
    rig.install(plain_image(1));
    rig.ask({0x10, 1, 1});
    CHECK(*rig.ask({0x11, 2, 1}) == Bytes{0x91, 2, 1});
    CHECK(rig.device.engine().state().variant == 1);
    CHECK(rig.device.engine().state().mode == 1);
    CHECK(rig.device.engine().setup().rule(0).acceptance_ms == 50);
    CHECK(*rig.ask({0x11, 3, 1}) == Bytes{0x91, 3, 1});
    CHECK(is_error(*rig.ask({0x11, 4, 2}), WireError::malformed));
    rig.press(8, 100);
    CHECK(rig.device.engine().state().variant == 0);
    CHECK(rig.device.engine().state().mode == 1);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: display gives the rows of this device's display and no others") {
    Rig rig;
    rig.install(plain_image(1));
    for (uint8_t row = 0; row < 6; ++row) {
        const auto answer = rig.ask({0x13, row, row});
        CAPTURE(int(row));
        if (row >= 4) {
            CHECK(is_error(*answer, WireError::malformed));
            continue;
        }
        DisplayReply reply = {};
        REQUIRE(answer->at(0) == 0x93);
        REQUIRE(get_display(answer->data() + 2, static_cast<uint8_t>(answer->size() - 2), reply));
        CHECK(reply.row == row);
        CHECK(reply.rows == 4);
        CHECK(reply.columns == 20);
        for (uint8_t i = 0; i < 20; ++i) CHECK((reply.text[i] >= 0x20 && reply.text[i] <= 0x7E));
    }
    const auto first = rig.ask({0x13, 77, 0});
    CHECK(std::string(first->begin() + 5, first->end()).find("one") != std::string::npos);
    rig.identity.display_rows = 0;
    rig.start();
    CHECK(is_error(*rig.ask({0x13, 1, 0}), WireError::unsupported));
    CHECK(rig.ends_released());
}

TEST_CASE(
    "talk: inject is unsupported without a hook, passes its steps with one, and a repeat injects nothing") {
    Rig rig;
    const Bytes message = {0x12, 6, 3, 1, 0x30, 0x02, 0, 0x94, 0x01};
    CHECK(is_error(*rig.ask(message), WireError::unsupported));
    CHECK((rig.hello().features & k_feature_inject) == 0);
    Injected injected;
    rig.identity.inject = injected.hook();
    rig.start();
    CHECK((rig.hello().features & k_feature_inject) != 0);
    injected.has_room = false;
    CHECK(is_error(*rig.ask(message), WireError::busy));
    injected.has_room = true;
    for (int i = 0; i < 3; ++i) CHECK(*rig.ask(message) == Bytes{0x92, 6});
    CHECK(injected.calls == 1);
    CHECK(injected.line == 3);
    REQUIRE(injected.steps.size() == 2);
    CHECK(injected.steps[0].after_us == 560);
    CHECK(injected.steps[1].level == 0);
    Bytes other = message;
    other[1] = 7;
    CHECK(*rig.ask(other) == Bytes{0x92, 7});
    CHECK(injected.calls == 2);
    CHECK(rig.ends_released());
}

TEST_CASE("serial: silent until DTR and a valid frame, and silent again when DTR falls") {
    Rig rig;
    send_serial(rig, {0x01, 1, 1, 0});  // without DTR
    rig.tick(5);
    CHECK_FALSE(rig.fetch(Channel::serial).has_value());
    CHECK(rig.device.info().frames_in == 0);
    rig.device.serial_dtr(true);
    for (const char c : std::string("AT+GMM\r\n"))
        rig.device.serial_byte(static_cast<uint8_t>(c), rig.now_us);
    rig.tick(2000);
    CHECK_FALSE(rig.fetch(Channel::serial).has_value());
    send_serial(rig, {0x01, 2, 1, 0});
    CHECK(rig.fetch(Channel::serial)->at(0) == 0x81);
    CHECK(rig.device.info().frames_bad == 1);  // the eight bytes before the frame's first zero
    send_serial(rig, {0x0D, 3, 0});
    CHECK(rig.fetch(Channel::serial)->at(0) == 0x8D);
    rig.tick(1500);
    rig.drain(Channel::serial);
    CHECK_FALSE(rig.telemetry.empty());
    send_serial(rig, {0x01, 4, 1, 0});
    rig.device.serial_dtr(false);
    rig.telemetry.clear();
    rig.tick(3000);
    CHECK_FALSE(rig.fetch(Channel::serial).has_value());
    rig.device.serial_dtr(true);
    rig.tick(3000);
    CHECK_FALSE(rig.fetch(Channel::serial).has_value());
    CHECK(rig.telemetry.empty());
    send_serial(rig, {0x01, 5, 1, 0});
    CHECK(rig.fetch(Channel::serial)->at(1) == 5);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: an answer goes to the channel of its request, also one that took its time") {
    Rig rig;
    rig.device.serial_dtr(true);
    const Bytes image = full_image();
    rig.begin_write(image);
    Bytes write = {0x06, 50, 0, 0, 0, 0};
    write.insert(write.end(), image.begin(), image.begin() + 40);
    send_serial(rig, write);
    const auto answer = [&]() -> std::optional<Bytes> {
        for (int i = 0; i < 1000; ++i) {
            if (rig.fetch(Channel::hid)) return std::nullopt;
            if (const auto got = rig.fetch(Channel::serial)) return got;
            rig.tick();
        }
        return std::nullopt;
    }();
    REQUIRE(answer.has_value());
    CHECK(answer->at(0) == 0x86);
    CHECK(rig.ends_released());
}

TEST_CASE("talk: a lost cable forgets replies, subscription and the waiting request, on both channels") {
    Rig rig;
    rig.device.serial_dtr(true);
    send_serial(rig, {0x01, 1, 1, 0});
    const Bytes hello = {0x01, 2, 1, 0}, subscribe = {0x0D, 3, 0};
    rig.ask(subscribe);
    rig.device.receive(Channel::hid, hello.data(), 4, rig.now_us);
    rig.tick(1, engine::k_command_cable_lost);
    rig.telemetry.clear();
    rig.tick(3000);
    CHECK_FALSE(rig.fetch(Channel::hid).has_value());
    CHECK_FALSE(rig.fetch(Channel::serial).has_value());
    CHECK(rig.telemetry.empty());
    CHECK(rig.hello().boot_id == 0x1234);
    CHECK(rig.ends_released());
}
