// Sharp. Source: Linux 6.1, drivers/media/rc/ir-sharp-decoder.c (mark 320 us, mark and space together 1000 or
// 2000 us, 15 bits: address 5, command 8, each least significant first, expansion 1, check 0; closing mark;
// 40 ms later, +-10 ms, the echo: command, expansion and check inverted).
//
// start, mark 90..550; space 420..1315 bit 0, ..2360 bit 1; the 16th bit and any other width drop out. (The
// window of the spaces also takes a sender that counts 1000 and 2000 us without the mark, as some do.)
//
// train with 15 bits         none or message pending     echo due (gap was 30..50 ms)
// expansion 1, check 0       message pending             message pending
// expansion 0, check 1       nothing pending             all ten bits inverted -> sharp; otherwise nothing
// expansion = check          lookalike, nothing pending  lookalike, nothing pending
//
// A lost message or a lost echo costs that pair: nothing is reported, and the next message starts anew, at
// the earliest one period later. A lookalike (same shape, other check bits) is reported as unknown at once;
// its signature is made so that a train and its inverted echo have the same. Latency: 5 ms after the echo.
#include "core/engine/infrared_decoders.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_sharp_bits = 15;
constexpr uint16_t k_sharp_echo_mask = 0x7FE0;
}  // namespace

bool SharpDecoder::start(uint16_t us) {
    bits_ = 0;
    count_ = 0;
    return mark(us);
}

bool SharpDecoder::mark(uint16_t us) {
    return ir_within(us, 90, 550);
}

bool SharpDecoder::space(uint16_t us) {
    bits_ = static_cast<uint16_t>(bits_ >> 1 | (us > 1315 ? 0x4000 : 0));
    ++count_;
    return count_ <= k_sharp_bits && ir_within(us, 420, 2360);
}

void SharpDecoder::gap(uint16_t us) {
    const bool fits = pending_ == Pending::message && ir_within(us, 30000, 50000);
    pending_ = fits ? Pending::echo_due : Pending::none;
}

SharpDecoder::Verdict SharpDecoder::end(IrFrame& out) {
    if (count_ != k_sharp_bits) return Verdict::no;
    const bool was_due = pending_ == Pending::echo_due;
    pending_ = Pending::none;
    const bool expansion = (bits_ & 0x2000) != 0;
    const bool check = (bits_ & 0x4000) != 0;
    if (expansion == check) {
        const uint16_t folded = check ? bits_ ^ k_sharp_echo_mask : bits_;
        set_ir_frame(out, Protocol::unknown, 0, 0);
        out.signature = ir_fnv1a(k_ir_fnv_offset, folded);
        return Verdict::lookalike;
    }
    if (expansion) {
        message_ = bits_;
        pending_ = Pending::message;
        return Verdict::waiting;
    }
    if (!was_due || (message_ ^ bits_) != k_sharp_echo_mask) return Verdict::waiting;
    set_ir_frame(out, Protocol::sharp, message_ & 0x1F, static_cast<uint16_t>(message_ >> 5) & 0xFF);
    return Verdict::frame;
}

}  // namespace engine
}  // namespace fettle
