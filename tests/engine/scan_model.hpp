#pragma once
// Scanning once more, slowly: what is on show follows by division from how long it has been offered, not from
// a countdown. It shares no code with scan.cpp but the records.

#include "core/engine/scan.hpp"

namespace fettle::engine::scan_model {

/// How many items each list has.
struct Counts {
    unsigned top = 0;
    unsigned cells_of(unsigned row) const { return row % 5; }
};

class Model {
public:
    Model(const ScanDef& def, ScanKind kind, Counts counts) : def_(def), kind_(kind), counts_(counts) {}

    struct Said {
        ScanAct act = ScanAct::nothing;
        unsigned row = 0, item = 0;
    };

    Said ms(uint8_t events) {
        said_ = {};
        if (is_offered() && shown() == 0) {
            is_held_ = false;
            out();
            return said_;
        }
        const bool is_heard = (events & (k_scan_press | k_scan_pick | k_scan_leave)) != 0;
        if ((events & k_scan_leave) != 0) {
            is_held_ = false;
            out();
        } else if ((events & k_scan_pick) != 0) {
            second_switch();
        } else if ((events & k_scan_press) != 0) {
            first_switch();
        }
        const bool lets_go = is_held_ && (events & k_scan_release) != 0;
        if (lets_go) take();
        if (!is_heard && !lets_go && runs()) {
            ++offered_;
            look_at_rounds();
        }
        return said_;
    }

    ScanState state() const { return state_; }
    unsigned row() const { return row_; }
    unsigned item() const {
        if (state_ == ScanState::resting || (is_offered() && shown() == 0)) return 0;
        if (state_ == ScanState::moving) return taken_;
        if (def_.style == ScanStyle::two_switch) return offered_ % shown();
        const unsigned in_pass = offered_ % pass();
        const unsigned first = def_.period_ms + def_.first_extra_ms;
        return in_pass < first ? 0 : 1 + (in_pass - first) / def_.period_ms;
    }

private:
    bool is_offered() const { return state_ == ScanState::top || state_ == ScanState::cells; }
    unsigned shown() const {
        if (state_ == ScanState::top) return counts_.top;
        return counts_.cells_of(row_) + ((def_.flags & k_scan_back_item) != 0 ? 1 : 0);
    }
    bool runs() const {
        return is_offered() && def_.style != ScanStyle::two_switch &&
               (def_.style == ScanStyle::automatic || is_held_);
    }
    /// What a whole round is: ms, or presses of the first of two switches.
    unsigned pass() const {
        if (def_.style == ScanStyle::two_switch) return shown();
        return shown() * def_.period_ms + def_.first_extra_ms;
    }
    void look_at_rounds() {
        const unsigned rounds = state_ == ScanState::cells ? def_.row_rounds : def_.rounds;
        if (rounds != 0 && offered_ >= rounds * pass()) out();
    }
    void go(ScanState state, unsigned row) {
        state_ = state;
        row_ = row;
        offered_ = 0;
        if (state == ScanState::resting) is_held_ = false;
    }
    void out() {
        if (state_ == ScanState::cells) {
            said_ = {ScanAct::back, row_, 0};
            go(ScanState::top, 0);
        } else if (state_ != ScanState::resting) {
            said_ = state_ == ScanState::moving ? Said{ScanAct::end_motion, 0, taken_}
                                                : Said{ScanAct::rest, 0, 0};
            go(ScanState::resting, 0);
        }
    }
    void over() {
        is_held_ = false;
        go((def_.flags & k_scan_again) != 0 ? ScanState::top : ScanState::resting, 0);
    }
    void take() {
        const unsigned what = item();
        is_held_ = false;
        if (state_ == ScanState::cells && what == counts_.cells_of(row_)) {
            out();
        } else if (state_ == ScanState::cells || kind_ == ScanKind::list) {
            said_ = {ScanAct::item, row_, what};
            over();
        } else if (kind_ == ScanKind::rows) {
            said_ = {ScanAct::row, what, 0};
            go(ScanState::cells, what);
        } else {
            said_ = {ScanAct::begin_motion, 0, what};
            taken_ = what;
            go(ScanState::moving, 0);
        }
    }
    /// What both switches do in these two states. False in the others.
    bool starts_or_stops() {
        if (state_ == ScanState::moving) {
            said_ = {ScanAct::end_motion, 0, taken_};
            over();
            return true;
        }
        if (state_ == ScanState::resting && counts_.top != 0)
            go(ScanState::top, 0);
        else if (state_ != ScanState::resting)
            return false;
        return true;
    }
    void second_switch() {
        if (!starts_or_stops()) take();
    }
    void first_switch() {
        const bool was_moving = state_ == ScanState::moving;
        if (!starts_or_stops()) {
            if (def_.style == ScanStyle::automatic) take();
            if (def_.style == ScanStyle::two_switch) {
                ++offered_;
                look_at_rounds();
            }
        }
        if (def_.style == ScanStyle::hold && !was_moving && is_offered()) is_held_ = true;
    }

    const ScanDef& def_;
    const ScanKind kind_;
    const Counts counts_;
    Said said_;
    ScanState state_ = ScanState::resting;
    unsigned row_ = 0, taken_ = 0;
    unsigned offered_ = 0;  ///< ms or presses since the first item of this state was offered
    bool is_held_ = false;
};

}  // namespace fettle::engine::scan_model
