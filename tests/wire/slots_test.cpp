#include "core/wire/slots.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;

TEST_CASE("slots: the sequence goes 1 to 254 and on with 1; the newer of two neighbours wins everywhere") {
    CHECK(next_commit(0xFF) == 1);
    CHECK(next_commit(0) == 1);
    CHECK(next_commit(254) == 1);
    for (int commit = 1; commit <= 254; ++commit) {
        const auto a = static_cast<uint8_t>(commit);
        const uint8_t b = next_commit(a);
        CAPTURE(commit);
        REQUIRE(is_commit(b));
        REQUIRE(is_newer(b, a));
        REQUIRE_FALSE(is_newer(a, b));
        REQUIRE_FALSE(is_newer(a, a));
    }
}

TEST_CASE("slots: an empty storage starts the built-in profile, and so does one of zeros") {
    for (const uint8_t fill : std::vector<uint8_t>{0xFF, 0x00, 0x5A}) {
        Rig rig(false);
        std::fill(rig.eeprom.cells.begin(), rig.eeprom.cells.end(), fill);
        rig.start(200);
        CAPTURE(int(fill));
        CHECK(rig.hello().current_slot == k_slot_built_in);
        CHECK(rig.hello().image_size == k_built_in_image_bytes);
        CHECK(rig.ends_released());
    }
}

TEST_CASE("slots: a storage that never answers starts the built-in profile after 250 ms") {
    Rig rig(false);
    rig.eeprom.is_deaf = true;
    rig.start(249);
    CHECK_FALSE(rig.device.is_ready());
    rig.tick(2);
    CHECK(rig.device.is_ready());
    CHECK(rig.device.hello().current_slot == k_slot_built_in);
    CHECK(rig.device.hello().image_size == k_built_in_image_bytes);
    CHECK(rig.ends_released());
}

TEST_CASE("slots: a kept profile is there after a start, byte for byte") {
    Rig rig;
    const Bytes image = full_image();
    rig.install(image);
    rig.start();
    const HelloReply hello = rig.hello();
    CHECK(hello.current_slot == 0);
    CHECK(hello.image_crc == crc_of(image));
    CHECK(rig.read_back(k_slot_current, hello.image_size) == image);
    CHECK(rig.read_back(0, hello.image_size) == image);
}

TEST_CASE("slots: 300 keeps go round the 254 commit bytes and each is there after a start") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    for (uint16_t version = 1; version <= 300; ++version) {
        const Bytes image = plain_image(version);
        rig.install(image);
        rig.start();
        CAPTURE(version);
        REQUIRE(rig.hello().image_crc == crc_of(image));
        REQUIRE(rig.hello().current_slot == (version + 1) % 2);
    }
    CHECK(rig.device.info().resets == 255);
}

TEST_CASE("slots: only bytes that differ are written") {
    Rig rig;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    rig.tick(200);
    rig.eeprom.log.clear();
    Bytes image = plain_image(3);
    rig.push(image);
    const auto in_slots = std::count_if(rig.eeprom.log.begin(), rig.eeprom.log.end(),
                                        [](const Write& write) { return write.at >= k_slots_at; });
    CHECK(in_slots >= 1);
    CHECK(in_slots <= 6);  // two bytes of the version, four of the CRC
    for (const auto& write : rig.eeprom.log)
        CHECK((write.before != write.byte || write.at == 0 || write.at == 3));
}

TEST_CASE("slots: the first write of a push makes the spare's commit byte FF") {
    Rig rig;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    rig.tick(200);
    rig.eeprom.log.clear();
    rig.begin_write(plain_image(3));
    REQUIRE_FALSE(rig.eeprom.log.empty());
    CHECK(rig.eeprom.log[0].at == 0);
    CHECK(rig.eeprom.log[0].byte == k_commit_none);
    CHECK(rig.device.hello().current_slot == 1);
}

TEST_CASE("slots: the commit byte is the last write of a keep but for its mark") {
    Rig rig;
    const TrialReply trial = trial_of(rig.push(plain_image(1)));
    rig.tick(200);
    rig.eeprom.log.clear();
    rig.keep(trial.id, trial.image_crc);
    REQUIRE(rig.eeprom.log.size() >= 4);
    const uint16_t places[] = {2, 1, 0, 2};
    for (size_t i = 0; i < 4; ++i) CHECK(rig.eeprom.log[i].at == places[i]);
    CHECK(rig.eeprom.log[2].byte == 1);
}

TEST_CASE("slots: what a revert leaves in the spare slot does not count") {
    Rig rig;
    rig.install(plain_image(1));
    const TrialReply trial = trial_of(rig.push(plain_image(2)));
    rig.revert(trial.id, trial.image_crc);
    rig.start();
    CHECK(rig.hello().image_crc == crc_of(plain_image(1)));
    // Its own slot is damaged: then the built-in one, never the reverted one.
    rig.eeprom.cells[k_slots_at + 30] ^= 0x10;
    rig.start();
    CHECK(rig.hello().current_slot == k_slot_built_in);
}

TEST_CASE("slots: a damaged kept profile gives way to the older whole one") {
    Rig rig;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    for (uint16_t at = 0; at < plain_image(2).size(); ++at) {
        Rig hurt(false);
        hurt.eeprom.cells = rig.eeprom.cells;
        hurt.eeprom.cells[static_cast<size_t>(k_slots_at + k_slot_bytes + at)] ^= 0x04;
        hurt.start();
        CAPTURE(at);
        REQUIRE(hurt.device.hello().image_crc == crc_of(plain_image(1)));
    }
}

TEST_CASE("slots: a cell that does not take its byte is told as verify, and nothing is lost") {
    Rig rig;
    rig.install(plain_image(1));
    const Bytes image = plain_image(2);
    rig.eeprom.dead.insert(k_slots_at + k_slot_bytes + 100);
    REQUIRE(rig.begin_write(image)[0] == (static_cast<uint8_t>(MessageType::begin_write) | k_reply));
    CHECK(is_error(rig.write_all(image), WireError::verify));
    CHECK(rig.hello().image_crc == crc_of(plain_image(1)));
    rig.start();
    CHECK(rig.hello().image_crc == crc_of(plain_image(1)));
}

TEST_CASE("slots: a commit byte that cannot be written leaves the trial running and the old profile kept") {
    Rig rig;
    rig.install(plain_image(1));
    const TrialReply trial = trial_of(rig.push(plain_image(2)));
    rig.eeprom.dead.insert(3);
    CHECK(is_error(rig.keep(trial.id, trial.image_crc), WireError::verify));
    CHECK(rig.trial().phase == TrialPhase::running);
    rig.start();
    CHECK(rig.hello().image_crc == crc_of(plain_image(1)));
}

TEST_CASE(
    "slots: starts and wear are counted over starts, and no journal cell wears more than a fifth as fast") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    for (uint16_t version = 1; version <= 40; ++version) {
        rig.install(plain_image(version));
        rig.tick(30);
        rig.start(150);
    }
    const InfoReply info = rig.device.info();
    CHECK(info.resets == 41);
    CHECK(info.storage_writes == *std::max_element(rig.eeprom.wear.begin(), rig.eeprom.wear.end()));
    CHECK(info.storage_writes == 40);  // each slot's commit byte: 20 times made FF, 20 times written
    const auto journal = rig.eeprom.wear.begin() + k_journal_at;
    // Three records a round (start, begin, keep) over five places.
    CHECK(*std::max_element(journal, journal + k_journal_records * k_journal_bytes) <= 40 * 3 / 5 + 2);
}
