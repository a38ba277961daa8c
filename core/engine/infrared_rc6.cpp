// RC-6. Source: Linux 6.1, drivers/media/rc/ir-rc6-decoder.c (unit 444 us: leader 6u/2u, start bit 1, mode 3
// bits, toggle of double width, in mode 0 address 8 and command 8; most significant first; 1 = mark then
// space; margin half a unit, leader mark one unit).
//
// start 2223..3111, leader space 620..1160. Then a run is 1 unit (222..666), 2 (..1110) or 3 (..1640).
// Every bit has an edge in its middle; between two middles lie 2 units, and 3 before and after the middle of
// the toggle bit, with the boundary of the bits where the table says:
//
// units to the middle   run of 1              run of 2            run of 3
// 1                     bit = level           drops               drops
// 2 (plain)             1 to go               bit = level         drops
// 3 (into the toggle)   2 to go               drops               bit = level
// 2 (in the toggle)     drops                 bit = level         drops
// 3 (out of the toggle) drops                 1 to go             bit = level
//
// One run taken for another shifts the phase of all data behind it, and where that data has no change it
// reads as another code. With each width within 100 us (and 7 %) the limits above are certain; with each edge
// 100 us off, so a width 200, runs of 620..680 and of 1035..1155 us may be of either length. There the leader
// must agree with the answer: the limits below are what a true run has at worst within 100 us a width, and no
// false run reaches them within 100 us an edge. A run that does not fit drops out. (The kernel's margin of
// 222 us goes on where this one says no: it would give another code.)
//   620..680    run of 1: leader >= 6 x run - 710      run of 2: leader <= 3 x run + 410
//   1035..1155  run of 2: leader >= 3 x run - 410      run of 3: leader <= 2 x run + 310
//
// end: 21 bits with mode 0 -> rc6. Any other mode or length with this structure to its end -> unknown, with a
// hash of mode and data, toggle left out; the second toggle that mode 6A with a 16-bit customer code (its
// highest bit is 1) carries as bit 15 is left out too. Reported 5 ms after the last mark.
#include "core/engine/infrared_decoders.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_rc6_head_bits = 5;   // start, mode, toggle
constexpr uint8_t k_rc6_toggle_bit = 4;  // bits before the toggle
constexpr uint8_t k_rc6_mode0_bits = 21;
constexpr uint8_t k_rc6_most_bits = 5 + 32 + 8;
constexpr uint16_t k_rc6_two_widths_us = 205;  // 444 us - 7 % - 2 x 100 us = 213; one width +-100 us: 200

/// False for a run in doubt whose leader (nominal: 6 units) speaks against `length`.
bool fits_leader(uint8_t length, uint16_t us, uint16_t leader_us) {
    if (ir_within(us, 620, 680)) {
        return length == 1 ? leader_us + 710 >= us * 6 : leader_us <= us * 3 + 410;
    }
    if (ir_within(us, 1035, 1155)) {
        return length == 2 ? leader_us + 410 >= us * 3 : leader_us <= us * 2 + 310;
    }
    return true;
}

uint8_t units(uint16_t us) {
    if (us <= 666) return us >= 222 ? 1 : 0;
    if (us <= 1110) return 2;
    return us <= 1640 ? 3 : 0;
}
}  // namespace

bool Rc6Decoder::start(uint16_t us) {
    bits_ = 0;
    head_ = 0;
    count_ = 0;
    units_to_mid_ = 1;
    leader_done_ = false;
    leader_us_ = us;
    longest_single_us_ = 0;
    return ir_within(us, 2223, 3111);
}

bool Rc6Decoder::space(uint16_t us) {
    if (!leader_done_) {
        leader_done_ = true;
        shortest_double_us_ = us;
        return ir_within(us, 620, 1160);
    }
    if (us <= 666) {
        if (us > longest_single_us_) longest_single_us_ = us;
    } else if (us < shortest_double_us_) {
        shortest_double_us_ = us;
    }
    return run(us, false);
}

bool Rc6Decoder::run(uint16_t us, bool is_mark) {
    const uint8_t length = units(us);
    if (length == 0 || length > units_to_mid_ || !fits_leader(length, us, leader_us_)) return false;
    const bool is_in_or_before_toggle = count_ == k_rc6_toggle_bit;
    if (length < units_to_mid_) {
        units_to_mid_ = static_cast<uint8_t>(units_to_mid_ - length);
        return units_to_mid_ == (is_in_or_before_toggle ? 2 : 1);
    }
    if (count_ < k_rc6_head_bits) {
        head_ = static_cast<uint8_t>(head_ << 1 | (is_mark ? 1 : 0));
    } else {
        bits_ = bits_ << 1 | (is_mark ? 1u : 0u);
    }
    ++count_;
    units_to_mid_ = count_ == k_rc6_toggle_bit || count_ == k_rc6_toggle_bit + 1 ? 3 : 2;
    return count_ <= k_rc6_most_bits;
}

bool Rc6Decoder::has_two_space_widths() const {
    return shortest_double_us_ > longest_single_us_ + k_rc6_two_widths_us;
}

Rc6Decoder::Verdict Rc6Decoder::verdict() const {
    if (count_ <= k_rc6_head_bits) return Verdict::no;
    return mode() == 0 && count_ == k_rc6_mode0_bits ? Verdict::frame : Verdict::other_mode;
}

void Rc6Decoder::report(IrFrame& out) const {
    if (verdict() == Verdict::frame) {
        set_ir_frame(out, Protocol::rc6, static_cast<uint16_t>(bits_ >> 8) & 0xFF,
                     static_cast<uint16_t>(bits_ & 0xFF));
        out.toggle = head_ & 0x01;
        return;
    }
    uint32_t bits = bits_;
    if (count_ == k_rc6_head_bits + 32 && (bits & 0x80000000u) != 0) bits &= ~uint32_t(0x8000);
    set_ir_frame(out, Protocol::unknown, 0, 0);
    out.signature = ir_fnv1a(ir_fnv1a(k_ir_fnv_offset, bits), static_cast<uint16_t>(mode() << 8 | count_));
    if (out.signature == 0) out.signature = 1;
}

}  // namespace engine
}  // namespace fettle
