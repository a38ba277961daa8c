// NEC family. Source: Linux 6.1, drivers/media/rc/ir-nec-decoder.c (unit 562.5 us: leader 16u/8u, extended
// leader 8u/8u, repeat 16u/4u, bit 1u/1u or 1u/3u, 32 bits, least significant first, closing mark 1u).
//
// stage         space                        -> stage        mark
// long_leader   3900..5100                   -> long_data    (comes by start)
//               1890..2610                   -> repeat
// short_leader  3900..5100                   -> short_data   (comes by start)
// *_data        280..1099 bit 0, ..2010 bit 1, 33rd drops    280..845
// repeat        drops                                        280..845
// anything else drops out.
//
// end: *_data with 32 bits, byte 4 the complement of byte 3:
//   byte 2 the complement of byte 1  -> nec
//   short leader, byte 2 = byte 1    -> samsung32 (same frame with unit 560 us; common practice)
//   otherwise                        -> necx
// repeat -> nec repeat frame. Reported 5 ms after the closing mark.
#include "core/engine/infrared_decoders.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_nec_bits = 32;
}

bool NecDecoder::start(uint16_t us) {
    bits_ = 0;
    count_ = 0;
    if (ir_within(us, 7800, 10200)) {
        stage_ = Stage::long_leader;
        return true;
    }
    stage_ = Stage::short_leader;
    return ir_within(us, 3900, 5100);
}

bool NecDecoder::space(uint16_t us) {
    switch (stage_) {
        case Stage::long_leader:
            if (ir_within(us, 1890, 2610)) {
                stage_ = Stage::repeat;
                return true;
            }
            stage_ = Stage::long_data;
            return ir_within(us, 3900, 5100);
        case Stage::short_leader: stage_ = Stage::short_data; return ir_within(us, 3900, 5100);
        case Stage::long_data:
        case Stage::short_data:
            bits_ >>= 1;
            if (us >= 1100) bits_ |= 0x80000000u;
            ++count_;
            return count_ <= k_nec_bits && ir_within(us, 280, 2010);
        case Stage::repeat: return false;
    }
    return false;
}

bool NecDecoder::mark(uint16_t us) {
    return ir_within(us, 280, 845);
}

bool NecDecoder::end(IrFrame& out) const {
    if (stage_ == Stage::repeat) {
        set_ir_frame(out, Protocol::nec, 0, 0);
        out.repeat = true;
        return true;
    }
    if (count_ != k_nec_bits) return false;
    const uint8_t first = static_cast<uint8_t>(bits_);
    const uint8_t second = static_cast<uint8_t>(bits_ >> 8);
    const uint8_t command = static_cast<uint8_t>(bits_ >> 16);
    const uint8_t inverted = static_cast<uint8_t>(bits_ >> 24);
    if ((command ^ inverted) != 0xFF) return false;
    if ((first ^ second) == 0xFF) {
        set_ir_frame(out, Protocol::nec, first, command);
    } else if (stage_ == Stage::short_data && first == second) {
        set_ir_frame(out, Protocol::samsung32, first, command);
    } else {
        set_ir_frame(out, Protocol::necx, static_cast<uint16_t>(first << 8 | second), command);
    }
    return true;
}

}  // namespace engine
}  // namespace fettle
