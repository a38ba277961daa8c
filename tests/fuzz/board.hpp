#pragma once
// A board without hands: a device with its storage and a computer that takes what it is given. No input ever
// changes, so what it holds it holds because of what it was told.

#include <memory>

#include "core/sim/eeprom.hpp"
#include "core/wire/device.hpp"
#include "tests/fuzz/tape.hpp"

namespace fettle::fuzz {

/// What a step of the tape does to the board.
enum class Step : std::uint8_t {
    hid_message,     ///< type, id, counted body: a whole message
    serial_message,  ///< the same over the serial channel
    hid_report,      ///< counted bytes
    serial_bytes,    ///< counted bytes
    dtr,             ///< bit 0: up
    pass,            ///< ticks, 1 to 64
    drain_hid,       ///< the computer reads all that waits there
    drain_serial,
    cable_lost,
    suspended,  ///< ticks, 1 to 64
    power,      ///< it fails and comes back
    image,      ///< word: bytes of an image, sealed, pushed for a trial of 20 s
    keep,       ///< the trial that runs, by override
    revert,
};
constexpr std::uint8_t k_steps = 14;

class Board {
public:
    /// Powered and ready; true: plain_image(1) (tests/wire/support/images.hpp) is kept in it.
    explicit Board(bool has_profile);
    Board(const Board&) = delete;

    void send(wire::Channel channel, const Bytes& message);
    void push(Bytes image);
    void end_trial(bool keeps);
    void start();
    void tick(int ticks, std::uint8_t commands = 0);
    void drain(wire::Channel channel);
    /// After a release: the engine and the last reports.
    bool ends_released();
    bool is_all_up() const;

    wire::Device& device() { return *device_; }
    std::uint32_t now_us() const { return now_us_; }
    const std::array<std::uint8_t, wire::k_eeprom_bytes>& storage() const { return eeprom_.bytes(); }

private:
    sim::EepromModel eeprom_;
    std::unique_ptr<wire::Device> device_;
    engine::Report last_[2] = {};
    std::uint32_t now_us_ = 0;
    std::uint16_t boot_id_ = 0;
    std::uint8_t taken_ = 0, id_ = 0;
};

}  // namespace fettle::fuzz
