// Source: the table on top of app/desk/station_state.cpp, written down a second time.
#include "app/desk/station_state.hpp"

#include <doctest/doctest.h>

using namespace fettle::app;

namespace {

using S = LinkState;
constexpr auto k_no = static_cast<S>(99);
// Rows: states. Columns: found, missing, opened, refused, greeted, heard, silent, gone, let_go, closed.
constexpr S k_table[k_link_states][k_link_events] = {
    {S::opening, S::absent, k_no, k_no, k_no, k_no, k_no, k_no, S::absent, k_no},
    {S::opening, S::absent, S::greeting, S::opening, k_no, k_no, k_no, k_no, S::absent, k_no},
    {k_no, k_no, k_no, k_no, S::live, k_no, k_no, S::closing, S::closing, k_no},
    {k_no, k_no, k_no, k_no, k_no, S::live, S::stale, S::closing, S::closing, k_no},
    {k_no, k_no, k_no, k_no, k_no, S::live, S::stale, S::closing, S::closing, k_no},
    {k_no, k_no, k_no, k_no, k_no, k_no, k_no, S::closing, S::closing, S::absent},
};

}  // namespace

TEST_CASE("station state: all 60 pairs of state and event lead where the table says, 38 of them nowhere") {
    int nowhere = 0;
    for (int state = 0; state < k_link_states; ++state)
        for (int event = 0; event < k_link_events; ++event) {
            CAPTURE(state);
            CAPTURE(event);
            const auto next = next_state(static_cast<S>(state), static_cast<LinkEvent>(event));
            CHECK(next.value_or(k_no) == k_table[state][event]);
            nowhere += next ? 0 : 1;
        }
    CHECK(nowhere == 38);
}

TEST_CASE(
    "station state: a beat 1,000 ms old leaves live as it is, 1,001 ms make it stale, absent stays absent") {
    DeviceNow now;
    now.beat_ms = 5000;
    for (const S state : {S::opening, S::greeting, S::live}) {
        now.state = state;
        CHECK(seen_state(now, 6000) == state);
        CHECK(seen_state(now, 6001) == S::stale);
        CHECK(seen_state(now, 4000) == state);
    }
    for (const S state : {S::absent, S::stale, S::closing}) {
        now.state = state;
        CHECK(seen_state(now, 600000) == state);
    }
}
