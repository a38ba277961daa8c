#include "app/shell/frame_limiter.hpp"

#include <algorithm>

namespace fettle::app {

std::int64_t FrameLimiter::wait_us(std::int64_t now_us, bool wants_frame) const {
    if (!has_drawn_) return 0;
    const std::int64_t between = frames_owed_ > 0           ? pace_.busiest_us
                                 : wants_frame || has_news_ ? pace_.news_us
                                                            : pace_.idle_us;
    return std::max<std::int64_t>(0, last_us_ + between - now_us);
}

void FrameLimiter::note_frame(std::int64_t now_us) {
    last_us_ = now_us;
    has_drawn_ = true;
    has_news_ = false;
    frames_owed_ = std::max(0, frames_owed_ - 1);
}

}  // namespace fettle::app
