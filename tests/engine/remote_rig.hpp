#pragma once
// A remote control on a fake clock: frames by the time at which their last mark ended, and the level of the
// infrared inputs as the engine would see it, a tick a millisecond.

#include <map>
#include <string>
#include <vector>

#include "core/engine/remote.hpp"

namespace fettle::engine::remote_rig {

/// What the decoders need after a frame's last mark (infrared.hpp).
constexpr uint32_t k_told_late_us = 5000;

inline IrFrame make_frame(Protocol protocol, uint16_t address, uint16_t command,
                          uint8_t toggle = k_no_toggle) {
    IrFrame frame = {};
    frame.protocol = protocol;
    frame.toggle = toggle;
    frame.address = address;
    frame.command = command;
    return frame;
}

inline IrFrame nec_repeat() {
    IrFrame frame = make_frame(Protocol::nec, 0, 0);
    frame.repeat = true;
    return frame;
}

struct Rig {
    Remote remote;
    uint32_t start_us;
    uint32_t now_ms = 0;
    uint8_t level = k_no_input;
    std::vector<std::string> happened;  ///< "73 down 1", "218 up 1", "397 lost 2 of 1"

    explicit Rig(uint32_t start = 0xFFFF0000u) : start_us(start) { remote.reset(); }

    uint32_t at_us(double ms) const { return start_us + static_cast<uint32_t>(ms * 1000.0 + 0.5); }

    void say(const std::string& what) { happened.push_back(std::to_string(now_ms) + " " + what); }

    void tick() {
        const uint8_t now_down = remote.tick(at_us(now_ms));
        if (now_down != level && level != k_no_input) say("up " + std::to_string(level));
        if (now_down != level && now_down != k_no_input) say("down " + std::to_string(now_down));
        level = now_down;
        ++now_ms;
    }

    void run_before(uint32_t until_ms) {
        while (now_ms < until_ms) tick();
    }

    /// A frame that ended at end_ms; ticks run up to the one that is told of it, that one included.
    RemoteHeard hear(uint8_t input, const IrFrame& frame, double end_ms, uint16_t holdover_ms) {
        run_before(static_cast<uint32_t>(end_ms + k_told_late_us / 1000.0 + 0.999));
        const RemoteHeard heard = remote.frame(input, frame, at_us(end_ms), holdover_ms);
        if (heard.lost != 0) {
            say("lost " + std::to_string(heard.lost) + " of " + std::to_string(heard.input));
        }
        tick();
        return heard;
    }
};

/// How a NEC button that is held looks: one whole frame, then repeat frames 108 ms from start to start.
/// Source: Linux 6.1, drivers/media/rc/ir-nec-decoder.c for the widths; irsimsend of lirc 0.10.1 for a hold
/// of three, whose periods sum to 108,000 us: 68,095 us whole, 11,813 us repeat.
constexpr double k_nec_whole_ms = 68.095, k_nec_repeat_ms = 11.813, k_nec_period_ms = 108.0;

inline double nec_repeat_end_ms(int n, double start_ms = 0) {
    return start_ms + n * k_nec_period_ms + k_nec_repeat_ms;
}

}  // namespace fettle::engine::remote_rig
