#include "core/engine/lines.hpp"

#include "core/engine/bits.hpp"

namespace fettle {
namespace engine {

namespace {

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

bool Lines::is_closed(uint32_t code) const {
    const uint8_t line = static_cast<uint8_t>(code & 0x7Fu);
    if (line == 0 || line > k_switch_lines) return false;
    const uint8_t bit = static_cast<uint8_t>(1u << (line - 1u));
    if ((known_ & bit) == 0) return false;
    return ((high_ & bit) != 0) != ((code & k_line_closed_is_low) != 0);
}

void Lines::load(const Setup& setup, uint32_t& down) {
    axis_inputs_ = 0;
    for (uint8_t i = 0; i < setup.input_count; ++i) {
        const InputDef input = setup.input(i);
        if (input.source == Source::switch_line) {
            set_bit(down, i, is_closed(input.code));
        } else if (input.source == Source::axis) {
            axis_inputs_ |= input_bit(i);
        }
    }
    refresh_axes(setup, down);
}

void Lines::edge(const Setup* setup, const Edge& edge, uint32_t& down) {
    if (edge.line == 0 || edge.line > k_switch_lines) return;
    const uint8_t bit = static_cast<uint8_t>(1u << (edge.line - 1u));
    high_ = static_cast<uint8_t>(edge.level != 0 ? high_ | bit : high_ & ~bit);
    known_ = static_cast<uint8_t>(known_ | bit);
    if (setup == nullptr) return;
    for (uint8_t i = 0; i < setup->input_count; ++i) {
        const InputDef input = setup->input(i);
        if (input.source == Source::switch_line && (input.code & 0x7Fu) == edge.line)
            set_bit(down, i, is_closed(input.code));
    }
}

void Lines::axes(const Setup& setup, const int16_t* permille, uint32_t& down) {
    if (memcmp(axes_, permille, sizeof axes_) == 0) return;
    memcpy(axes_, permille, sizeof axes_);
    refresh_axes(setup, down);
}

void Lines::refresh_axes(const Setup& setup, uint32_t& down) const {
    for (uint32_t left = axis_inputs_; left != 0;) {
        const uint8_t i = take_lowest(left);
        const uint32_t code = setup.input(i).code;
        const uint8_t axis = static_cast<uint8_t>(code & 0x7Fu);
        if (axis >= k_axes) continue;
        const uint16_t now = deflection(axes_[axis], (code & k_axis_negative_side) != 0);
        const uint8_t down_at = static_cast<uint8_t>((code >> 8) & 0xFFu);
        const uint8_t up_at = static_cast<uint8_t>((code >> 16) & 0xFFu);
        if (now >= down_at) set_bit(down, i, true);
        if (now <= up_at) set_bit(down, i, false);
    }
}

}  // namespace engine
}  // namespace fettle
