// The first channel of a device dies, at any message and in every way, and the second goes on.

#include <doctest/doctest.h>

#include "tests/link/paired_rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;
using wire::TrialPhase;

namespace {

constexpr link::Limits k_quick{100, 400, 3, 1500};

struct Paired {
    std::shared_ptr<sim::SimDevice> device = kept_device();
    FaultyLink* first = nullptr;
    std::unique_ptr<Session> session;
    explicit Paired(const Plan& plan = {}) {
        auto pair = pair_of(device, plan);
        first = pair.first;
        auto opened = Session::open(std::move(pair.link), k_quick);
        REQUIRE(opened.has_value());
        session = std::move(*opened);
    }
    std::uint32_t changeovers() const { return session->link().changeovers(); }
};

int messages_of_a_push() {
    Paired paired;
    paired.first->set_plan({});
    REQUIRE(paired.session->push(plain_image(2), 0).has_value());
    return paired.first->messages();
}

/// What is on trial is kept and read back, over whichever channel is left.
void check_keeps(Paired& paired, const wire::TrialReply& trial) {
    const auto kept = paired.session->keep(trial.id, trial.image_crc, true);
    REQUIRE(kept.has_value());
    CHECK(kept->phase == TrialPhase::kept);
    CHECK(paired.session->read_image(wire::k_slot_current).value() == plain_image(2));
    CHECK(boots_to(paired.device->eeprom().bytes()) == crc_of(plain_image(2)));
    check_ends_released(*paired.device);
}

}  // namespace

TEST_CASE(
    "changeover: the first channel dies at any message of a push, in 5 ways: the push completes over the "
    "second, and is kept") {
    const int messages = messages_of_a_push();
    CHECK(messages >= 12);
    for (const Death& death : k_deaths)
        for (int at = 1; at <= messages; ++at) {
            CAPTURE(std::string(death.name));
            CAPTURE(at);
            Paired paired;
            paired.first->set_plan(plan_of(death, at));
            const auto pushed = paired.session->push(plain_image(2), 30);
            REQUIRE(pushed.has_value());
            CHECK(runs(*paired.device) == crc_of(plain_image(2)));
            CHECK(pushed->trial.image_crc == crc_of(plain_image(2)));
            CHECK(pushed->bytes_sent == plain_image(2).size());
            // Blocked writes are met by the next request only, and after the last answer there is none.
            const bool is_met = death.harm != Harm::blocked || at < messages;
            CHECK(paired.changeovers() == (is_met ? 1u : 0u));
            check_keeps(paired, pushed->trial);
        }
}

TEST_CASE("changeover: the first channel dies at either message of a keep, in 5 ways: kept, once") {
    for (const Death& death : k_deaths)
        for (const int at : {1, 2}) {
            CAPTURE(std::string(death.name));
            CAPTURE(at);
            Paired paired;
            const auto pushed = paired.session->push(plain_image(2), 30);
            REQUIRE(pushed.has_value());
            const auto writes = paired.device->eeprom().wear(3);  // commit byte of slot 1
            paired.first->set_plan(plan_of(death, at));
            check_keeps(paired, pushed->trial);
            CHECK(paired.device->eeprom().wear(3) <= writes + 1);
            CHECK(paired.changeovers() == 1);
        }
}

TEST_CASE("changeover: every other request survives the death of the first channel at both its messages") {
    using Call = bool (*)(Session&);
    const struct {
        const char* name;
        Call call;
    } calls[] = {
        {"hello", [](Session& s) { return s.greet().has_value(); }},
        {"info", [](Session& s) { return s.info().has_value(); }},
        {"trial", [](Session& s) { return s.trial().has_value(); }},
        {"ping", [](Session& s) { return s.ping().has_value(); }},
        {"mode", [](Session& s) { return s.set_mode(1).has_value(); }},
        {"variant", [](Session& s) { return s.set_variant(1).has_value(); }},
        {"display", [](Session& s) { return s.display(1).has_value(); }},
        {"release", [](Session& s) { return s.release().has_value(); }},
        {"subscribe", [](Session& s) { return s.subscribe(false, false, {}).has_value(); }},
        {"unsubscribe", [](Session& s) { return s.unsubscribe().has_value(); }},
        {"read", [](Session& s) { return s.read_image(wire::k_slot_current).value() == plain_image(1); }},
    };
    for (const auto& row : calls)
        for (const Death& death : k_deaths)
            for (const int at : {1, 2}) {
                CAPTURE(std::string(row.name));
                CAPTURE(std::string(death.name));
                CAPTURE(at);
                Paired paired;
                paired.first->set_plan(plan_of(death, at));
                CHECK(row.call(*paired.session));
                CHECK(paired.session->info().has_value());
                check_ends_released(*paired.device);
            }
}

TEST_CASE("changeover: dead from the start, in 5 ways, the device is greeted over its second channel") {
    for (const Death& death : k_deaths) {
        CAPTURE(std::string(death.name));
        Paired paired(plan_of(death, 1));
        CHECK(paired.session->serial() == "SIM00001");
        CHECK(paired.changeovers() == 1);
        CHECK(paired.session->push(plain_image(2), 0).has_value());
        check_ends_released(*paired.device);
    }
}

TEST_CASE("changeover: an answer that is on its way when the channel closes is asked for again at once") {
    Paired paired;
    paired.first->set_plan({Harm::close, 2, false});
    const auto begin_ms = paired.session->link().now_ms();
    REQUIRE(paired.session->info().has_value());
    CHECK(paired.session->link().now_ms() - begin_ms < k_quick.answer_ms);
    CHECK(paired.changeovers() == 1);
    check_ends_released(*paired.device);
}

TEST_CASE("changeover: silence costs the tries of one channel, and then the second answers at once") {
    Paired paired;
    paired.first->set_plan({Harm::drop, 1, true});
    const auto begin_ms = paired.session->link().now_ms();
    REQUIRE(paired.session->info().has_value());
    const auto took_ms = paired.session->link().now_ms() - begin_ms;
    CHECK(took_ms >= 3 * k_quick.answer_ms);
    CHECK(took_ms < 3 * k_quick.answer_ms + 10);
}

TEST_CASE("changeover: a request that the device refuses is no reason for another channel") {
    Paired paired;
    CHECK(paired.session->set_mode(9).error().code == Errc::garbled);
    CHECK(paired.session->keep(1, 2, true).error().code == Errc::not_found);
    CHECK(paired.session->push(plain_image(2), 19).error().code == Errc::garbled);
    CHECK(paired.changeovers() == 0);
    check_ends_released(*paired.device);
}

TEST_CASE("changeover: both channels dead is closed, and nothing is asked for ever") {
    for (const Death& death : k_deaths)
        for (const bool is_cable : {false, true}) {
            CAPTURE(std::string(death.name));
            Paired paired;
            paired.first->set_plan(plan_of(death, 1));
            if (is_cable)
                paired.device->pull_cable();
            else
                paired.device->cut_power();
            const auto begin_ms = paired.session->link().now_ms();
            CHECK(paired.session->push(plain_image(2), 0).error().code == Errc::closed);
            CHECK(paired.session->link().now_ms() - begin_ms <= 6000);
            check_ends_released(*paired.device);
            CHECK(boots_to(paired.device->eeprom().bytes()) == kept_crc());
        }
}
