// JVC. Source: Linux 6.1, drivers/media/rc/ir-jvc-decoder.c (unit 525 us: leader 16u/8u, bit 1u/1u or 1u/3u,
// 16 bits, least significant first, closing mark 1u; while held the frame comes again without leader).
//
// stage    start            space                                        mark
// leader   7600..9200       3700..4700 -> headed                         (comes by start)
// headed                    260..1049 bit 0, ..1890 bit 1, 17th drops    260..790
// bare     260..790         the same                                     the same
// anything else drops out.
//
// end: 16 bits; headed -> jvc, and the code is remembered; bare -> jvc repeat if the code is the remembered
// one. bare is not even tried before a headed frame, nor after another protocol's frame. The memory has no
// time limit: how long a press survives lost repeats is the caller's affair. Reported 5 ms after the closing
// mark. The kernel's key tables and its encoder agree that the byte sent first is the address.
#include "core/engine/infrared_decoders.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_jvc_bits = 16;
}

bool JvcDecoder::start(uint16_t us) {
    bits_ = 0;
    count_ = 0;
    if (ir_within(us, 7600, 9200)) {
        stage_ = Stage::leader;
        return true;
    }
    stage_ = Stage::bare;
    return has_last_ && mark(us);
}

bool JvcDecoder::space(uint16_t us) {
    switch (stage_) {
        case Stage::leader: stage_ = Stage::headed; return ir_within(us, 3700, 4700);
        case Stage::headed:
        case Stage::bare:
            bits_ = static_cast<uint16_t>(bits_ >> 1);
            if (us >= 1050) bits_ = static_cast<uint16_t>(bits_ | 0x8000u);
            ++count_;
            return count_ <= k_jvc_bits && ir_within(us, 260, 1890);
    }
    return false;
}

bool JvcDecoder::mark(uint16_t us) {
    return ir_within(us, 260, 790);
}

bool JvcDecoder::end(IrFrame& out) {
    if (count_ != k_jvc_bits) return false;
    if (stage_ == Stage::bare && bits_ != last_) return false;
    last_ = bits_;
    has_last_ = true;
    set_ir_frame(out, Protocol::jvc, bits_ & 0xFF, static_cast<uint16_t>(bits_ >> 8));
    out.repeat = stage_ == Stage::bare;
    return true;
}

}  // namespace engine
}  // namespace fettle
