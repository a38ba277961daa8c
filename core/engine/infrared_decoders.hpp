#pragma once
/// The protocol decoders behind Infrared. One train is what comes between two silences of 5 ms; each decoder
/// is told of its widths one by one and says whether it goes on. Nothing keeps a frame: only bits and counts.
///
/// Calls of every decoder, in this order for a train:
///   start(us)   the first mark; false: this train is none of mine.
///   space(us), mark(us)   the following widths in turn; false: dropped out, no more calls in this train.
///   end(...)    silence after a mark; says what the train was.
/// Times: us. The windows hold two claims at once: the margins of the Linux kernel's decoders (Linux 6.1,
/// drivers/media/rc) and a sender clock that is 7 % off plus 100 us at each edge (200 us a width) where the
/// protocol leaves room for it. Each file states its windows.

#include "core/engine/bytes.hpp"
#include "core/engine/infrared_frame.hpp"

namespace fettle {
namespace engine {

/// True for low <= us <= high.
FETTLE_SHARED inline bool ir_within(uint16_t us, uint16_t low, uint16_t high) {
    return static_cast<uint16_t>(us - low) <= static_cast<uint16_t>(high - low);
}

/// One step of the 32-bit FNV-1a hash (public domain: Fowler, Noll, Vo; prime 16777619). Here a step may take
/// a whole word: its multiplication is one-to-one, so that two words never meet in one step.
FETTLE_SHARED inline uint32_t ir_fnv1a(uint32_t hash, uint32_t value) {
    return (hash ^ value) * 16777619u;
}
constexpr uint32_t k_ir_fnv_offset = 2166136261u;

/// NEC, extended NEC, NEC repeat frame, Samsung 32. infrared_nec.cpp
class NecDecoder {
public:
    bool start(uint16_t us);
    bool space(uint16_t us);
    bool mark(uint16_t us);
    bool end(IrFrame& out) const;

private:
    enum class Stage : uint8_t { long_leader, short_leader, long_data, short_data, repeat };
    uint32_t bits_;
    uint8_t count_;
    Stage stage_;
};

/// JVC with its leader, and without it while the button is held. infrared_jvc.cpp
class JvcDecoder {
public:
    bool start(uint16_t us);
    bool space(uint16_t us);
    bool mark(uint16_t us);
    bool end(IrFrame& out);
    /// Another protocol spoke: from now on a frame without leader means nothing.
    void forget() { has_last_ = false; }

private:
    enum class Stage : uint8_t { leader, headed, bare };
    uint16_t bits_;
    uint16_t last_;
    uint8_t count_;
    Stage stage_;
    bool has_last_;
};

/// SIRC 12, 15 and 20. infrared_sirc.cpp
class SircDecoder {
public:
    bool start(uint16_t us);
    bool space(uint16_t us);
    bool mark(uint16_t us);
    bool end(IrFrame& out) const;

private:
    bool is_one_unit(uint16_t us);
    uint32_t bits_;
    uint16_t narrowest_us_;
    uint16_t widest_us_;
    uint8_t count_;
};

/// RC-5 with field bit and toggle. infrared_rc5.cpp
class Rc5Decoder {
public:
    bool start(uint16_t us);
    bool space(uint16_t us) { return run(us, false); }
    bool mark(uint16_t us) { return run(us, true); }
    bool end(IrFrame& out) const;

private:
    bool run(uint16_t us, bool is_mark);
    bool push(bool bit);
    uint16_t bits_;
    uint8_t count_;
    bool in_second_half_;
};

/// RC-6 mode 0, and a signature for the other modes. infrared_rc6.cpp
class Rc6Decoder {
public:
    /// no: not RC-6. frame: RC-6 mode 0. other_mode: RC-6, but a mode that is not decoded.
    enum class Verdict : uint8_t { no, frame, other_mode };
    bool start(uint16_t us);
    bool space(uint16_t us);
    bool mark(uint16_t us) { return run(us, true); }
    Verdict verdict() const;
    /// Says what verdict() found, unless that is no; other modes are unknown.
    void report(IrFrame& out) const;
    /// Single and double spaces of this train are so far apart that a protocol with one space width (SIRC)
    /// cannot have sent it.
    bool has_two_space_widths() const;

private:
    bool run(uint16_t us, bool is_mark);
    uint8_t mode() const { return (head_ >> 1) & 0x07; }
    uint32_t bits_;
    uint16_t leader_us_;
    uint16_t longest_single_us_;
    uint16_t shortest_double_us_;
    uint8_t head_;
    uint8_t count_;
    uint8_t units_to_mid_;
    bool leader_done_;
};

/// Sharp: a message and its inverted echo. infrared_sharp.cpp
class SharpDecoder {
public:
    /// no: not Sharp. waiting: half of a pair, nothing to report. frame: sharp. lookalike: the same shape
    /// with other check bits (Denon for one); `out` is unknown.
    enum class Verdict : uint8_t { no, waiting, frame, lookalike };
    bool start(uint16_t us);
    bool space(uint16_t us);
    bool mark(uint16_t us);
    Verdict end(IrFrame& out);
    /// The silence after a train, us, saturated: decides whether an echo may follow. After anything but a
    /// message none may.
    void gap(uint16_t us);
    /// A message that waits for its echo is given up.
    void forget() { pending_ = Pending::none; }

private:
    enum class Pending : uint8_t { none, message, echo_due };
    uint16_t bits_;
    uint16_t message_;
    uint8_t count_;
    Pending pending_;
};

/// A stable number for a train that no decoder accepts. infrared_signature.cpp
class SignatureDecoder {
public:
    void start(uint16_t us);
    void width(bool is_mark, uint16_t us);
    bool end(IrFrame& out) const;

private:
    uint32_t hash_;
    uint16_t last_mark_us_;
    uint16_t last_space_us_;
    uint8_t widths_;
    bool is_short_unit_;
};

}  // namespace engine
}  // namespace fettle
