// The arbiter of the infrared decoders.
//
// phase         mark                 space < gap        space >= gap            silence >= gap
// deaf          -                    -                  ready                   ready
// ready         starts a train,      -                  the gap before the      -
//               after_mark                              next train is known
// after_mark    deaf (impossible:    fed, after_space   train ends, ready       train ends, ready
//               two marks in a row)
// after_space   fed, after_mark      deaf (impossible)  deaf -> ready           - (impossible)
//
// The gap is 5 ms; 5.3 ms for the space after a mark that may be a leader with 4.5 ms of space (4500 us, 7 %
// and two edges are 5015 us; the kernel's margin ends at 5063).
//
// Who is fed: the first mark decides. It excludes the leaderless ones (rc5, sharp, jvc without leader) when
// it is a leader, and everyone who drops out is not told of this train again. Who speaks, when more than one
// could: nec and jvc differ by their number of bits, and so do rc5, sharp and jvc without leader; rc6 and
// sirc: see choose_rc6_or_sirc. The signature speaks when nobody else does.
#include "core/engine/infrared.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_nec = 1;
constexpr uint8_t k_jvc = 2;
constexpr uint8_t k_sirc = 4;
constexpr uint8_t k_rc5 = 8;
constexpr uint8_t k_rc6 = 16;
constexpr uint8_t k_sharp = 32;
constexpr uint16_t k_leader_gap_us = 5300;

/// Tells a decoder that still takes part of a width; it may drop out.
template <class Decoder>
void tell(Decoder& decoder, uint8_t bit, bool is_mark, uint16_t us, uint8_t& alive) {
    if ((alive & bit) == 0) return;
    if (!(is_mark ? decoder.mark(us) : decoder.space(us))) alive = static_cast<uint8_t>(alive & ~bit);
}
}  // namespace

uint32_t ir_code(const IrFrame& frame) {
    if (frame.protocol == Protocol::unknown) return frame.signature;
    return static_cast<uint32_t>(frame.extended) << 24 | static_cast<uint32_t>(frame.address) << 8 |
           (frame.command & 0xFFu);
}

FETTLE_SHARED void set_ir_frame(IrFrame& frame, Protocol protocol, uint16_t address, uint16_t command) {
    frame.protocol = protocol;
    frame.repeat = false;
    frame.toggle = k_no_toggle;
    frame.address = address;
    frame.command = command;
    frame.extended = 0;
    frame.signature = 0;
}

void Infrared::reset() {
    phase_ = Phase::deaf;
    alive_ = 0;
    is_leader_space_ = false;
    jvc_.forget();
    sharp_.forget();
}

uint16_t Infrared::gap_limit_us() const {
    return is_leader_space_ ? k_leader_gap_us : k_ir_gap_us;
}

bool Infrared::width(bool is_mark, uint16_t width_us, IrFrame& out) {
    const bool is_gap = !is_mark && width_us >= gap_limit_us();
    switch (phase_) {
        case Phase::deaf:
            if (is_gap) phase_ = Phase::ready;
            return false;
        case Phase::ready:
            if (is_mark) start(width_us);
            if (is_gap) sharp_.gap(width_us);
            return false;
        case Phase::after_mark:
            if (is_gap) {
                const bool found = close(out);
                sharp_.gap(width_us);
                return found;
            }
            if (is_mark) {
                reset();
                return false;
            }
            break;
        case Phase::after_space:
            if (!is_mark) {
                reset();
                if (is_gap) phase_ = Phase::ready;
                return false;
            }
            break;
    }
    feed(is_mark, width_us);
    return false;
}

bool Infrared::silence(uint16_t since_us, IrFrame& out) {
    if (phase_ == Phase::ready || since_us < gap_limit_us()) return false;
    if (phase_ == Phase::after_mark) return close(out);
    if (phase_ == Phase::after_space) reset();
    phase_ = Phase::ready;
    return false;
}

void Infrared::start(uint16_t us) {
    alive_ = 0;
    if (nec_.start(us)) alive_ |= k_nec;
    if (jvc_.start(us)) alive_ |= k_jvc;
    if (sirc_.start(us)) alive_ |= k_sirc;
    if (rc6_.start(us)) alive_ |= k_rc6;
    if (rc5_.start(us)) alive_ |= k_rc5;
    if (sharp_.start(us)) alive_ |= k_sharp;
    signature_.start(us);
    is_leader_space_ = (alive_ & k_nec) != 0 || (us > k_ir_gap_us && (alive_ & k_jvc) != 0);
    phase_ = Phase::after_mark;
}

void Infrared::feed(bool is_mark, uint16_t us) {
    tell(nec_, k_nec, is_mark, us, alive_);
    tell(jvc_, k_jvc, is_mark, us, alive_);
    tell(sirc_, k_sirc, is_mark, us, alive_);
    tell(rc6_, k_rc6, is_mark, us, alive_);
    tell(rc5_, k_rc5, is_mark, us, alive_);
    tell(sharp_, k_sharp, is_mark, us, alive_);
    signature_.width(is_mark, us);
    is_leader_space_ = false;
    phase_ = is_mark ? Phase::after_mark : Phase::after_space;
}

bool Infrared::close(IrFrame& out) {
    phase_ = Phase::ready;
    is_leader_space_ = false;
    const bool found = choose(out);
    if (found && out.protocol != Protocol::jvc) jvc_.forget();
    return found;
}

bool Infrared::choose(IrFrame& out) {
    if ((alive_ & k_nec) != 0 && nec_.end(out)) return true;
    if ((alive_ & k_jvc) != 0 && jvc_.end(out)) return true;
    if ((alive_ & k_rc5) != 0 && rc5_.end(out)) return true;
    if ((alive_ & (k_rc6 | k_sirc)) != 0 && choose_rc6_or_sirc(out)) return true;
    if ((alive_ & k_sharp) != 0) {
        switch (sharp_.end(out)) {
            case SharpDecoder::Verdict::no: break;
            case SharpDecoder::Verdict::waiting: return false;
            case SharpDecoder::Verdict::frame:
            case SharpDecoder::Verdict::lookalike: return true;
        }
    }
    return signature_.end(out);
}

/// The leaders of RC-6 and SIRC overlap within 7 % and 100 us, and so do their widths. What tells them apart:
/// RC-6 has two widths of spaces, SIRC one. A train that both would take goes to RC-6 if it has two, and is
/// nobody's (unknown) if that cannot be told.
bool Infrared::choose_rc6_or_sirc(IrFrame& out) {
    const bool is_sirc = (alive_ & k_sirc) != 0 && sirc_.end(out);
    if ((alive_ & k_rc6) == 0) return is_sirc;
    switch (rc6_.verdict()) {
        case Rc6Decoder::Verdict::no: return is_sirc;
        case Rc6Decoder::Verdict::frame:
            if (is_sirc && !rc6_.has_two_space_widths()) return false;
            break;
        case Rc6Decoder::Verdict::other_mode:
            if (!rc6_.has_two_space_widths()) return is_sirc;
            break;
    }
    rc6_.report(out);
    return true;
}

}  // namespace engine
}  // namespace fettle
