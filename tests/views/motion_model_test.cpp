// What stands behind the motion screen: curves, the trail of what was sent, the try area.
#include <doctest/doctest.h>

#include <cmath>

#include "app/desk/movers.hpp"
#include "app/views/motion_curve.hpp"
#include "app/views/motion_trail.hpp"
#include "app/views/try_area.hpp"
#include "core/engine/actions.hpp"

namespace fettle::app::test {
namespace {

using engine::EventKind;

profile::Motion straight(int first, int delay_ms, int speed) {
    profile::Travel travel;
    travel.first_step_counts = first;
    travel.delay_ms = delay_ms;
    travel.ramp_ms = 0;
    travel.speed = profile::SpeedShape{speed, speed, 1000};
    return {"m", travel};
}

TEST_CASE(
    "motion curve: 500 counts a second after 300 ms: half of it 50 ms around the start, all of it later") {
    MotionCurves curves;
    const auto curve = curves.of(straight(3, 300, 500), profile::switch_source());
    REQUIRE(curve->is_compiled);
    CHECK(plot::value_at(curve->speed, 100e3) == 0.0);
    CHECK(*plot::value_at(curve->speed, 1000e3) == doctest::Approx(500).epsilon(0.02));
    CHECK(plot::step_at(curve->way, 200e3) == 3.0);
    // By hand: first step 3, less what travel owes for it, then 0.7 s of 500 a second.
    CHECK(*plot::step_at(curve->way, 1000e3) == doctest::Approx(350).epsilon(0.02));
}

TEST_CASE("motion curve: the first step of 200 counts is no speed") {
    MotionCurves curves;
    const auto curve = curves.of(straight(200, 1000, 100), profile::switch_source());
    for (const auto& s : curve->speed) {
        CAPTURE(s.x);
        if (s.x < 700e3) CHECK(s.y == 0);
    }
}

TEST_CASE("motion curve: figures are the engine's own for the same motion and source") {
    MotionCurves curves;
    const auto source = profile::infrared_source(120, 108, 12);
    const profile::Motion motion = straight(2, 250, 300);
    const auto curve = curves.of(motion, source);
    CHECK(curve->figures == profile::motion_figures(profile::motion_setup(motion), 0, source));
    // Release: holdover after the last frame's end; a frame may have ended up to a period before the finger
    // lifts, or end up to its own length later.
    CHECK(curve->least_release_ms >= 120 - 108);
    CHECK(curve->most_release_ms <= 120 + 12 + 1);
    CHECK(curve->least_release_ms < curve->most_release_ms);
    const auto by_switch = curves.of(motion, profile::switch_source());
    CHECK(by_switch->least_release_ms == 0);
    CHECK(by_switch->most_release_ms == 0);
}

TEST_CASE("motion curve: one that was asked for is not run again, a name changes nothing, a number does") {
    MotionCurves curves;
    profile::Motion motion = straight(1, 300, 500);
    const auto first = curves.of(motion, profile::switch_source());
    motion.name = "other";
    CHECK(curves.of(motion, profile::switch_source()) == first);
    CHECK(curves.of(straight(1, 301, 500), profile::switch_source()) != first);
    for (int i = 0; i < 20; ++i) (void)curves.of(straight(2, 100 + i, 500), profile::switch_source());
    CHECK(curves.of(motion, profile::switch_source()) != first);
    CHECK(first->is_compiled);  // still whole for whoever holds it
}

TEST_CASE("motion curve: moves over 65,535 counts cannot be compiled and give no figures") {
    profile::MouseKeys keys;
    keys.moves = profile::MouseKeysShape{.delta_counts = 1000, .max_speed = 1000};
    MotionCurves curves;
    const auto curve = curves.of({"m", keys}, profile::switch_source());
    CHECK_FALSE(curve->is_compiled);
    CHECK(curve->speed.empty());
}

TEST_CASE(
    "motion curve: it is told until a third past full speed, 2 s at least, 30 s at most, to half seconds") {
    CHECK(told_until_us(straight(1, 300, 500)) == 2e6);
    profile::Travel slow;
    slow.delay_ms = 300;
    slow.ramp_ms = 1600;
    CHECK(told_until_us({"m", slow}) == 2.5e6);
    slow.ramp_ms = 20000;
    slow.delay_ms = 5000;
    CHECK(told_until_us({"m", slow}) == 30e6);
    profile::MouseKeys keys;
    keys.delay_ms = 160;
    keys.interval_ms = 40;
    keys.moves = profile::MouseKeysMoves{{1, 2, 3}};
    CHECK(told_until_us({"m", keys}) == 2e6);
}

// --- movers ---

profile::Profile two_inputs() {
    profile::Profile p;
    p.rule_sets = {{.name = "remote", .holdover_ms = 130}, {.name = "switches"}};
    p.motions = {straight(1, 300, 500)};
    p.inputs = {{"right", "remote", profile::Infrared{engine::Protocol::nec, 1, 2, 0, 0}},
                {"foot", "switches", profile::Switch{}}};
    profile::Assignment right{"right", profile::Action{profile::Move{engine::Direction::right, "m"}}, {}, {}};
    profile::Assignment foot{"foot",
                             profile::Action{profile::Button{}},
                             profile::Action{profile::Move{engine::Direction::up, "m"}},
                             {}};
    p.modes = {{"far", "Far", {right, foot}}, {"list", "List", {}}};
    profile::Variant tired;
    tired.name = "tired";
    tired.rule_sets = {{.name = "remote", .holdover_ms = 200}};
    tired.motions = {straight(1, 900, 50)};
    p.variants = {tired};
    return p;
}

TEST_CASE("movers: a remote with its rules' holdover of 130 ms and a switch; the variant has 200 ms") {
    const profile::Profile p = two_inputs();
    const auto all = movers(p, "", "m");
    REQUIRE(all.size() == 2);
    CHECK(all[0].is_remote);
    CHECK(all[0].inputs == std::vector<std::string>{"right"});
    CHECK(all[0].source.holdover_ms == 130);
    CHECK(all[0].source.period_ms == 108);  // from memory: NEC sends a repeat every 108 ms
    CHECK_FALSE(all[1].is_remote);
    CHECK(all[1].inputs == std::vector<std::string>{"foot"});
    CHECK(movers(p, "tired", "m")[0].source.holdover_ms == 200);
    CHECK(movers(p, "", "other").size() == 1);
    CHECK(movers(p, "", "other")[0].inputs.empty());
    CHECK(std::get<profile::Travel>(motion_in(p, "tired", "m")->family).delay_ms == 900);
    CHECK(std::get<profile::Travel>(motion_in(p, "", "m")->family).delay_ms == 300);
    CHECK(motion_in(p, "", "none") == nullptr);
}

// --- the trail ---

engine::Event event(EventKind kind, std::initializer_list<std::uint8_t> bytes) {
    engine::Event e{};
    e.kind = kind;
    std::size_t i = 0;
    for (const std::uint8_t b : bytes) e.data[i++] = b;
    return e;
}

engine::Event mouse(std::int16_t dx, std::int16_t dy, std::uint8_t buttons = 0) {
    const auto x = static_cast<std::uint16_t>(dx), y = static_cast<std::uint16_t>(dy);
    return event(EventKind::report,
                 {1, 8, 1, buttons, static_cast<std::uint8_t>(x), static_cast<std::uint8_t>(x >> 8),
                  static_cast<std::uint8_t>(y), static_cast<std::uint8_t>(y >> 8)});
}

struct Device {
    profile::Profile runs = two_inputs();
    trace::Roll roll;
    MotionTrail trail;
    void tell(std::int64_t us, const engine::Event& e) { REQUIRE(roll.append(us, e)); }
    void press(std::int64_t us, std::uint8_t input, std::uint8_t gesture, std::uint8_t mode = 0) {
        tell(us, event(EventKind::gesture, {input, gesture, mode, 1}));
    }
    void release(std::int64_t us, std::uint8_t input) {
        tell(us, event(EventKind::action, {input, 1, static_cast<std::uint8_t>(engine::ActionPhase::end)}));
    }
    void follow() { trail.follow(roll, {&runs, "m"}); }
};

TEST_CASE(
    "motion trail: a hold of 3 reports of 2 counts sums to 6, from the gesture on, and ends with its "
    "action") {
    Device device;
    device.tell(1000, mouse(50, 0));
    device.follow();
    CHECK_FALSE(device.trail.hold());
    device.press(100000, 0, 0);
    device.tell(101000, mouse(2, 0));
    device.follow();
    REQUIRE(device.trail.hold());
    CHECK(device.trail.hold()->is_running());
    CHECK(device.trail.reports().size() == 1);
    device.tell(150000, mouse(2, 0));
    device.release(190000, 0);
    device.tell(191000, mouse(2, 0));
    device.tell(900000, mouse(40, 0));  // somebody else's
    device.follow();
    CHECK(device.trail.reports().size() == 3);
    const SentHold& hold = *device.trail.hold();
    CHECK(hold.ended_us == 190000);
    CHECK(hold.way.back() == plot::Sample{91000, 6});
    CHECK(plot::step_at(hold.way, 60000) == 4.0);
}

TEST_CASE("motion trail: a diagonal counts its axis once, a gesture that does something else is no hold") {
    Device device;
    device.follow();
    device.press(1000, 1, 0);     // foot, short: a button
    device.press(2000, 0, 0, 1);  // right in mode list: nothing
    device.press(3000, 7, 0);     // no such input
    device.follow();
    CHECK_FALSE(device.trail.hold());
    device.press(5000, 1, 1);  // foot, long: moves
    device.tell(6000, mouse(-3, -3));
    device.follow();
    REQUIRE(device.trail.hold());
    CHECK(device.trail.hold()->input == 1);
    CHECK(device.trail.hold()->way.back().y == 3);
}

TEST_CASE("motion trail: a gap, release everything and a roll that begins anew end a hold that runs") {
    Device device;
    device.follow();
    device.press(1000, 0, 0);
    device.tell(2000, event(EventKind::released, {1}));
    device.follow();
    REQUIRE(device.trail.hold());
    CHECK(device.trail.hold()->ended_us == 2000);
    device.press(3000, 0, 0);
    device.roll.append_gap(2);
    device.follow();
    CHECK_FALSE(device.trail.hold());
    device.press(5000, 0, 0);
    device.follow();
    CHECK(device.trail.hold());
    device.roll.clear();
    device.follow();
    CHECK_FALSE(device.trail.hold());
    CHECK(device.trail.reports().empty());
}

// --- the try area ---

constexpr ui::Point k_size{600, 240};

PointerReport report(std::int64_t us, int dx, int dy, std::uint8_t buttons = 0) {
    return {us, static_cast<std::int16_t>(dx), static_cast<std::int16_t>(dy), buttons};
}

TEST_CASE(
    "try area: the simulated pointer goes one pixel a count and a click on a target is a hit, beside is "
    "not") {
    TryArea area;
    std::vector<PointerReport> none;
    area.follow(none, k_size, false);
    CHECK(area.pointer() == ui::Point{300, 180});
    const ui::Point medium = TryArea::centre(TargetSize::medium, k_size);
    const int up = static_cast<int>(180 - medium.y);
    const std::vector<PointerReport> moves{report(1000, 0, -up + 10), report(2000, 0, -10)};
    const PointerStep step = area.follow(moves, k_size, false);
    CHECK(step.counts == doctest::Approx(up));
    CHECK(step.pixels == doctest::Approx(up));
    CHECK_FALSE(step.is_at_edge);
    CHECK(area.under() == TargetSize::medium);
    const std::vector<PointerReport> click{report(3000, 0, 0, 1), report(4000, 0, 0, 1),
                                           report(5000, 0, 0, 0)};
    area.follow(click, k_size, false);
    CHECK(area.hits(TargetSize::medium) == 1);
    CHECK(area.new_hit() == TargetSize::medium);
    area.follow(none, k_size, false);
    CHECK_FALSE(area.new_hit());
    const std::vector<PointerReport> beside{report(6000, 100, 0), report(7000, 0, 0, 1)};
    area.follow(beside, k_size, false);
    CHECK(area.misses() == 1);
    CHECK(area.hits(TargetSize::medium) == 1);
    area.reset();
    area.follow(none, k_size, false);
    CHECK(area.hits(TargetSize::medium) == 0);
    CHECK(area.misses() == 0);
    CHECK(area.pointer() == ui::Point{300, 180});
}

TEST_CASE("try area: the pointer stays inside, and a move against the edge says that it did") {
    TryArea area;
    const std::vector<PointerReport> far{report(1000, 5000, 0)};
    const PointerStep step = area.follow(far, k_size, false);
    CHECK(step.is_at_edge);
    CHECK(area.pointer().x == 600);
    CHECK(step.counts == 5000);
    CHECK(step.pixels == doctest::Approx(300));
}

TEST_CASE("try area: simulated acceleration is 1 up to 150 counts a second, 2 at 525, 3 from 900 on") {
    CHECK(simulated_gain(0) == 1);
    CHECK(simulated_gain(150) == 1);
    CHECK(simulated_gain(525) == doctest::Approx(2));
    CHECK(simulated_gain(900) == 3);
    CHECK(simulated_gain(1e6) == 3);
    TryArea area;
    std::vector<PointerReport> fast;
    for (int i = 0; i < 20; ++i) fast.push_back(report(1000 + i * 10000, 10, 0));  // 1,000 a second
    const PointerStep step = area.follow(fast, {5000, 240}, true);
    CHECK(step.pixels > 2.8 * 200);
    CHECK(step.pixels <= 3.0 * 200);
}

TEST_CASE("try area: the real pointer hits by its own click; unseen and at the window's edge say so") {
    TryArea area;
    const std::vector<PointerReport> sent{report(1000, 10, 0)};
    const ui::Point small = TryArea::centre(TargetSize::small, k_size);
    CHECK(area.follow_real({}, std::nullopt, false, false, k_size).is_at_edge);
    CHECK_FALSE(area.is_pointer_seen());
    area.follow_real({}, ui::Point{small.x - 12, small.y}, false, false, k_size);
    const PointerStep step = area.follow_real(sent, small, false, true, k_size);
    CHECK(step.counts == 10);
    CHECK(step.pixels == doctest::Approx(12));
    CHECK(area.hits(TargetSize::small) == 1);
    CHECK(area.follow_real({}, ui::Point{-30, 10}, true, false, k_size).is_at_edge);
    CHECK_FALSE(area.under());
    area.follow_real({}, ui::Point{-30, 10}, false, true, k_size);  // a click elsewhere in the window
    CHECK(area.misses() == 0);
}

TEST_CASE("try area: targets of 96, 48 and 24 px lie inside and apart, from 380 px of width on") {
    for (const float wide : {380.0f, 470.0f, 940.0f, 1250.0f}) {
        CAPTURE(wide);
        for (std::size_t a = 0; a < k_targets; ++a) {
            const ui::Point c = TryArea::centre(static_cast<TargetSize>(a), {wide, 240});
            const float r = static_cast<float>(k_target_px[a]) / 2;
            CHECK(c.x - r >= 0);
            CHECK(c.x + r <= wide);
            CHECK(c.y - r >= 0);
            for (std::size_t b = a + 1; b < k_targets; ++b) {
                const ui::Point d = TryArea::centre(static_cast<TargetSize>(b), {wide, 240});
                CHECK(std::hypot(c.x - d.x, c.y - d.y) > r + static_cast<float>(k_target_px[b]) / 2);
            }
        }
    }
}

}  // namespace
}  // namespace fettle::app::test
