#pragma once
// From the shape of a motion to the table that the device interpolates, and back where it is exact.
// Thread: pure functions. Errors: none; what cannot be compiled gives an empty table (see each).

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "core/profile/model.hpp"

namespace fettle::profile {

using SpeedTable = std::array<uint32_t, engine::k_curve_points>;

/// speed(k) = start + (top - start) * (k / 8) ^ (exponent / 1000), k = 0 ... 8, to the nearest Q16 count a
/// ms; the point k lies at k eighths of the ramp (core/engine/motion.hpp). A power law as MouseKeys
/// acceleration has (X Keyboard Extension; its curve c is the exponent 1000 + c here), over time instead of
/// events. Speeds above the format's 255.99 counts a ms and below 0 are held at the end of the range.
[[nodiscard]] SpeedTable compile_travel(const SpeedShape& shape);
[[nodiscard]] SpeedTable compile_travel(const Travel& travel);

/// The shape that compiles to exactly this table: start 0 and top 1 to 250000 counts a second, exponent 100
/// to 5000, the roundest of those that fit (1000, then multiples of 1000, 500, 100, 50, 10, 1). Nothing if
/// there is none.
[[nodiscard]] std::optional<SpeedShape> fit_travel(const SpeedTable& points);

/// Moves of the events 0, 1 ... time_to_max (X Keyboard Extension, MouseKeysAccel):
///   event 0: delta;  event i: delta * max_speed * (i / time_to_max) ^ (1 + curve / 1000), rounded up, as the
///   X server rounds (away from zero; directions carry the sign).
/// The server's doubles can end one ulp above a whole number and then round up by one too many; here what
/// lies within 1e-9 of a whole number is that number, so no move exceeds delta * max_speed. Empty when
/// time_to_max is not 1 to 60, a factor is below 1, the curve not -1000 to 1000, or delta * max_speed over
/// 65535.
[[nodiscard]] std::vector<uint16_t> compile_mouse_keys(const MouseKeysShape& shape);

/// The shape that compiles to exactly these moves: delta and max_speed 1 to 1000, the roundest curve of those
/// that fit (500 first). Nothing if there is none.
[[nodiscard]] std::optional<MouseKeysShape> fit_mouse_keys(std::span<const uint16_t> moves);

/// Q16 counts a ms to counts a second and back; a table's value comes back exactly.
[[nodiscard]] double counts_per_s(uint32_t q16_counts_per_ms);
[[nodiscard]] uint32_t q16_counts_per_ms(double counts_per_s);

/// The device's record of a motion, length byte included (core/engine/setup.hpp). Empty when its moves cannot
/// be compiled.
[[nodiscard]] std::vector<uint8_t> motion_record(const Travel& travel);
[[nodiscard]] std::vector<uint8_t> motion_record(const MouseKeys& mouse_keys);

}  // namespace fettle::profile
