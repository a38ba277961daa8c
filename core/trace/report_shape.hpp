#pragma once
// What a recorded report is and how it moves, read from its bytes (core/engine/report.hpp).

#include <cstdint>

#include "core/engine/event.hpp"

namespace fettle::trace {

struct Movement {
    std::int16_t x = 0, y = 0;
    std::int8_t wheel = 0, pan = 0;
    bool is_any() const { return x != 0 || y != 0 || wheel != 0 || pan != 0; }
};

enum class ReportShape : std::uint8_t { none, keyboard, mouse, boot_mouse, consumer };

/// From endpoint, size and id. A boot mouse report whose buttons are those of the consumer id (the secondary
/// alone) cannot be told from one: it counts as that, and moves nothing.
ReportShape report_shape(const engine::Event& event);
Movement movement(const engine::Event& event);

}  // namespace fettle::trace
