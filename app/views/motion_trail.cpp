#include "app/views/motion_trail.hpp"

#include <algorithm>
#include <cstdlib>

#include "app/desk/movers.hpp"
#include "core/engine/actions.hpp"
#include "core/trace/report_shape.hpp"

namespace fettle::app {

namespace {

using engine::EventKind;

constexpr std::size_t k_most_new = 20000;    ///< events at once: what is older is left out
constexpr std::int64_t k_after_us = 100000;  ///< reports that still belong to a hold that ended
constexpr double k_longest_us = 60e6;        ///< what is kept of one hold

}  // namespace

void MotionTrail::follow(const trace::Roll& roll, const HoldQuestion& question) {
    reports_.clear();
    if (!has_begun_ || roll.size() < next_) {
        has_begun_ = true;
        next_ = roll.size();
        hold_.reset();
    }
    if (motion_ != question.motion) {
        motion_ = question.motion;
        hold_.reset();
    }
    if (roll.size() - next_ > k_most_new) {
        next_ = roll.size() - k_most_new;
        hold_.reset();
    }
    if (next_ == roll.size()) return;
    trace::Roll::Walk walk = roll.walk(next_);
    trace::Moment moment;
    while (walk.next(moment)) take(moment, question);
    next_ = roll.size();
}

void MotionTrail::take(const trace::Moment& moment, const HoldQuestion& question) {
    const engine::Event& event = moment.event;
    if (event.kind == EventKind::gesture) take_gesture(moment, question);
    if (event.kind == EventKind::report) take_report(moment);
    if (trace::is_gap(event) && hold_ && hold_->is_running()) hold_.reset();  // what was sent is not known
    const bool ends = event.kind == EventKind::action &&
                      event.data[2] == static_cast<std::uint8_t>(engine::ActionPhase::end);
    if (ends && hold_ && hold_->is_running() && event.data[0] == hold_->input) hold_->ended_us = moment.at_us;
    const bool all_end = event.kind == EventKind::released || event.kind == EventKind::snapshot;
    if (all_end && hold_ && hold_->is_running()) hold_->ended_us = moment.at_us;
}

void MotionTrail::take_gesture(const trace::Moment& moment, const HoldQuestion& question) {
    const engine::Event& event = moment.event;
    if (question.runs == nullptr || event.data[0] >= question.runs->inputs.size()) return;
    if (hold_ && hold_->is_running()) return;  // joins the hold that runs
    const auto* action = action_of(*question.runs, event.data[2], question.runs->inputs[event.data[0]].name,
                                   static_cast<engine::Gesture>(event.data[1]));
    const auto* move = action != nullptr ? std::get_if<profile::Move>(action) : nullptr;
    if (move == nullptr || move->motion != question.motion) return;
    hold_ = SentHold{event.data[0], moment.at_us, std::nullopt, {{0, 0}}};
}

void MotionTrail::take_report(const trace::Moment& moment) {
    const auto shape = trace::report_shape(moment.event);
    if (shape != trace::ReportShape::mouse && shape != trace::ReportShape::boot_mouse) return;
    const trace::Movement moved = trace::movement(moment.event);
    const std::uint8_t buttons = moment.event.data[shape == trace::ReportShape::mouse ? 3 : 2];
    reports_.push_back({moment.at_us, moved.x, moved.y, buttons});
    if (!hold_ || (moved.x == 0 && moved.y == 0)) return;
    if (hold_->ended_us && moment.at_us > *hold_->ended_us + k_after_us) return;
    const double along = std::max(std::abs(moved.x), std::abs(moved.y));
    const double at = static_cast<double>(std::max<std::int64_t>(0, moment.at_us - hold_->began_us));
    if (at > k_longest_us) return;
    // A step: it stood where it was until the report.
    hold_->way.push_back({std::max(at, hold_->way.back().x), hold_->way.back().y + along});
}

}  // namespace fettle::app
