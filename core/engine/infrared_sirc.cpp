// SIRC. Source: Linux 6.1, drivers/media/rc/ir-sony-decoder.c (unit 600 us: leader 4u/1u, bit = mark 1u or 2u
// and space 1u, 12, 15 or 20 bits, least significant first: command 7, address 5, 8 or 5, extended 8).
//
// start        space       mark
// 2030..2770   300..900    300..899 bit 0, 900..1500 bit 1, 21st drops
// anything else drops out.
//
// end: the number of bits at the silence says which of the three it is; all spaces are one unit and may
// differ from one another by 400 us at most (all edges 100 us off), which keeps the two space widths of RC-6
// out. Reported 5 ms after the last mark. Held: the whole frame comes again every 45 ms.
#include "core/engine/infrared_decoders.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint16_t k_sirc_spread_us = 400;
constexpr uint8_t k_sirc_most_bits = 20;
}  // namespace

bool SircDecoder::start(uint16_t us) {
    bits_ = 0;
    count_ = 0;
    shortest_space_us_ = 0xFFFF;
    longest_space_us_ = 0;
    return ir_within(us, 2030, 2770);
}

bool SircDecoder::space(uint16_t us) {
    if (us < shortest_space_us_) shortest_space_us_ = us;
    if (us > longest_space_us_) longest_space_us_ = us;
    return ir_within(us, 300, 900) && longest_space_us_ - shortest_space_us_ <= k_sirc_spread_us;
}

bool SircDecoder::mark(uint16_t us) {
    bits_ >>= 1;
    if (us >= 900) bits_ |= 0x80000u;
    ++count_;
    return count_ <= k_sirc_most_bits && ir_within(us, 300, 1500);
}

bool SircDecoder::end(IrFrame& out) const {
    if (count_ != 12 && count_ != 15 && count_ != 20) return false;
    const uint32_t bits = bits_ >> (k_sirc_most_bits - count_);
    const uint16_t command = static_cast<uint16_t>(bits & 0x7F);
    const uint16_t rest = static_cast<uint16_t>(bits >> 7);
    if (count_ == 12) {
        set_ir_frame(out, Protocol::sirc12, rest, command);
    } else if (count_ == 15) {
        set_ir_frame(out, Protocol::sirc15, rest, command);
    } else {
        set_ir_frame(out, Protocol::sirc20, rest & 0x1F, command);
        out.extended = static_cast<uint8_t>(rest >> 5);
    }
    return true;
}

}  // namespace engine
}  // namespace fettle
