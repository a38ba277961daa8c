#include "core/measure/level_times.hpp"

#include <algorithm>

#include "core/engine/bytes.hpp"

namespace fettle::measure {

using engine::Event;
using engine::EventKind;
using engine::PressOutcome;

namespace {

enum class Level : std::uint8_t { unknown, up, down };

class Listening {
public:
    Listening(std::uint8_t input, const std::function<void(LevelNews, std::int64_t)>& hear)
        : input_(input), hear_(hear) {}

    void take(std::int64_t at_us, const Event& event) {
        const std::int64_t before_us = last_us_;
        last_us_ = has_any_ ? std::max(last_us_, at_us) : at_us;
        if (trace::is_gap(event) || event.kind == EventKind::lost) {
            if (has_any_ && level_ != Level::unknown) hear_(LevelNews::gap, before_us);
            level_ = Level::unknown;
        }
        has_any_ = true;
        const std::uint8_t* d = event.data;
        if (event.kind == EventKind::level && d[0] == input_) went(d[1] != 0);
        if (event.kind == EventKind::snapshot && level_ == Level::unknown) found(d);
        if (event.kind == EventKind::released || event.kind == EventKind::variant)
            hear_(LevelNews::let_go, last_us_);
        if (event.kind == EventKind::press && d[0] == input_ &&
            static_cast<PressOutcome>(d[1]) == PressOutcome::hold_limit)
            hear_(LevelNews::hold_limit, last_us_);
    }

private:
    void went(bool is_down) {
        const Level now = is_down ? Level::down : Level::up;
        if (now == level_) return;
        level_ = now;
        hear_(is_down ? LevelNews::went_down : LevelNews::went_up, last_us_);
    }
    void found(const std::uint8_t* d) {
        const std::uint32_t down = engine::get16(d + 6) | static_cast<std::uint32_t>(d[8]) << 16;
        level_ = (down >> input_ & 1) != 0 ? Level::down : Level::up;
        hear_(level_ == Level::down ? LevelNews::is_down : LevelNews::is_up, last_us_);
    }

    std::uint8_t input_;
    const std::function<void(LevelNews, std::int64_t)>& hear_;
    std::int64_t last_us_ = 0;
    bool has_any_ = false;
    Level level_ = Level::unknown;
};

}  // namespace

std::int64_t for_level(const trace::Roll& roll, std::uint8_t input, std::int64_t from_us, std::int64_t to_us,
                       const std::function<void(LevelNews news, std::int64_t us)>& hear) {
    if (input >= engine::k_max_inputs) return 0;
    Listening listening(input, hear);
    trace::Moment moment;
    for (auto walk = roll.walk_between(from_us, to_us); walk.next(moment);)
        listening.take(moment.at_us, moment.event);
    return std::min(roll.last_us(), to_us);
}

}  // namespace fettle::measure
