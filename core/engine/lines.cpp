#include "core/engine/lines.hpp"

#include "core/engine/bits.hpp"

namespace fettle {
namespace engine {

namespace {

constexpr uint8_t k_every_line = 0;

uint8_t line_bit(uint8_t line) {
    return static_cast<uint8_t>(1u << (line - 1u));
}

/// Deflection in 1/255 of full, 0 where the axis is on the other side.
uint16_t deflection(int16_t permille, bool is_negative_side) {
    const int32_t signed_permille = is_negative_side ? -static_cast<int32_t>(permille) : permille;
    if (signed_permille <= 0) return 0;
    return static_cast<uint16_t>(static_cast<uint32_t>(signed_permille) * 255u / 1000u);
}

}  // namespace

void Lines::reset() {
    axis_inputs_ = 0;
    memset(axes_, 0, sizeof axes_);
    high_ = 0;
    known_ = 0;
}

bool Lines::is_closed(uint8_t wired) const {
    const uint8_t line = wired & 0x7Fu;
    if (line == 0 || line > k_switch_lines) return false;
    const uint8_t bit = line_bit(line);
    if ((known_ & bit) == 0) return false;
    return ((high_ & bit) != 0) != ((wired & k_line_closed_is_low) != 0);
}

void Lines::load(const Setup& setup, uint32_t& down) {
    axis_inputs_ = 0;
    for (uint8_t i = 0; i < setup.input_count; ++i)
        set_bit(axis_inputs_, i, setup.input(i).source == Source::axis);
    refresh_switches(setup, k_every_line, down);
    refresh_axes(setup, down);
}

FETTLE_SHARED void Lines::refresh_switches(const Setup& setup, uint8_t line, uint32_t& down) const {
    for (uint8_t i = 0; i < setup.input_count; ++i) {
        const InputDef input = setup.input(i);
        if (input.source != Source::switch_line) continue;
        const uint8_t wired = static_cast<uint8_t>(input.code & 0xFFu);
        if (line != k_every_line && (wired & 0x7Fu) != line) continue;
        set_bit(down, i, is_closed(wired));
    }
}

void Lines::edge(const Setup* setup, const Edge& edge, uint32_t& down) {
    if (edge.line == 0 || edge.line > k_switch_lines) return;
    const uint8_t bit = line_bit(edge.line);
    high_ = static_cast<uint8_t>(edge.level != 0 ? high_ | bit : high_ & ~bit);
    known_ = static_cast<uint8_t>(known_ | bit);
    if (setup != nullptr) refresh_switches(*setup, edge.line, down);
}

void Lines::axes(const Setup& setup, const int16_t* permille, uint32_t& down) {
    if (memcmp(axes_, permille, sizeof axes_) == 0) return;
    memcpy(axes_, permille, sizeof axes_);
    refresh_axes(setup, down);
}

void Lines::refresh_axes(const Setup& setup, uint32_t& down) const {
    for (uint32_t left = axis_inputs_; left != 0;) {
        const uint8_t i = take_lowest(left);
        uint8_t code[4];
        put32(code, setup.input(i).code);
        const uint8_t axis = code[0] & 0x7Fu;
        if (axis >= k_axes) continue;
        const uint16_t now = deflection(axes_[axis], (code[0] & k_axis_negative_side) != 0);
        const bool is_up = now <= code[2];
        if (is_up || now >= code[1]) set_bit(down, i, !is_up);
    }
}

}  // namespace engine
}  // namespace fettle
