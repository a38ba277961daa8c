// The whole way of a profile over each channel: a button of a remote is taught from injected pulses, written,
// tried, kept, read back; and the computer gets what was assigned to it.
// Source of the pulses: sim::encode(), timings of Linux 6.1, drivers/media/rc.

#include <doctest/doctest.h>

#include <linux/input-event-codes.h>

#include "core/sim/ir_encode.hpp"
#include "tests/rig_kernel/rig.hpp"

using namespace fettle;
using namespace fettle::rig;
using engine::IrFrame;
using engine::Protocol;
using link::Session;

namespace {

constexpr std::uint8_t k_receiver = 0;

/// One frame of a remote, as the receiver's line would change.
void inject(Cable& cable, Session& session, const IrFrame& frame) {
    std::vector<wire::InjectStep> steps;
    bool is_mark = true;
    std::uint32_t after_us = 20000;
    for (const std::uint32_t width_us : sim::encode(frame)) {
        steps.push_back({static_cast<std::uint8_t>(is_mark ? 1 : 0), static_cast<std::uint16_t>(after_us)});
        after_us = width_us;
        is_mark = !is_mark;
    }
    steps.push_back({0, static_cast<std::uint16_t>(after_us)});
    // A frame is longer than a message: the device's clock waits until all of it is there.
    cable.hold_time(true);
    cable.set_instant(true);
    REQUIRE(session.inject(k_receiver, steps).has_value());
    cable.set_instant(false);
    cable.hold_time(false);
}

struct Taught {
    std::uint8_t protocol = 0;
    std::uint32_t code = 0;
};

Taught teach(Cable& cable, Session& session, const IrFrame& frame) {
    Taught taught;
    REQUIRE(session
                .subscribe(false, false,
                           [&](const link::TimedEvent& timed) {
                               if (timed.event.kind != engine::EventKind::ir_frame || taught.protocol != 0)
                                   return;
                               taught.protocol = timed.event.data[0];
                               taught.code = engine::get32(timed.event.data + 2);
                           })
                .has_value());
    inject(cable, session, frame);
    const auto end_ms = now_ms() + 5000;
    while (taught.protocol == 0 && now_ms() < end_ms) REQUIRE(session.listen(20).has_value());
    REQUIRE(session.unsubscribe().has_value());
    return taught;
}

/// The first of plain_image()'s inputs, which clicks, is the taught button instead of a switch.
test::Bytes image_with(const Taught& taught) {
    auto sections = test::plain_sections();
    engine::put_input(test::section_of(sections, wire::Tag::inputs).body.data(),
                      engine::InputDef{static_cast<engine::Source>(taught.protocol), 0, taught.code});
    return test::build(sections, 3);
}

void check_whole_way(Cable& cable, Session& session, const IrFrame& frame) {
    const Taught taught = teach(cable, session, frame);
    CHECK(taught.protocol == static_cast<std::uint8_t>(frame.protocol));
    CHECK(taught.code == engine::ir_code(frame));
    const auto image = image_with(taught);
    const auto pushed = session.push(image, 60);
    REQUIRE(pushed.has_value());
    CHECK(pushed->trial.phase == wire::TrialPhase::running);
    {
        const Grabbed inputs(cable.nodes());
        inject(cable, session, frame);
        const auto seen = inputs.wait(Grabbed::pointer, 2);
        REQUIRE(seen.size() == 2);
        CHECK(seen[0].code == BTN_LEFT);
        CHECK(seen[0].value == 1);
        CHECK(seen[1].code == BTN_LEFT);
        CHECK(seen[1].value == 0);
    }
    REQUIRE(session.release().has_value());
    const auto kept = session.keep(pushed->trial.id, pushed->trial.image_crc, true);
    REQUIRE(kept.has_value());
    CHECK(kept->phase == wire::TrialPhase::kept);
    const auto read = session.read_image(wire::k_slot_current);
    REQUIRE(read.has_value());
    CHECK(*read == image);
    const auto again = session.push(test::plain_image(4), 60);
    REQUIRE(again.has_value());
    REQUIRE(session.revert(again->trial.id, again->trial.image_crc).has_value());
    CHECK(session.greet()->image_crc == test::crc_of(image));
}

}  // namespace

TEST_CASE("teach: a NEC button from injected pulses is taught, written, tried, kept and read back over HID") {
    Cable& cable = fresh_cable();
    const auto session = hid_session(cable);
    check_whole_way(cable, *session, engine::make_ir_frame(Protocol::nec, 0x10, 0x08));
}

TEST_CASE("teach: an RC-5 button from injected pulses, the same whole way over serial") {
    Cable& cable = fresh_cable();
    const auto session = serial_session(cable);
    check_whole_way(cable, *session, engine::make_ir_frame(Protocol::rc5, 5, 16));
}
