#include "app/sim_script.hpp"

#include <doctest/doctest.h>

#include "core/profile/document.hpp"
#include "tests/app/rig.hpp"

namespace fettle::app::test {
namespace {

using Kind = ScriptStep::Kind;

Result<Script> parsed(const std::string& text, const std::string& folder = "/nowhere") {
    static const auto volunteer = profile::load_file(demo_profile("volunteer")).value();
    return parse_script(text, volunteer, folder);
}

ScriptStep one(const std::string& text) {
    const auto script = parsed(text);
    REQUIRE(script);
    REQUIRE(script->steps.size() == 1);
    return script->steps[0];
}

}  // namespace

TEST_CASE("script: a press of an input, 200 ms in, 150 ms long; it ends 2 s after its last line") {
    const auto script = parsed("# a comment\n\n  at 200 press up 150  # and one behind\n").value();
    REQUIRE(script.steps.size() == 1);
    CHECK(script.steps[0].kind == Kind::press);
    CHECK(script.steps[0].at_us == 200000);
    CHECK(script.steps[0].hold_ms == 150);
    CHECK(script.steps[0].input == "up");
    CHECK(script.end_us == 200000 + 150000 + 2000000);
    CHECK(parsed("at 200 press up 150\nend 900\n").value().end_us == 900000);
    CHECK(parsed("").value().end_us == 0);
}

TEST_CASE("script: a frame of any remote, decimal and hexadecimal, 4 parts for sirc20") {
    const auto frame = one("at 900 frame necx:0x866b:0x18 300");
    CHECK(frame.kind == Kind::frame);
    CHECK(frame.frame.protocol == engine::Protocol::necx);
    CHECK(frame.frame.address == 0x866b);
    CHECK(frame.frame.command == 0x18);
    CHECK(frame.hold_ms == 300);
    CHECK(one("at 0 frame sirc20:26:21:73 1").frame.extended == 73);
}

TEST_CASE("script: edges, axes, lights, air, contact") {
    const auto edge = one("at 1500 edge 8 high");
    CHECK(edge.kind == Kind::edge);
    CHECK(edge.line == 8);
    CHECK(edge.value == 1);
    CHECK(one("at 1500 edge 0 low").value == 0);
    const auto axis = one("at 2500 axis pressure -800");
    CHECK(axis.kind == Kind::axis);
    CHECK(axis.line == 2);
    CHECK(axis.value == -800);
    CHECK(one("at 1 leds caps").value == engine::k_led_caps);
    CHECK(one("at 1 leds num").value == engine::k_led_num);
    CHECK(one("at 1 leds scroll").value == engine::k_led_scroll);
    CHECK(one("at 1 leds none").value == 0);
    const auto air = one("air jitter 40 lost 100 noise 2");
    CHECK(air.kind == Kind::air);
    CHECK(air.air.edge_jitter_us == 40);
    CHECK(air.air.lost_repeats_permille == 100);
    CHECK(air.air.noise_per_s == 2);
    CHECK(one("air").air.noise_per_s == 0);
    const auto contact = one("contact 5000 3");
    CHECK(contact.kind == Kind::contact);
    CHECK(contact.contact.bounce_us == 5000);
    CHECK(contact.contact.bounces == 3);
}

TEST_CASE("script: pulses of a file beside it, beginning with the first mark") {
    Rig rig;
    rig.put("held.txt", "space 500\npulse 9000\nspace 4500\npulse 560\n");
    const auto script = parsed("at 2000 pulses held.txt", rig.folder.path()).value();
    REQUIRE(script.steps.size() == 1);
    CHECK(script.steps[0].widths == std::vector<std::uint32_t>{9000, 4500, 560});
    CHECK(parsed("at 0 pulses " + rig.folder / "held.txt").value().steps[0].widths.size() == 3);
    CHECK(parsed("at 0 pulses missing.txt", rig.folder.path()).error().code == Errc::not_found);
    rig.put("bad.txt", "pulse 9000\nbeep 3\n");
    const auto bad = parsed("at 0 pulses bad.txt", rig.folder.path());
    CHECK(bad.error().code == Errc::syntax);
}

TEST_CASE("script: the lights of a time are those set last") {
    const auto script = parsed("at 100 leds caps\nat 300 leds none\n").value();
    CHECK(lights(script, 99999) == 0);
    CHECK(lights(script, 100000) == engine::k_led_caps);
    CHECK(lights(script, 299999) == engine::k_led_caps);
    CHECK(lights(script, 300000) == 0);
}

TEST_CASE("script: 34 lines that mean nothing, each with its number in the error") {
    int bad = 0;
    for (const char* line : {"at",
                             "at 5",
                             "at x press up 100",
                             "at -1 press up 100",
                             "at 5 press",
                             "at 5 press nose 100",
                             "at 5 press up",
                             "at 5 press up 0",
                             "at 5 press up x",
                             "at 5 press up 100x",
                             "at 86400001 press up 1",
                             "at 5 press up 86400001",
                             "at 5 jump up 100",
                             "at 5 frame nec:1:2",
                             "at 5 frame nec:1 100",
                             "at 5 frame beam:1:2 100",
                             "at 5 frame nec:1:65536 100",
                             "at 5 edge 9 low",
                             "at 5 edge 1",
                             "at 5 edge 1 middle",
                             "at 5 axis stick_z 100",
                             "at 5 axis stick_x",
                             "at 5 axis stick_x 1001",
                             "at 5 axis stick_x -1001",
                             "at 5 leds shift",
                             "air jitter",
                             "air wind 5",
                             "air lost 100001",
                             "contact",
                             "contact 5",
                             "contact 1000001 1",
                             "contact 5 51",
                             "end",
                             "end 0"}) {
        CAPTURE(line);
        ++bad;
        const auto script = parsed("at 1 press up 100\n" + std::string(line) + "\n");
        REQUIRE_FALSE(script);
        CHECK(script.error().where == "line 2");
        CHECK_FALSE(script.error().detail.empty());
    }
    CHECK(bad == 34);
}

TEST_CASE("script: an input that is not taught yet cannot be pressed") {
    profile::Profile profile;
    profile.inputs.push_back({"new", "rules", profile::Untaught{}});
    const auto script = parse_script("at 1 press new 100", profile, ".");
    CHECK(script.error().detail == "new is not taught yet");
}
}  // namespace fettle::app::test
