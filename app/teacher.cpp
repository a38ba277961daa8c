#include "app/teacher.hpp"

namespace fettle::app {

using engine::EventKind;
using engine::IrFrame;

namespace {

/// Frames closer than this belong to one press; a switch that bounces settles within it (common practice, no
/// source).
constexpr std::int64_t k_apart_us = 250000;

profile::Infrared source_of(const IrFrame& frame) {
    return {frame.protocol, frame.address, frame.command, frame.extended, frame.signature};
}

}  // namespace

void Teacher::hear(const link::TimedEvent& timed) {
    if (timed.event.kind == EventKind::ir_frame) hear(frame_of_event(timed.event), timed.at_us);
    if (timed.event.kind == EventKind::edge) edge(timed.event.data[0], timed.event.data[1] != 0, timed.at_us);
}

void Teacher::hear(const IrFrame& frame, std::int64_t at_us) {
    const bool goes_on = at_us - last_us_ < k_apart_us;
    last_us_ = at_us;
    if (!frame.repeat && !goes_on) press(source_of(frame));
}

void Teacher::edge(std::uint8_t line, bool is_high, std::int64_t at_us) {
    if (line == 0 || line >= closed_level_.size()) return;
    const bool goes_on = at_us - last_us_ < k_apart_us;
    last_us_ = at_us;
    // The first edge of all goes to the closed level: with the usual pull-up, low. Edges away from it are
    // letting go.
    auto& closed = closed_level_[line];
    if (!closed) closed = is_high;
    if (!goes_on && *closed == is_high) press(profile::Switch{line, !is_high});
}

void Teacher::press(const profile::InputSource& pressed) {
    ++presses_;
    if (first_ == pressed) source_ = pressed;
    first_ = pressed;
}

}  // namespace fettle::app
