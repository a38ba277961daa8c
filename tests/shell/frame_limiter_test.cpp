#include "app/shell/frame_limiter.hpp"

#include <doctest/doctest.h>

namespace fettle::app {
namespace {

/// Frames in one second when `each_us` something calls `what`; the wait is slept to its end.
template <typename What>
int frames_in_a_second(FrameLimiter& limiter, std::int64_t each_us, bool wants_frame, What what) {
    int frames = 0;
    std::int64_t next_us = 0;
    for (std::int64_t now_us = 0; now_us < 1'000'000; now_us += 100) {
        if (each_us > 0 && now_us >= next_us) {
            what();
            next_us += each_us;
        }
        if (limiter.wait_us(now_us, wants_frame) > 0) continue;
        limiter.note_frame(now_us);
        ++frames;
    }
    return frames;
}

}  // namespace

TEST_CASE("pace: the first frame waits for nothing") {
    CHECK(FrameLimiter().wait_us(0, false) == 0);
    CHECK(FrameLimiter().wait_us(123456789, false) == 0);
}

TEST_CASE("pace: with nothing to show one frame a second") {
    FrameLimiter limiter;
    CHECK(frames_in_a_second(limiter, 0, false, [] {}) == 1);
    CHECK(limiter.wait_us(400'000, false) == 600'000);
}

TEST_CASE("pace: 1000 pieces of news a second are at most 31 frames") {
    FrameLimiter limiter;
    const int frames = frames_in_a_second(limiter, 1000, false, [&] { limiter.note_news(); });
    CHECK(frames >= 29);
    CHECK(frames <= 31);
}

TEST_CASE("pace: 1000 inputs a second are at most 61 frames") {
    FrameLimiter limiter;
    const int frames = frames_in_a_second(limiter, 1000, false, [&] { limiter.note_input(); });
    CHECK(frames >= 58);
    CHECK(frames <= 61);
}

TEST_CASE("pace: controls that want frames get about 30 a second") {
    FrameLimiter limiter;
    const int frames = frames_in_a_second(limiter, 0, true, [] {});
    CHECK(frames >= 29);
    CHECK(frames <= 31);
}

TEST_CASE("pace: an input after a long rest is drawn at once, and two frames settle after it") {
    FrameLimiter limiter;
    limiter.note_frame(0);
    limiter.note_input();
    CHECK(limiter.wait_us(500'000, false) == 0);
    limiter.note_frame(500'000);
    CHECK(limiter.wait_us(500'000, false) == 16'666);
    limiter.note_frame(516'666);
    CHECK(limiter.wait_us(516'666, false) == 16'666);
    limiter.note_frame(533'332);
    CHECK(limiter.wait_us(533'332, false) == 1'000'000);
}

TEST_CASE("pace: news that came while a frame was drawn is not lost") {
    FrameLimiter limiter;
    limiter.note_frame(0);
    limiter.note_news();
    CHECK(limiter.wait_us(10'000, false) == 23'333);
    limiter.note_frame(40'000);
    CHECK(limiter.wait_us(40'000, false) == 1'000'000);
}

}  // namespace fettle::app
