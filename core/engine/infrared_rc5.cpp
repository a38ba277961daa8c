// RC-5. Source: Linux 6.1, drivers/media/rc/ir-rc5-decoder.c (half bit 889 us, margin half of it; 14 bits,
// most significant first: start, field, toggle, address 5, command 6; 1 = space then mark).
//
// A run is 620..1333 us (one half bit) or 1334..2222 us (two). The kernel begins at 445; 889 us less 7 % and
// twice 100 us is 627, and a frame of 563 or 600 us units whose beginning was missed shall not look like
// RC-5. The first mark is the second half of the start bit, perhaps joined with the first half of the field
// bit.
//
// next half    run of one                              run of two
// second       bit = level; next half is first         bit = level; next half is second
// first        next half is second                     drops: no edge in the middle of that bit
// 15th bit, any other width: drops out.
//
// end: if the silence stands in for a second half, that bit is 0. 14 bits, the first of them 1 -> rc5;
// command bit 6 is the inverted field bit. Reported 5 ms after the last mark. A first mark over 2 ms is not
// RC-5 (2010, not 2000: 1778 us and 7 % and 100 us are 2002).
#include "core/engine/infrared_decoders.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_rc5_bits = 14;
}

bool Rc5Decoder::start(uint16_t us) {
    bits_ = 0;
    count_ = 0;
    in_second_half_ = true;
    return us <= 2010 && run(us, true);
}

bool Rc5Decoder::push(bool bit) {
    bits_ = static_cast<uint16_t>(bits_ << 1 | (bit ? 1 : 0));
    ++count_;
    return count_ <= k_rc5_bits;
}

bool Rc5Decoder::run(uint16_t us, bool is_mark) {
    if (!ir_within(us, 620, 2222)) return false;
    const bool is_double = us >= 1334;
    if (in_second_half_) {
        in_second_half_ = is_double;
        return push(is_mark);
    }
    in_second_half_ = true;
    return !is_double;
}

bool Rc5Decoder::end(IrFrame& out) const {
    const uint8_t count = static_cast<uint8_t>(count_ + (in_second_half_ ? 1 : 0));
    if (count != k_rc5_bits) return false;
    const uint16_t bits = in_second_half_ ? static_cast<uint16_t>(bits_ << 1) : bits_;
    const uint16_t field_inverted = (bits & 0x1000) != 0 ? 0 : 0x40;
    set_ir_frame(out, Protocol::rc5, static_cast<uint16_t>(bits >> 6) & 0x1F,
                 static_cast<uint16_t>((bits & 0x3F) | field_inverted));
    out.toggle = (bits & 0x0800) != 0 ? 1 : 0;
    return true;
}

}  // namespace engine
}  // namespace fettle
