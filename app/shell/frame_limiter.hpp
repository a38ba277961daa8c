#pragma once
// When the next frame is drawn: soon after a key or the pointer, at a steady rate while data flows, seldom
// otherwise. Pure: times are arguments. Unit: us of any clock that never goes back.

#include <cstdint>

namespace fettle::app {

struct FramePace {
    std::int64_t busiest_us = 1'000'000 / 60;  ///< between two frames, whatever happens
    std::int64_t news_us = 1'000'000 / 30;     ///< between two frames that only data asked for
    std::int64_t idle_us = 1'000'000;          ///< longest between two frames: seconds left count down
    int settle_frames = 2;                     ///< drawn after the last input: layouts settle in them
};

class FrameLimiter {
public:
    explicit FrameLimiter(FramePace pace = {}) : pace_(pace) {}

    void note_input() { frames_owed_ = pace_.settle_frames + 1; }  ///< key, pointer, size, exposure
    void note_news() { has_news_ = true; }                         ///< device or worker has something

    /// How long to wait for events before a frame is drawn; 0: now. wants_frame: the controls asked for one.
    std::int64_t wait_us(std::int64_t now_us, bool wants_frame) const;
    /// A frame was begun.
    void note_frame(std::int64_t now_us);

private:
    FramePace pace_;
    int frames_owed_ = 1;
    bool has_news_ = false;
    bool has_drawn_ = false;
    std::int64_t last_us_ = 0;
};

}  // namespace fettle::app
