// How many repeats were lost, so that a weak battery is seen before anybody doubts themself.

#include <doctest/doctest.h>

#include "tests/engine/remote_rig.hpp"

namespace fettle::engine {
namespace {

using namespace remote_rig;

const IrFrame k_nec = make_frame(Protocol::nec, 0x00, 0x45);

TEST_CASE("NEC: 1 to 4 repeats lost in a row are counted, from the whole frame and from a repeat") {
    for (int lost = 0; lost <= 4; ++lost) {
        CAPTURE(lost);
        Rig rig;
        rig.hear(3, k_nec, k_nec_whole_ms, 1000);
        const int first = 1 + lost;
        CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(first), 0).lost == lost);
        CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(first + 1), 0).lost == 0);
        CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(first + 2 + lost), 0).lost == lost);
    }
}

TEST_CASE("NEC, holdover 250: one lost repeat is bridged and counted, the press goes on") {
    Rig rig;
    rig.hear(3, k_nec, k_nec_whole_ms, 250);
    rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(1), 0);
    rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(3), 0);
    rig.run_before(1000);
    CHECK(rig.happened == std::vector<std::string>{"74 down 3", "341 lost 1 of 3", "586 up 3"});
}

TEST_CASE(
    "NEC, holdover 150: after one lost repeat the press is over; the loss is counted, the press stays over") {
    Rig rig;
    rig.hear(3, k_nec, k_nec_whole_ms, 150);
    rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(1), 0);
    rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(3), 0);
    CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(4), 0).lost == 0);
    rig.run_before(1000);
    CHECK(rig.happened == std::vector<std::string>{"74 down 3", "270 up 3", "341 lost 1 of 3"});
}

TEST_CASE("NEC: an extended frame of 16 ones, 18 ms longer than one of 16 zeros, loses nothing") {
    for (const double whole_ms : {k_nec_whole_ms - 9, k_nec_whole_ms, k_nec_whole_ms + 9}) {
        CAPTURE(whole_ms);
        Rig rig;
        rig.hear(3, make_frame(Protocol::necx, 0xFFFF, 1), whole_ms, 500);
        CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(1), 0).lost == 0);
        CHECK(rig.hear(k_no_input, nec_repeat(), nec_repeat_end_ms(3), 0).lost == 1);
    }
}

// Periods. Sources: Linux 6.1, drivers/media/rc (rc5 114); infraredremotes.com (SIRC 45); RC-6, JVC and
// Samsung from memory.
TEST_CASE("each protocol's own period: 1, 2 and 3 frames lost are counted, at periods 7 % short and long") {
    struct Case {
        IrFrame frame;
        double period_ms;
    };
    const Case cases[] = {
        {make_frame(Protocol::rc5, 5, 16, 0), 113.8}, {make_frame(Protocol::rc6, 4, 16, 1), 106.7},
        {make_frame(Protocol::sirc12, 1, 21), 45},    {make_frame(Protocol::sirc15, 84, 21), 45},
        {make_frame(Protocol::sirc20, 26, 73), 45},   {make_frame(Protocol::samsung32, 7, 2), 108}};
    for (const Case& c : cases) {
        for (const double clock : {0.93, 1.0, 1.07}) {
            const int protocol = static_cast<int>(c.frame.protocol);
            CAPTURE(protocol);
            CAPTURE(clock);
            const double period_ms = c.period_ms * clock;
            Rig rig;
            double end_ms = 100;
            rig.hear(1, c.frame, end_ms, 1000);
            for (const int lost : {0, 1, 2, 0, 3}) {
                end_ms += (lost + 1) * period_ms;
                CHECK(rig.hear(1, c.frame, end_ms, 1000).lost == lost);
            }
        }
    }
}

TEST_CASE("JVC: the leader, 12.6 ms of the first frame, does not count into the first period") {
    Rig rig;
    const IrFrame headed = make_frame(Protocol::jvc, 3, 5);
    IrFrame bare = headed;
    bare.repeat = true;
    rig.hear(1, headed, 34.125, 400);
    CHECK(rig.hear(1, bare, 55 + 21.525, 400).lost == 0);
    CHECK(rig.hear(1, bare, 165 + 21.525, 400).lost == 1);
}

TEST_CASE("a signature has no period of its own: it is observed, anew with each press") {
    IrFrame frame = make_frame(Protocol::unknown, 0, 0);
    frame.signature = 0x12345678;
    Rig rig;
    rig.hear(1, frame, 100, 400);
    CHECK(rig.hear(1, frame, 190, 400).lost == 0);
    CHECK(rig.hear(1, frame, 370, 400).lost == 1);
    CHECK(rig.hear(1, frame, 460, 400).lost == 0);
    rig.run_before(1500);
    // Another remote with another signature, two and a half times as slow.
    frame.signature = 0x9ABCDEF0;
    rig.hear(2, frame, 1600, 400);
    CHECK(rig.hear(2, frame, 1825, 400).lost == 0);
    CHECK(rig.hear(2, frame, 2050, 400).lost == 0);
}

TEST_CASE("a signature: a first gap that hid a loss is corrected by the next shorter one") {
    IrFrame frame = make_frame(Protocol::unknown, 0, 0);
    frame.signature = 0x12345678;
    Rig rig;
    rig.hear(1, frame, 100, 400);
    CHECK(rig.hear(1, frame, 280, 400).lost == 0);  // it was 2 periods: nobody can know
    CHECK(rig.hear(1, frame, 370, 400).lost == 0);
    CHECK(rig.hear(1, frame, 550, 400).lost == 1);
}

TEST_CASE("RC-5: the same toggle after the holdover was over: a new press, and the losses are certain") {
    Rig rig;
    const IrFrame frame = make_frame(Protocol::rc5, 5, 16, 1);
    rig.hear(1, frame, 100, 150);
    const RemoteHeard heard = rig.hear(1, frame, 100 + 3 * 114, 150);
    CHECK(heard.is_new_press);
    CHECK(heard.lost == 2);
    const RemoteHeard again = rig.hear(1, make_frame(Protocol::rc5, 5, 16, 0), 900, 150);
    CHECK(again.is_new_press);
    CHECK(again.lost == 0);
}

TEST_CASE("SIRC: after the holdover nobody can tell a loss from another press: none is counted") {
    Rig rig;
    const IrFrame frame = make_frame(Protocol::sirc12, 1, 21);
    rig.hear(1, frame, 100, 100);
    CHECK(rig.hear(1, frame, 100 + 4 * 45, 100).lost == 0);
}

TEST_CASE("a pause of more than 1.5 s is another press, not 13 lost repeats") {
    Rig rig;
    const IrFrame frame = make_frame(Protocol::rc5, 5, 16, 1);
    rig.hear(1, frame, 100, 150);
    CHECK(rig.hear(1, frame, 1800, 150).lost == 0);
}

}  // namespace
}  // namespace fettle::engine
