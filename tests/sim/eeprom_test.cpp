#include "core/sim/eeprom.hpp"

#include <doctest/doctest.h>

using namespace fettle;
using sim::EepromModel;
using sim::Torn;

namespace {

struct Door {
    EepromModel model;
    wire::Eeprom door = model.door();
    bool write(std::uint16_t at, std::uint8_t byte) { return door.write(door.owner, at, byte); }
    int read(std::uint16_t at) {
        std::uint8_t byte = 0;
        return door.read(door.owner, at, &byte, 1) ? byte : -1;
    }
    bool is_busy() { return door.is_busy(door.owner); }
};

}  // namespace

TEST_CASE("eeprom: erased at first, all 1024 bytes 255") {
    EepromModel model;
    for (const auto byte : model.bytes()) CHECK(byte == 0xFF);
    CHECK(model.writes() == 0);
}

// Source: ATmega32U4 data sheet, EEPROM programming time 3.4 ms; from memory.
TEST_CASE("eeprom: a write takes 3,400 us, in which nothing can be read or written") {
    Door d;
    REQUIRE(d.write(5, 0x12));
    d.model.advance_us(3399);
    CHECK(d.is_busy());
    CHECK(d.read(5) == -1);
    CHECK(d.read(6) == -1);
    CHECK_FALSE(d.write(6, 1));
    d.model.advance_us(1);
    CHECK_FALSE(d.is_busy());
    CHECK(d.read(5) == 0x12);
}

TEST_CASE("eeprom: asked once a millisecond a write is over in the 4th") {
    Door d;
    REQUIRE(d.write(0, 1));
    for (int ms = 1; ms <= 3; ++ms) {
        d.model.advance_us(1000);
        CHECK(d.is_busy());
    }
    d.model.advance_us(1000);
    CHECK_FALSE(d.is_busy());
}

TEST_CASE("eeprom: power that fails at any of the 3,400 us of a write leaves what `torn` says") {
    const struct {
        Torn torn;
        int byte;
    } table[] = {{Torn::old_value, 0x5A}, {Torn::new_value, 0x77}, {Torn::erased, 0xFF}};
    for (const auto& row : table) {
        for (std::uint32_t us = 0; us < 3400; us += 17) {
            CAPTURE(us);
            Door d;
            REQUIRE(d.write(9, 0x5A));
            d.model.advance_us(3400);
            REQUIRE(d.write(9, 0x77));
            d.model.advance_us(us);
            d.model.cut_power(row.torn);
            CHECK_FALSE(d.is_busy());
            CHECK(d.read(9) == row.byte);
        }
    }
}

TEST_CASE("eeprom: garbage is neither the old byte, the new one nor erased, for all 65,536 pairs") {
    for (int before = 0; before < 256; ++before)
        for (int after = 0; after < 256; ++after) {
            Door d;
            auto bytes = d.model.bytes();
            bytes[3] = static_cast<std::uint8_t>(before);
            d.model.set_bytes(bytes);
            d.write(3, static_cast<std::uint8_t>(after));
            d.model.cut_power(Torn::garbage);
            const int got = d.read(3);
            if (got == before || got == after || got == 0xFF) FAIL("before ", before, " after ", after);
        }
}

TEST_CASE("eeprom: an unsettled byte reads as old and as new until it is written again") {
    Door d;
    REQUIRE(d.write(7, 0x11));
    d.model.cut_power(Torn::unsettled);
    CHECK(d.read(7) + d.read(7) == 0xFF + 0x11);
    CHECK(d.read(8) == 0xFF);
    REQUIRE(d.write(7, 0x22));
    d.model.advance_us(4000);
    CHECK(d.read(7) == 0x22);
    CHECK(d.read(7) == 0x22);
}

TEST_CASE("eeprom: power that fails while nothing is written changes nothing") {
    Door d;
    REQUIRE(d.write(1, 1));
    d.model.advance_us(3400);
    d.model.cut_power(Torn::garbage);
    CHECK(d.read(1) == 1);
}

TEST_CASE("eeprom: each cell's wear is counted, the log holds every write in order") {
    Door d;
    d.model.keep_log(true);
    for (int i = 0; i < 3; ++i) {
        REQUIRE(d.write(4, static_cast<std::uint8_t>(i)));
        d.model.advance_us(3400);
    }
    CHECK(d.model.wear(4) == 3);
    CHECK(d.model.wear(5) == 0);
    CHECK(d.model.writes() == 3);
    CHECK(d.model.log() == std::vector<EepromModel::Write>{{4, 0}, {4, 1}, {4, 2}});
}

TEST_CASE("eeprom: beyond byte 1,023 nothing is read or written") {
    Door d;
    CHECK_FALSE(d.write(1024, 1));
    std::uint8_t two[2];
    CHECK_FALSE(d.door.read(d.door.owner, 1023, two, 2));
    CHECK(d.door.read(d.door.owner, 1022, two, 2));
}
