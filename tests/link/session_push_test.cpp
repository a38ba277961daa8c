// A push whose link fails at the n-th message, for every n and every way to fail.

#include <doctest/doctest.h>

#include "tests/link/faulty_link.hpp"
#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;

namespace {

constexpr link::Limits k_quick{100, 400, 3, 1500};

struct Faulty {
    std::shared_ptr<sim::SimDevice> device = kept_device();
    FaultyLink* link = nullptr;
    std::unique_ptr<Session> session;
    explicit Faulty(Way way) {
        auto made = std::make_unique<FaultyLink>(std::make_unique<link::MemoryLink>(device, way), Plan{});
        link = made.get();
        auto opened = Session::open(std::move(made), k_quick);
        REQUIRE(opened.has_value());
        session = std::move(*opened);
    }
};

int messages_of_a_push(Way way) {
    Faulty faulty(way);
    faulty.link->set_plan({});
    REQUIRE(faulty.session->push(plain_image(2), 0).has_value());
    return faulty.link->messages();
}

/// What a caller may be told for a harm. Success only after safe repeats.
bool is_right(Harm harm, const Result<link::PushResult>& result) {
    if (result) return harm != Harm::close && harm != Harm::io;
    const Errc code = result.error().code;
    switch (harm) {
        case Harm::close: return code == Errc::closed;
        case Harm::io: return code == Errc::io;
        case Harm::blocked:
        case Harm::drop:
        case Harm::delay:
        case Harm::wrong_id:
        case Harm::oversize: return code == Errc::timed_out;
        case Harm::twice: return false;
        case Harm::error_reply: return code == Errc::mismatch || code == Errc::timed_out;
        // What the device makes of spoiled requests differs with the field that was hit. Over serial the CRC
        // cannot help: it was computed over the spoiled message.
        case Harm::garbage:
        case Harm::flip:
        case Harm::truncate:
            return code == Errc::garbled || code == Errc::mismatch || code == Errc::refused ||
                   code == Errc::too_large || code == Errc::timed_out || code == Errc::unsupported ||
                   code == Errc::busy;
        case Harm::none: return false;
    }
    return false;
}

void fail_and_go_on(Way way, const Plan& plan) {
    Faulty faulty(way);
    auto& device = *faulty.device;
    const auto new_crc = crc_of(plain_image(2));
    faulty.link->set_plan(plan);
    const auto result = faulty.session->push(plain_image(2), 0);
    CAPTURE(result ? -1 : static_cast<int>(result.error().code));
    CHECK(is_right(plan.harm, result));
    CHECK((runs(device) == kept_crc() || runs(device) == new_crc));
    if (result) CHECK(runs(device) == new_crc);
    if (runs(device) == new_crc) CHECK(device.device().trial().phase == wire::TrialPhase::running);
    CHECK(boots_to(device.eeprom().bytes()) == kept_crc());
    CHECK_FALSE(device.host().view().holds_anything());

    // A second push over a sound link, once the first one's trial is over.
    faulty.session.reset();
    auto session = open_session(faulty.device, way);
    if (const auto trial = session->trial(); trial->seconds_left != 0)
        REQUIRE(session->revert(trial->id, trial->image_crc).has_value());
    CHECK(runs(device) == kept_crc());
    const auto again = session->push(plain_image(3), 0);
    REQUIRE(again.has_value());
    REQUIRE(session->keep(again->trial.id, again->trial.image_crc, true).has_value());
    CHECK(*session->read_image(wire::k_slot_current) == plain_image(3));
    CHECK(boots_to(device.eeprom().bytes()) == crc_of(plain_image(3)));
    check_ends_released(device);
}

void fail_everywhere(Way way, bool for_ever) {
    const int messages = messages_of_a_push(way);
    CHECK(messages >= 12);
    for (int at = 1; at <= messages; ++at)
        for (const Harm harm : k_harms) {
            CAPTURE(at);
            CAPTURE(static_cast<int>(harm));
            if (for_ever && harm == Harm::twice) continue;  // a link may double everything: tried below
            fail_and_go_on(way, {harm, at, for_ever});
        }
}

}  // namespace

TEST_CASE("push: any message harmed once over HID, in 10 ways: old or new profile, and the next push works") {
    fail_everywhere(Way::hid, false);
}

TEST_CASE(
    "push: any message harmed once over serial, in 10 ways: old or new profile, and the next push works") {
    fail_everywhere(Way::serial, false);
}

TEST_CASE(
    "push: from any message on every one harmed, in 9 ways: old or new profile, and the next push works") {
    fail_everywhere(Way::hid, true);
}

TEST_CASE("push: on a link that doubles every message it works") {
    for (const Way way : {Way::hid, Way::serial}) fail_and_go_on(way, {Harm::twice, 1, true});
}

TEST_CASE("push: one lost message, whichever, is made good by repeating") {
    for (const Way way : {Way::hid, Way::serial}) {
        const int messages = messages_of_a_push(way);
        for (int at = 1; at <= messages; ++at) {
            CAPTURE(at);
            Faulty faulty(way);
            faulty.link->set_plan({Harm::drop, at, false});
            CHECK(faulty.session->push(plain_image(2), 0).has_value());
            CHECK(runs(*faulty.device) == crc_of(plain_image(2)));
            check_ends_released(*faulty.device);
        }
    }
}

TEST_CASE("push: a link that loses everything ends in bounded time: 3 tries of each time limit") {
    Faulty faulty(Way::hid);
    faulty.link->set_plan({Harm::drop, 1, true});
    const auto begin_ms = faulty.link->now_ms();
    CHECK(faulty.session->push(plain_image(2), 0).error().code == Errc::timed_out);
    CHECK(faulty.link->now_ms() - begin_ms == 3 * k_quick.slow_ms);
}

TEST_CASE("push: the answer to finish comes after the trial ran out: not found, the kept profile runs") {
    Faulty faulty(Way::hid);
    const int messages = messages_of_a_push(Way::hid);
    // The answer to finish is lost, and the repeat is sent when 20 s of trial are over.
    link::Limits patient = k_quick;
    patient.slow_ms = 25000;
    auto opened = Session::open(
        std::make_unique<FaultyLink>(std::make_unique<link::MemoryLink>(faulty.device, Way::hid),
                                     Plan{Harm::drop, messages + 2, false}),
        patient);
    REQUIRE(opened.has_value());
    CHECK((*opened)->push(plain_image(2), 20).error().code == Errc::not_found);
    CHECK(runs(*faulty.device) == kept_crc());
    check_ends_released(*faulty.device);
}

TEST_CASE("push: the cable pulled at every 10th ms of it closes the link and harms nothing") {
    for (std::uint32_t ms = 0; ms < 1500; ms += 10) {
        CAPTURE(ms);
        auto device = kept_device();
        auto session = open_session(device, Way::hid);
        const auto pull_at = device->now_us() / 1000 + ms;
        const auto result = session->push(plain_image(2), 0, [&](std::size_t, std::size_t) {
            if (device->now_us() / 1000 >= pull_at) device->pull_cable();
            return true;
        });
        if (!result) CHECK(result.error().code == Errc::closed);
        CHECK(boots_to(device->eeprom().bytes()) == kept_crc());
        check_ends_released(*device);
        if (!device->is_plugged()) CHECK(runs(*device) == kept_crc());
    }
}
