// A stable number for a train that no decoder accepts, so that any remote can be taught.
//
// Each width is compared with the one before it of the same kind: shorter, alike, longer; the sequence of
// answers goes through FNV-1a. Alike means within 206 us: two equal widths measured 100 us off in opposite
// directions differ by 200, and 444 us (the smallest step of the protocols here, RC-6's) less 7 % and twice
// 100 us is 213. So the number is stable under 7 % of clock and 100 us a width where the widths of one kind
// are equal or at least 440 us apart.
// Trains of a finer step are told by their leader (mark 340..490, space 210..345: RC-MM, Linux 6.1,
// ir-rcmm-decoder.c: spaces 278, 444, 611, 778 us): marks carry nothing, and a space has one of four classes.
// Half a step is 83 us there, so that nothing can make them safe against 100 us: stable under 7 % and 30 us,
// or 65 us when the clock is right.
//
// Trains of fewer than 6 marks (noise) and of more than 254 widths give nothing. A toggle bit inside such a
// train gives the button two numbers. Reported 5 ms after the last mark.
#include "core/engine/infrared_decoders.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint16_t k_alike_us = 206;
constexpr uint8_t k_least_widths = 11;
constexpr uint8_t k_too_many_widths = 255;

uint8_t compared(uint16_t us, uint16_t before_us) {
    if (us > before_us) return us - before_us > k_alike_us ? 2 : 1;
    return before_us - us > k_alike_us ? 0 : 1;
}

uint8_t short_unit_class(uint16_t us) {
    if (us < 521) return us < 355 ? 0 : 1;
    return us < 689 ? 2 : 3;
}
}  // namespace

void SignatureDecoder::start(uint16_t us) {
    hash_ = k_ir_fnv_offset;
    last_mark_us_ = us;
    widths_ = 1;
    is_short_unit_ = false;
}

void SignatureDecoder::width(bool is_mark, uint16_t us) {
    if (widths_ == k_too_many_widths) return;
    ++widths_;
    if (widths_ == 2) {
        is_short_unit_ = ir_within(last_mark_us_, 340, 490) && ir_within(us, 210, 345);
        last_space_us_ = us;
    } else if (is_short_unit_) {
        if (!is_mark) hash_ = ir_fnv1a(hash_, static_cast<uint8_t>(0x10 | short_unit_class(us)));
    } else {
        uint16_t& last_us = is_mark ? last_mark_us_ : last_space_us_;
        hash_ = ir_fnv1a(hash_, compared(us, last_us));
        last_us = us;
    }
}

bool SignatureDecoder::end(IrFrame& out) const {
    if (widths_ < k_least_widths || widths_ == k_too_many_widths) return false;
    set_ir_frame(out, Protocol::unknown, 0, 0);
    out.signature = hash_ != 0 ? hash_ : 1;
    return true;
}

}  // namespace engine
}  // namespace fettle
