// SIRC. Source: Linux 6.1, drivers/media/rc/ir-sony-decoder.c (unit 600 us: leader 4u/1u, bit = mark 1u or 2u
// and space 1u, 12, 15 or 20 bits, least significant first: command 7, address 5, 8 or 5, extended 8).
//
// start        space       mark
// 2030..2770   300..900    300..899 bit 0, 900..1500 bit 1, 21st drops
// anything else drops out.
//
// anything whose width is one unit (spaces, and marks of bits that are 0) drops out when the widest and the
// narrowest of them differ by more than 400 us: all are 600 us, give or take 200 when both edges are 100 us
// off. RC-6, whose leader and widths overlap with these, has widths of one and of two units (444 us apart)
// there.
//
// end: the number of bits at the silence says which of the three it is. Reported 5 ms after the last mark.
// Held: the whole frame comes again every 45 ms.
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
    narrowest_us_ = 0xFFFF;
    widest_us_ = 0;
    return ir_within(us, 2030, 2770);
}

bool SircDecoder::is_one_unit(uint16_t us) {
    if (us < narrowest_us_) narrowest_us_ = us;
    if (us > widest_us_) widest_us_ = us;
    return us >= 300 && widest_us_ - narrowest_us_ <= k_sirc_spread_us;
}

bool SircDecoder::space(uint16_t us) {
    return us <= 900 && is_one_unit(us);
}

bool SircDecoder::mark(uint16_t us) {
    const bool is_one = us >= 900;
    bits_ >>= 1;
    if (is_one) bits_ |= 0x80000u;
    ++count_;
    return count_ <= k_sirc_most_bits && (is_one ? us <= 1500 : is_one_unit(us));
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
