#pragma once
/// Infrared: widths of marks and spaces in, decoded transmissions out. Streaming and bounded: no frame is
/// buffered. Freestanding C++14; no thread of its own, one owner, deterministic.

#include "core/engine/infrared_decoders.hpp"
#include "core/engine/infrared_frame.hpp"

namespace fettle {
namespace engine {

/// Silence that ends a train and after which decoding starts. Unit: us.
constexpr uint16_t k_ir_gap_us = 5000;

/// The arbiter: feeds all decoders that can still be right, and lets one speak when the train has ended.
/// Promise: a whole frame of a known protocol, sender clock within 7 %, each width within 100 us of that, is
/// reported as what it is; with each edge (instead of width) 100 us off it may become unknown or nothing, but
/// it is never reported as another protocol or with another code.
/// Latency: every protocol is reported when 5 ms of silence followed its last mark (the protocols' own bit
/// counts are only then certain: SIRC 12, 15 and 20 begin alike, so do JVC and NEC). Sharp is reported 5 ms
/// after its echo, that is about 70 ms after the message.
class Infrared {
public:
    /// Forgets everything; nothing is decoded until 5 ms of silence were seen. Call before first use.
    void reset();

    /// One finished mark or space. `width_us`: us, saturated at 65535. True when `out` holds a frame (only a
    /// space of 5 ms or more can bring one); otherwise `out` may have been written to, and means nothing.
    bool width(bool is_mark, uint16_t width_us, IrFrame& out);

    /// Told once a tick while the line is quiet: silence since the last mark ended, us, saturated at 65535.
    /// True when `out` holds a frame. Costs two tests when nothing can change.
    bool silence(uint16_t since_us, IrFrame& out);

private:
    /// deaf: waits for silence. ready: the next mark starts a train. after_mark, after_space: inside a train.
    enum class Phase : uint8_t { deaf, ready, after_mark, after_space };

    void start(uint16_t us);
    void feed(bool is_mark, uint16_t us);
    bool close(IrFrame& out);
    bool choose(IrFrame& out);
    bool choose_rc6_or_sirc(IrFrame& out);
    uint16_t gap_limit_us() const;

    NecDecoder nec_;
    JvcDecoder jvc_;
    SircDecoder sirc_;
    Rc5Decoder rc5_;
    Rc6Decoder rc6_;
    SharpDecoder sharp_;
    SignatureDecoder signature_;
    uint8_t alive_;
    Phase phase_;
    bool is_leader_space_;
};

}  // namespace engine
}  // namespace fettle
