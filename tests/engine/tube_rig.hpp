#pragma once
// A pressure tube with somebody breathing into it, and the rules once more, slowly: on whole lines of
// pressures, breath by breath.

#include <doctest/doctest.h>

#include <algorithm>
#include <cstdint>
#include <string>
#include <vector>

#include "core/engine/tube.hpp"

namespace fettle::engine::tube_test {

/// Soft from 100 to 60 permille, hard from 400 to 300, known after 150 ms; quiet below 40.
inline TubeDef usual() {
    const TubeSide side = {25, 15, 100, 75};
    return {side, side, 150, 10, 64};
}

/// The levels of each ms of a line, from a baseline that stands still. pressures: from the baseline,
/// permille.
class Model {
public:
    Model(const std::vector<int>& pressures, const TubeDef& def)
        : pressures_(pressures), def_(def), levels_(pressures.size()) {}

    std::vector<uint8_t> run() {
        std::size_t t = next_breath(0);
        while (t < pressures_.size()) t = next_breath(breath(t));
        return levels_;
    }

private:
    bool is_sip_at(std::size_t t) const { return pressures_[t] < 0; }
    const TubeSide& side(bool is_sip) const { return is_sip ? def_.sip : def_.puff; }
    bool reaches(std::size_t t, bool is_sip, unsigned steps) const {
        return steps != 0 && (is_sip ? -pressures_[t] : pressures_[t]) >= static_cast<int>(4 * steps);
    }
    bool is_soft(std::size_t t, bool sip) const { return reaches(t, sip, side(sip).soft_on); }
    bool is_hard(std::size_t t, bool sip) const { return reaches(t, sip, side(sip).hard_on); }

    std::size_t next_breath(std::size_t from) const {
        while (from < pressures_.size() && !is_soft(from, is_sip_at(from)) && !is_hard(from, is_sip_at(from)))
            ++from;
        return from;
    }
    std::size_t end_after(std::size_t t, bool sip) const {
        const TubeSide& s = side(sip);
        const unsigned off = s.soft_on != 0 ? s.soft_off : s.hard_off;
        do ++t;
        while (t < pressures_.size() && reaches(t, sip, off));
        return t;
    }
    void fill(std::size_t from, std::size_t to, uint8_t level) {
        for (std::size_t t = from; t < std::min(to, levels_.size()); ++t) levels_[t] = level;
    }

    /// The breath that begins at t; gives where to look for the next one.
    std::size_t breath(std::size_t t) {
        const bool sip = is_sip_at(t);
        const uint8_t soft = sip ? k_tube_soft_sip : k_tube_soft_puff;
        const std::size_t end = end_after(t, sip);
        std::size_t known = t;
        if (!is_hard(t, sip) && side(sip).hard_on != 0) {
            known = t + def_.decide_ms;
            for (std::size_t early = t; early <= known && early < end; ++early) {
                if (is_hard(early, sip)) return hard(early, end, sip);
            }
        } else if (is_hard(t, sip)) {
            return hard(t, end, sip);
        }
        if (end <= known) {
            const std::size_t next = next_breath(end + 1);
            fill(end, std::min(end + (end - t), next), soft);
        } else {
            fill(known, end, soft);
        }
        return end + 1;
    }
    std::size_t hard(std::size_t from, std::size_t end, bool sip) {
        bool is_on = true;
        for (std::size_t t = from; t < end; ++t) {
            is_on = is_on ? reaches(t, sip, side(sip).hard_off) : is_hard(t, sip);
            if (is_on) fill(t, t + 1, sip ? k_tube_hard_sip : k_tube_hard_puff);
        }
        return end + 1;
    }

    const std::vector<int>& pressures_;
    const TubeDef& def_;
    std::vector<uint8_t> levels_;
};

/// A tube that was at rest for as long as it learns. Ends every test with: 3 s without a breath bring no
/// level, and it is quiet.
class Rig {
public:
    explicit Rig(const TubeDef& d = usual(), int at = 0) : def(d), offset(at) {
        tube.reset();
        breathe(0, k_tube_learn_ms);
    }
    Rig(const Rig&) = delete;
    Rig& operator=(const Rig&) = delete;
    ~Rig() {
        breathe(0, 500);
        for (unsigned i = 0; i < 3000; ++i) CHECK(breathe(0, 1) == 0);
        CHECK(tube.state() == TubeState::quiet);
    }

    /// So much from the baseline for so long. Gives the last level.
    uint8_t breathe(int permille, unsigned for_ms) {
        for (unsigned i = 0; i < for_ms; ++i) {
            const uint8_t now = tube.tick(static_cast<int16_t>(offset + permille), def);
            if (now != level) said += name(now) + std::to_string(ms) + " ";
            level = now;
            ++ms;
        }
        return level;
    }
    /// From one pressure to another in equal steps.
    void ramp(int from, int to, int for_ms) {
        for (int i = 1; i <= for_ms; ++i) breathe(from + (to - from) * i / for_ms, 1);
    }
    /// Changes of level since the last call: "puff", "PUFF" (hard), "sip", "SIP", "-" (none), each with its
    /// ms from begin().
    std::string take() {
        std::string result = said;
        said.clear();
        return result;
    }
    /// The next ms is number 0.
    void begin() {
        ms = 0;
        said.clear();
    }

    TubeDef def;
    int offset;
    Tube tube;
    unsigned ms = 0;
    uint8_t level = 0;
    std::string said;

private:
    static std::string name(uint8_t of) {
        switch (of) {
            case 0: return "-";
            case k_tube_soft_puff: return "puff";
            case k_tube_hard_puff: return "PUFF";
            case k_tube_soft_sip: return "sip";
            case k_tube_hard_sip: return "SIP";
            default: return "two at once ";
        }
    }
};

}  // namespace fettle::engine::tube_test
