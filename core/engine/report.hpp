#pragma once
// HID reports as bytes. Layouts (report descriptors: core/wire/descriptors.hpp):
// keyboard, 8 bytes, boot layout in both protocols: modifiers, 0, six usages (ErrorRollOver 01 in all six
// when more are held). pointer endpoint, report protocol: id 1: 01, buttons, x i16, y i16, wheel i8, pan i8
// (8 bytes)
//                                    id 2: 02, consumer usage u16 (3 bytes)
//                   boot protocol:   buttons, x i8, y i8 (3 bytes); consumer, wheel and pan are dropped.

#include "core/engine/event.hpp"

namespace fettle {
namespace engine {

constexpr uint8_t k_keyboard_report_bytes = 8;
constexpr uint8_t k_pointer_report_bytes = 8;
constexpr uint8_t k_consumer_report_bytes = 3;
constexpr uint8_t k_boot_mouse_report_bytes = 3;
constexpr uint8_t k_pointer_report_id = 1;
constexpr uint8_t k_consumer_report_id = 2;  // 3 stays reserved for an absolute pointer
constexpr uint8_t k_error_roll_over = 0x01;

/// size 0: nothing to send.
struct Report {
    uint8_t size;
    uint8_t bytes[8];
};

/// LEDs of page 08 as the host sends them.
constexpr uint8_t k_led_num = 1;
constexpr uint8_t k_led_caps = 2;
constexpr uint8_t k_led_scroll = 4;

/// A raw change of level. line 0: infrared receiver (level 1 = mark); 1 to 8: switches (level 1 =
/// electrically high).
struct Edge {
    uint32_t at_us;
    uint8_t line;
    uint8_t level;
};

constexpr uint8_t k_taken_keyboard = 1;  ///< TickInputs::taken
constexpr uint8_t k_taken_pointer = 2;

constexpr uint8_t k_command_release_all = 1;  ///< TickInputs::commands, each for one tick
constexpr uint8_t k_command_cable_lost = 2;   ///< bus reset or unplug: all is let go, nothing is in flight
constexpr uint8_t k_command_suspended = 4;    ///< as long as the host sleeps: motion is dropped, holds end

/// What one tick takes in. Everything that a replay needs is here.
struct TickInputs {
    uint32_t now_us;    ///< device time at this tick; ticks are 1000 us apart
    const Edge* edges;  ///< in order of time, up to k_max_edges; each at or before now_us
    uint8_t edge_count;
    int16_t
        axes[4];  ///< permille of full deflection, -1000 to 1000: stick x, stick y, pressure (sip < 0), spare
    uint8_t leds;
    uint8_t taken;  ///< k_taken_*: the report handed over last was read by the host since the last tick
    uint8_t commands;
    uint8_t boot_protocol;  ///< bit per Endpoint
};

/// Wishes of device actions that the storage side (wire) carries out.
constexpr uint8_t k_wish_keep = 1;
constexpr uint8_t k_wish_revert = 2;
constexpr uint8_t k_wish_extend = 4;
constexpr uint8_t k_wish_variant = 8;

/// What one tick gives. A report with a size is handed to its endpoint now; the engine gives no other one for
/// that endpoint until `taken` says that the host read it.
struct TickOutputs {
    Report reports[2];  ///< by Endpoint
    uint8_t wishes;
    uint8_t variant;  ///< with k_wish_variant
};

}  // namespace engine
}  // namespace fettle
