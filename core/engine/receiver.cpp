#include "core/engine/receiver.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint16_t k_longest_us = 0xFFFF;
}

void Receiver::reset() {
    infrared_.reset();
    last_us_ = 0;
    is_mark_ = false;
    is_long_quiet_ = false;
    is_started_ = false;
}

/// The microsecond clock wraps after 71 minutes: a longer silence is a flag, not a difference.
uint16_t Receiver::since(uint32_t now_us) const {
    if (is_long_quiet_) return k_longest_us;
    const uint32_t us = now_us - last_us_;
    return us < k_longest_us ? static_cast<uint16_t>(us) : k_longest_us;
}

void Receiver::note(const Edge& edge) {
    last_us_ = edge.at_us;
    is_mark_ = edge.level != 0;
    is_long_quiet_ = false;
    is_started_ = true;
}

bool Receiver::edge(const Edge& edge, IrFrame& frame, uint32_t& end_us) {
    const bool is_mark = edge.level != 0;
    bool is_frame = false;
    if (is_mark == is_mark_ && is_started_) {
        infrared_.reset();  // an edge is missing: what was collected is worth nothing
    } else if (is_started_) {
        end_us = last_us_;
        is_frame = infrared_.width(is_mark_, since(edge.at_us), frame);
    }
    note(edge);
    return is_frame;
}

bool Receiver::quiet(uint32_t now_us, IrFrame& frame, uint32_t& end_us) {
    if (is_long_quiet_ || is_mark_) return false;
    if (!is_started_) {
        last_us_ = now_us;
        is_started_ = true;
        return false;
    }
    const uint16_t us = since(now_us);
    if (us == k_longest_us) is_long_quiet_ = true;
    end_us = last_us_;
    return infrared_.silence(us, frame);
}

void Receiver::noise(const Edge& last) {
    infrared_.reset();
    note(last);
}

}  // namespace engine
}  // namespace fettle
