// A profile is loaded over the one before it, in the same memory. What a person held ends with it, and what
// is down is ignored until it was up, under whatever number the new profile knows it.

#include <doctest/doctest.h>

#include "core/engine/infrared_frame.hpp"
#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;
using namespace fettle::engine;

namespace {

constexpr uint8_t k_address = 4, k_command = 9;

/// Pulses of a NEC frame: mark, space, mark ... in us.
/// Source: Linux 6.1, drivers/media/rc/ir-nec-decoder.c (unit 563 us, leader 16 and 8 units).
std::vector<uint32_t> nec_pulses() {
    std::vector<uint32_t> pulses = {9000, 4500};
    const uint8_t bytes[] = {k_address, static_cast<uint8_t>(~k_address), k_command,
                             static_cast<uint8_t>(~k_command)};
    for (const uint8_t byte : bytes)
        for (int bit = 0; bit < 8; ++bit) {
            pulses.push_back(563);
            pulses.push_back((byte >> bit & 1) != 0 ? 1688 : 563);
        }
    pulses.push_back(563);
    return pulses;
}

/// Ticks a rig over a frame and the rest of its 108 ms.
void send_frame(Rig& rig) {
    std::vector<Edge> edges;
    uint32_t at_us = rig.now_us + 100;
    uint8_t level = 1;
    for (const uint32_t pulse_us : nec_pulses()) {
        edges.push_back(Edge{at_us, 0, level});
        at_us += pulse_us;
        level ^= 1;
    }
    edges.push_back(Edge{at_us, 0, level});
    size_t next = 0;
    for (int ms = 0; ms < 108; ++ms) {
        while (next < edges.size() && edges[next].at_us <= rig.now_us + 1000)
            rig.edges.push_back(edges[next++]);
        rig.tick();
    }
}

/// The plain profile with the remote's button in place of some of its inputs; each presses the left button.
Bytes remote_image(uint16_t version, const std::vector<std::pair<size_t, Source>>& places) {
    auto sections = plain_sections();
    Bytes& inputs = section_of(sections, Tag::inputs).body;
    Bytes& rules = section_of(sections, Tag::rules).body;
    for (const auto& place : places) {
        const uint32_t code = ir_code(make_ir_frame(Protocol::nec, k_address, k_command));
        put_input(inputs.data() + place.first * k_input_bytes, InputDef{place.second, 0, code});
        section_of(sections, Tag::modes).body[1 + place.first] = 1;
    }
    RuleDef rule = get_rule(rules.data());
    rule.holdover_ms = 250;
    put_rule(rules.data(), rule);
    return build(sections, version);
}

constexpr Source k_nec = static_cast<Source>(Protocol::nec);
constexpr Source k_sirc = static_cast<Source>(Protocol::sirc12);

bool is_button_down(const Rig& rig) {
    return rig.device.engine().state().held.press_buttons != 0;
}

/// Holds the remote's button, pushes `next` (its answer comes within the frames), and goes on holding.
void swap_while_held(Rig& rig, const Bytes& next) {
    for (int i = 0; i < 3; ++i) send_frame(rig);
    REQUIRE(is_button_down(rig));
    rig.begin_write(next);
    rig.write_all(next);
    for (int i = 0; i < 3; ++i) send_frame(rig);
    REQUIRE(is_button_down(rig));
    trial_of(rig.finish(next));
    CHECK_FALSE(is_button_down(rig));
}

}  // namespace

TEST_CASE(
    "swap: a remote's button held over a push ends, stays ignored for 5 frames, and works after it was up") {
    for (const size_t place : std::vector<size_t>{0, 1, 2, 5}) {
        Rig rig;
        rig.eeprom.write_ticks = 0;
        rig.install(remote_image(1, {{1, k_nec}}));
        swap_while_held(rig, remote_image(2, {{place, k_nec}}));
        CAPTURE(place);
        for (int i = 0; i < 5; ++i) {
            send_frame(rig);
            REQUIRE_FALSE(is_button_down(rig));
        }
        rig.tick(400);
        for (int i = 0; i < 2; ++i) send_frame(rig);
        CHECK(is_button_down(rig));
        rig.tick(400);
        CHECK(rig.ends_released());
    }
}

TEST_CASE("swap: the same code of another protocol is not taken for the button that is held") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    rig.install(remote_image(1, {{1, k_nec}}));
    swap_while_held(rig, remote_image(2, {{0, k_sirc}, {3, k_nec}}));
    for (int i = 0; i < 5; ++i) {
        send_frame(rig);
        REQUIRE_FALSE(is_button_down(rig));
    }
    rig.tick(400);
    CHECK(rig.ends_released());
}

TEST_CASE(
    "swap: a switch held over a push ends and is ignored until it was open, on the old number and a new "
    "one") {
    for (const bool is_moved : {false, true}) {
        Rig rig;
        rig.eeprom.write_ticks = 0;
        rig.install(plain_image(1));
        rig.switch_to(1, true);
        rig.tick(50);
        REQUIRE(is_button_down(rig));
        auto sections = plain_sections();
        Bytes& inputs = section_of(sections, Tag::inputs).body;
        if (is_moved) {  // line 1 is input 3 now, whose press types; line 4 is input 0
            std::swap_ranges(inputs.begin(), inputs.begin() + k_input_bytes,
                             inputs.begin() + 3 * k_input_bytes);
        }
        trial_of(rig.push(build(sections, 2)));
        CAPTURE(is_moved);
        CHECK_FALSE(is_button_down(rig));
        rig.tick(1000);
        CHECK_FALSE(is_button_down(rig));
        CHECK(rig.device.engine().state().typing == 0);
        rig.switch_to(1, false);
        rig.tick(50);
        rig.switch_to(1, true);
        rig.tick(10);
        CHECK((is_moved ? rig.device.engine().state().typing != 0 : is_button_down(rig)));
        rig.switch_to(1, false);
        rig.tick(50);
        CHECK(rig.ends_released());
    }
}
