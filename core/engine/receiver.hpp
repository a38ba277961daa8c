#pragma once
// The infrared line's edges as widths for the decoders, and its running silence.

#include "core/engine/infrared.hpp"
#include "core/engine/report.hpp"

namespace fettle {
namespace engine {

class Receiver {
public:
    /// Deaf until 5 ms of silence were seen.
    void reset();
    /// An edge of line 0. True when it closed a frame, which ended at `end_us`.
    bool edge(const Edge& edge, IrFrame& frame, uint32_t& end_us);
    /// Once a tick, after the edges. True when the silence closed a frame.
    bool quiet(uint32_t now_us, IrFrame& frame, uint32_t& end_us);
    /// Edges that are too many to be a remote's: the decoders forget all and wait for silence. `last` is
    /// where the line stands.
    void noise(const Edge& last);
    /// The last edge, where nobody decodes.
    void note(const Edge& edge);

private:
    uint16_t since(uint32_t now_us) const;

    Infrared infrared_;
    uint32_t last_us_;  ///< of the last edge
    bool is_mark_;
    bool is_long_quiet_;  ///< silence has outgrown its 16 bits; nothing more to tell
    bool is_started_;     ///< last_us_ means something
};

}  // namespace engine
}  // namespace fettle
