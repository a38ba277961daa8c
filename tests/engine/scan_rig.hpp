#pragma once
// A scan with a list of items and a person's switches, ms by ms.

#include <doctest/doctest.h>

#include <cstdint>
#include <vector>

#include "core/engine/scan.hpp"

namespace fettle::engine::scan_test {

/// One act and the ms in which it came.
struct Acted {
    unsigned ms;
    ScanAct act;
    unsigned row, item;
    bool operator==(const Acted&) const = default;
};

/// Ends every test with: the switch let go and the way out taken twice, it rests, 30 s bring nothing and
/// nothing moves.
class Rig {
public:
    Rig(const ScanDef& d, ScanKind k, uint8_t n) : def(d), kind(k), top_count(n) { scan.reset(); }
    Rig(const Rig&) = delete;
    Rig& operator=(const Rig&) = delete;
    ~Rig() {
        tick(k_scan_release);
        tick(k_scan_leave);
        tick(k_scan_leave);
        const std::size_t before = acts.size();
        run(30000);
        CHECK(scan.state() == ScanState::resting);
        CHECK(acts.size() == before);
        CHECK_FALSE(is_moving);
    }

    ScanStep tick(uint8_t events = 0) {
        const uint8_t count = scan.state() == ScanState::cells ? cell_count : top_count;
        const ScanStep step = scan.tick(events, kind, count, def);
        if (step.act != ScanAct::nothing) acts.push_back({ms, step.act, step.row, step.item});
        if (step.act == ScanAct::begin_motion) is_moving = true;
        if (step.act == ScanAct::end_motion) is_moving = false;
        ++ms;
        return step;
    }
    /// ms in which nothing happens; gives in how many of them something changed.
    unsigned run(unsigned for_ms) {
        unsigned changes = 0;
        for (unsigned i = 0; i < for_ms; ++i) changes += tick().is_changed ? 1u : 0u;
        return changes;
    }
    void press() { tick(k_scan_press); }
    void let_go() { tick(k_scan_release); }
    /// Down and up again a ms later.
    void tap() {
        press();
        let_go();
    }

    ScanDef def;
    ScanKind kind;
    uint8_t top_count, cell_count = 6;
    Scan scan;
    unsigned ms = 0;
    bool is_moving = false;
    std::vector<Acted> acts;
};

inline ScanDef automatic(uint8_t flags = 0) {
    return {ScanStyle::automatic, flags, 1000, 0, 3, 2};
}
inline ScanDef two_switch(uint8_t flags = 0) {
    return {ScanStyle::two_switch, flags, 1000, 0, 3, 2};
}
inline ScanDef hold(uint8_t flags = 0) {
    return {ScanStyle::hold, flags, 1000, 0, 3, 2};
}

}  // namespace fettle::engine::scan_test
