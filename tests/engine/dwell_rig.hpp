#pragma once
// A pointer with a dwell machine, and the dwell rules once more, slowly: on whole paths of absolute
// positions.

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <vector>

#include "core/engine/dwell.hpp"

namespace fettle::engine::dwell_test {

struct Point {
    int64_t x = 0, y = 0;
};

/// What the person and the rest of the engine did just before a ms, and where the pointer is after it.
struct Moment {
    Point at;
    bool is_other_held = false;
    bool lets_go = false, pauses = false, resumes = false;
    int chooses = -1;  ///< DwellKind, -1: nothing
};

inline bool is_farther(const Point& a, const Point& b, int64_t limit) {
    const int64_t dx = a.x - b.x, dy = a.y - b.y;
    return dx * dx + dy * dy > limit * limit;
}

/// The act of each ms by the rules' words: look ahead from the last reset for the first rest.
class Model {
public:
    Model(const std::vector<Moment>& path, const DwellDef& def) : path_(path), def_(def) {}

    std::vector<DwellAct> run() {
        std::vector<DwellAct> acts(path_.size(), DwellAct::nothing);
        from_here(0, Point{});
        for (std::size_t t = 0; t < path_.size(); ++t) acts[t] = moment(t);
        return acts;
    }

private:
    static constexpr std::size_t k_never = SIZE_MAX;

    const Point& before(std::size_t t) const { return t == 0 ? origin_ : path_[t - 1].at; }

    /// The next act, looking at ms `t` and later ones, the pointer being at `anchor`.
    void from_here(std::size_t t, Point anchor) {
        due_ = k_never;
        while (t < path_.size() && !is_farther(path_[t].at, anchor, def_.arm_counts)) ++t;
        while (t < path_.size()) {
            const std::size_t armed = t;
            do ++t;
            while (t < path_.size() && t <= armed + def_.rest_ms &&
                   !is_farther(path_[t].at, path_[armed].at, def_.radius_counts));
            if (t > armed + def_.rest_ms) {
                due_ = armed + def_.rest_ms;
                return;
            }
        }
    }

    DwellAct moment(std::size_t t) {
        const Moment& now = path_[t];
        if (now.chooses >= 0) chosen_ = now.chooses;
        if (now.lets_go) {
            has_drag_ = false;
            chosen_ = -1;
            from_here(t, before(t));
        }
        if (now.pauses) is_paused_ = true;
        if (now.resumes && is_paused_) {
            is_paused_ = false;
            from_here(t, before(t));
        }
        if (is_paused_) return end_drag();
        if (now.is_other_held) {
            from_here(t + 1, now.at);
            return DwellAct::nothing;
        }
        if (t != due_) return DwellAct::nothing;
        from_here(t + 1, now.at);
        return has_drag_ ? end_drag() : begin();
    }

    DwellAct end_drag() {
        const bool had = has_drag_;
        has_drag_ = false;
        return had ? DwellAct::drag_end : DwellAct::nothing;
    }

    DwellAct begin() {
        const int kind = chosen_ >= 0 ? chosen_ : static_cast<int>(def_.usual);
        if ((def_.flags & k_dwell_keeps_choice) == 0) chosen_ = -1;
        has_drag_ = kind == static_cast<int>(DwellKind::drag);
        return static_cast<DwellAct>(kind + 1);
    }

    const std::vector<Moment>& path_;
    const DwellDef& def_;
    const Point origin_;
    std::size_t due_ = k_never;
    int chosen_ = -1;
    bool is_paused_ = false, has_drag_ = false;
};

/// The same from the machine itself.
inline DwellAct step(Dwell& dwell, const Moment& moment, const Point& before, const DwellDef& def) {
    if (moment.chooses >= 0) dwell.choose(static_cast<DwellKind>(moment.chooses));
    if (moment.lets_go) dwell.let_go();
    if (moment.pauses) dwell.pause();
    if (moment.resumes) dwell.resume();
    return dwell.tick(static_cast<int16_t>(moment.at.x - before.x),
                      static_cast<int16_t>(moment.at.y - before.y), moment.is_other_held, def);
}

/// One act and the ms in which it came.
struct Acted {
    std::size_t ms;
    DwellAct act;
    bool operator==(const Acted&) const = default;
};

/// A machine whose pointer is led by hand. Ends every test with: nothing is dragged, and a minute of rest
/// brings nothing.
class Rig {
public:
    explicit Rig(const DwellDef& d) : def(d) { dwell.reset(); }
    Rig(const Rig&) = delete;
    Rig& operator=(const Rig&) = delete;
    ~Rig() {
        const std::size_t before = acts.size();
        rest(60000);
        CHECK(acts.size() == before);
        CHECK_FALSE(dwell.is_dragging());
    }

    void to(Point next) {
        const DwellAct act = dwell.tick(static_cast<int16_t>(next.x - at.x),
                                        static_cast<int16_t>(next.y - at.y), is_other_held, def);
        at = next;
        if (act != DwellAct::nothing) acts.push_back({ms, act});
        ++ms;
    }
    void by(int x, int y) { to({at.x + x, at.y + y}); }
    void rest(unsigned for_ms) {
        for (unsigned i = 0; i < for_ms; ++i) by(0, 0);
    }
    /// Out of any circle, then still until something is done.
    void dwell_once() {
        by(300, 0);
        rest(def.rest_ms);
    }

    DwellDef def;
    Dwell dwell;
    Point at;
    std::size_t ms = 0;
    bool is_other_held = false;
    std::vector<Acted> acts;
};

}  // namespace fettle::engine::dwell_test
