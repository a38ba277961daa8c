// What holds an infrared input down, what lets go of it, and what is a new press.

#include <doctest/doctest.h>

#include "tests/engine/remote_rig.hpp"

namespace fettle::engine {
namespace {

using namespace remote_rig;
using Lines = std::vector<std::string>;

const IrFrame k_nec = make_frame(Protocol::nec, 0x00, 0x45);
const IrFrame k_other_nec = make_frame(Protocol::nec, 0x00, 0x46);

/// After every test: silence, and nothing is down.
void check_rest(Rig& rig) {
    rig.run_before(rig.now_ms + 3000);
    CHECK(rig.level == k_no_input);
    CHECK(rig.remote.input() == k_no_input);
}

TEST_CASE("NEC: down from the first frame, 5 ms after it ended, and up 150 ms after its end") {
    Rig rig;
    const RemoteHeard heard = rig.hear(3, k_nec, 100.0, 150);
    CHECK(heard.input == 3);
    CHECK(heard.is_new_press);
    CHECK(heard.lost == 0);
    rig.run_before(400);
    CHECK(rig.happened == Lines{"105 down 3", "250 up 3"});
    check_rest(rig);
}

TEST_CASE("holdover: counts from the end of the last frame, to the microsecond") {
    for (const uint32_t end_us : {100000u, 100001u, 100999u}) {
        CAPTURE(end_us);
        Remote remote;
        remote.reset();
        remote.frame(3, k_nec, end_us, 150);
        CHECK(remote.tick(end_us + 5000) == 3);
        CHECK(remote.tick(end_us + 149999) == 3);
        CHECK(remote.tick(end_us + 150000) == k_no_input);
        CHECK(remote.input() == k_no_input);
    }
}

TEST_CASE("NEC: a hold of 20 repeat frames is one press, up 150 ms after the last") {
    Rig rig;
    rig.hear(3, k_nec, k_nec_whole_ms, 150);
    for (int n = 1; n <= 20; ++n) {
        const RemoteHeard heard = rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(n), 0);
        CHECK(heard.input == 3);
        CHECK_FALSE(heard.is_new_press);
    }
    // The last one ends at 20 * 108 + 11.813 = 2171.813; the first tick that is 150 ms later is 2322.
    rig.run_before(3000);
    CHECK(rig.happened == Lines{"74 down 3", "2322 up 3"});
    check_rest(rig);
}

TEST_CASE("NEC: a repeat that ends 1 ms inside the holdover holds on, 1 ms outside it does not") {
    for (const bool is_inside : {true, false}) {
        CAPTURE(is_inside);
        Rig rig;
        rig.hear(3, k_nec, 100, 150);
        const RemoteHeard heard = rig.hear(k_no_input, nec_repeat(), is_inside ? 249 : 251, 0);
        CHECK(heard.input == 3);
        CHECK_FALSE(heard.is_new_press);
        rig.run_before(600);
        // Told 5 ms after its end, the repeat finds the input let go at 250: it comes down again. (From start
        // to start these are two periods, so one repeat was lost.)
        const Lines inside = {"105 down 3", "250 up 3", "254 lost 1 of 3", "254 down 3", "399 up 3"};
        const Lines outside = {"105 down 3", "250 up 3", "256 lost 1 of 3"};
        CHECK(rig.happened == (is_inside ? inside : outside));
        check_rest(rig);
    }
}

TEST_CASE("NEC: a repeat frame with nothing before it, or after another protocol, is ignored") {
    Rig rig;
    CHECK(rig.hear(k_no_input, nec_repeat(), 50, 0).input == k_no_input);
    CHECK(rig.happened.empty());
    rig.hear(1, make_frame(Protocol::rc5, 5, 16, 0), 200, 150);
    CHECK(rig.hear(k_no_input, nec_repeat(), 300, 0).input == k_no_input);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"205 down 1", "350 up 1"});
    check_rest(rig);
}

TEST_CASE("NEC: repeats go on after a frame of extended NEC too") {
    Rig rig;
    rig.hear(2, make_frame(Protocol::necx, 0x866B, 0x18), k_nec_whole_ms, 150);
    CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(1), 0).input == 2);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"74 down 2", "270 up 2"});
    check_rest(rig);
}

TEST_CASE("NEC: a whole frame of a remote that sends repeat frames is a new press: up for one tick") {
    Rig rig;
    rig.hear(3, k_nec, k_nec_whole_ms, 150);
    rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(1), 0);
    CHECK(rig.hear(3, k_nec, 216 + k_nec_whole_ms - 30, 150).is_new_press);
    CHECK(rig.remote.input() == 3);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"74 down 3", "260 up 3", "261 down 3", "405 up 3"});
    check_rest(rig);
}

TEST_CASE("NEC: a remote that never sent a repeat frame holds by whole frames") {
    Rig rig;
    for (int n = 0; n < 5; ++n) {
        const RemoteHeard heard = rig.hear(3, k_nec, n * k_nec_period_ms + k_nec_whole_ms, 150);
        CHECK(heard.is_new_press == (n == 0));
    }
    rig.run_before(1000);
    CHECK(rig.happened == Lines{"74 down 3", "651 up 3"});
    check_rest(rig);
}

TEST_CASE("NEC: repeat frames of one remote say nothing of another remote's address") {
    Rig rig;
    rig.hear(3, k_nec, k_nec_whole_ms, 150);
    rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(1), 0);
    const IrFrame other = make_frame(Protocol::nec, 0x77, 0x01);
    CHECK(rig.hear(4, other, 1000, 150).is_new_press);
    CHECK_FALSE(rig.hear(4, other, 1108, 150).is_new_press);
    check_rest(rig);
}

TEST_CASE("another button: the first is up in the tick in which the second is down") {
    Rig rig;
    rig.hear(3, k_nec, 100, 150);
    CHECK(rig.hear(4, k_other_nec, 200, 150).is_new_press);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"105 down 3", "205 up 3", "205 down 4", "350 up 4"});
    check_rest(rig);
}

TEST_CASE("a button that nobody was taught ends the one that was down, and its repeats hold nothing") {
    Rig rig;
    rig.hear(3, k_nec, 100, 150);
    CHECK(rig.hear(k_no_input, k_other_nec, 200, 0).input == k_no_input);
    CHECK(rig.hear(k_no_input, nec_repeat(), 252, 0).input == k_no_input);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"105 down 3", "205 up 3"});
    check_rest(rig);
}

TEST_CASE("RC-5: the same toggle holds, another toggle is a new press of the same button") {
    Rig rig;
    const IrFrame even = make_frame(Protocol::rc5, 5, 16, 0), odd = make_frame(Protocol::rc5, 5, 16, 1);
    CHECK(rig.hear(1, even, 100, 200).is_new_press);
    CHECK_FALSE(rig.hear(1, even, 214, 200).is_new_press);
    CHECK(rig.hear(1, odd, 328, 200).is_new_press);
    CHECK_FALSE(rig.hear(1, odd, 442, 200).is_new_press);
    rig.run_before(1000);
    CHECK(rig.happened == Lines{"105 down 1", "333 up 1", "334 down 1", "642 up 1"});
    check_rest(rig);
}

TEST_CASE("RC-6: toggles as RC-5; the other button with the other toggle is one change, not two") {
    Rig rig;
    rig.hear(1, make_frame(Protocol::rc6, 4, 16, 0), 100, 200);
    rig.hear(2, make_frame(Protocol::rc6, 4, 17, 1), 207, 200);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"105 down 1", "212 up 1", "212 down 2", "407 up 2"});
    check_rest(rig);
}

TEST_CASE("SIRC: three frames 45 ms apart are one press; a frame after the holdover is another") {
    Rig rig;
    const IrFrame frame = make_frame(Protocol::sirc12, 1, 21);
    for (const double end_ms : {20.0, 65.0, 110.0}) rig.hear(1, frame, end_ms, 100);
    CHECK(rig.hear(1, frame, 300, 100).is_new_press);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"25 down 1", "210 up 1", "305 down 1", "400 up 1"});
    check_rest(rig);
}

TEST_CASE("SIRC: a frame that ends 99 ms after the last goes on, 100 ms after the last is a new press") {
    for (const bool is_inside : {true, false}) {
        CAPTURE(is_inside);
        Remote remote;
        remote.reset();
        const IrFrame frame = make_frame(Protocol::sirc12, 1, 21);
        remote.frame(1, frame, 20000, 100);
        CHECK(remote.tick(25000) == 1);
        // Told before the tick that would have let go.
        CHECK(remote.frame(1, frame, is_inside ? 119000 : 120000, 100).is_new_press == !is_inside);
        CHECK(remote.tick(120000) == (is_inside ? 1 : k_no_input));
        CHECK(remote.tick(121000) == 1);
    }
}

TEST_CASE("JVC: frames without a leader hold the button that was headed, and no other") {
    Rig rig;
    const IrFrame headed = make_frame(Protocol::jvc, 3, 5), other_headed = make_frame(Protocol::jvc, 3, 6);
    IrFrame bare = headed, other_bare = other_headed;
    bare.repeat = other_bare.repeat = true;
    CHECK(rig.hear(1, bare, 10, 120).input == k_no_input);
    rig.hear(1, headed, 100, 120);
    CHECK(rig.hear(1, bare, 142, 120).input == 1);
    CHECK(rig.hear(2, other_bare, 160, 120).input == k_no_input);
    CHECK(rig.hear(1, bare, 197, 120).input == 1);
    CHECK(rig.hear(1, headed, 280, 120).is_new_press);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"105 down 1", "285 up 1", "286 down 1", "400 up 1"});
    check_rest(rig);
}

TEST_CASE("holdover 0: each frame is down for one tick") {
    Rig rig;
    const IrFrame frame = make_frame(Protocol::samsung32, 7, 2);
    rig.hear(1, frame, 100, 0);
    CHECK(rig.hear(1, frame, 208, 0).is_new_press);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"105 down 1", "106 up 1", "213 down 1", "214 up 1"});
    check_rest(rig);
}

TEST_CASE(
    "holdover 30: a frame that is told of 70 ms late and goes on with the last one is down for one tick") {
    Remote remote;
    remote.reset();
    const IrFrame frame = make_frame(Protocol::sharp, 1, 22);
    remote.frame(1, frame, 100000, 30);
    CHECK(remote.tick(170000) == 1);
    CHECK(remote.tick(171000) == k_no_input);
    CHECK_FALSE(remote.frame(1, frame, 125000, 30).is_new_press);
    CHECK(remote.tick(195000) == 1);
    CHECK(remote.tick(196000) == k_no_input);
}

TEST_CASE("Sharp is told 70 ms after its message: its end counts, not the telling") {
    Rig rig;
    rig.run_before(200);
    rig.remote.frame(1, make_frame(Protocol::sharp, 1, 22), rig.at_us(130), 100);
    rig.run_before(400);
    CHECK(rig.happened == Lines{"200 down 1", "230 up 1"});
    check_rest(rig);
}

TEST_CASE("another profile gives the button that is down number 7: its repeats hold 7, a rest forgets it") {
    Rig rig;
    rig.remote.renumber(5);  // nothing is down: nothing to rename
    CHECK(rig.remote.input() == k_no_input);
    rig.hear(3, k_nec, k_nec_whole_ms, 150);
    rig.remote.renumber(7);
    CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(1), 0).input == 7);
    rig.run_before(600);
    CHECK(rig.happened == Lines{"74 down 3", "75 up 3", "75 down 7", "270 up 7"});
    check_rest(rig);
}

TEST_CASE("heard_after: only a frame that ended after the moment asked about counts") {
    Rig rig;
    rig.hear(3, k_nec, 100, 150);
    CHECK(rig.remote.heard_us() == rig.at_us(100));
    CHECK(rig.remote.heard_after(rig.at_us(99.9)));
    CHECK_FALSE(rig.remote.heard_after(rig.at_us(100)));
    rig.hear(k_no_input, nec_repeat(), 152.3, 0);
    CHECK(rig.remote.heard_after(rig.at_us(100)));
    CHECK(rig.remote.heard_after(rig.at_us(152.2)));
    CHECK_FALSE(rig.remote.heard_after(rig.at_us(152.4)));
    rig.run_before(400);
    CHECK_FALSE(rig.remote.heard_after(rig.at_us(0)));
    check_rest(rig);
}

TEST_CASE("a pause of 71.6 minutes, when the clock comes round, brings nothing back") {
    Remote remote;
    remote.reset();
    remote.frame(3, k_nec, 100000, 150);
    for (uint32_t ms = 105; ms < 2000; ++ms) remote.tick(ms * 1000);
    CHECK(remote.tick(100000u + 5000u) == k_no_input);  // 2^32 us later
    CHECK(remote.frame(k_no_input, nec_repeat(), 152000, 0).input == k_no_input);
    CHECK(remote.tick(158000) == k_no_input);
}

}  // namespace
}  // namespace fettle::engine
