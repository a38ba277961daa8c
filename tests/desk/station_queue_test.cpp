// The queue of requests, and connections as a person asks for them.

#include <doctest/doctest.h>

#include <algorithm>

#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using fettle::test::kept_crc;
using fettle::test::plain_image;
using fettle::test::runs;

TEST_CASE("station: of five requests that wait, release is served first, the others as they came") {
    Rig rig;
    rig.go_live();
    rig.tolds.clear();
    const std::vector<std::uint32_t> tickets = {
        rig.station.ask(ask::SetMode{1}), rig.station.ask(ask::SetVariant{1}),
        rig.station.ask(ask::ReadImage{}), rig.station.ask(ask::Release{}), rig.station.ask(ask::SetMode{0})};
    rig.run_until([&] { return rig.tolds.size() == 5; }, 5000);
    REQUIRE(rig.tolds.size() == 5);
    CHECK(rig.tolds[0].ticket == tickets[3]);
    CHECK(rig.tolds[1].ticket == tickets[0]);
    CHECK(rig.tolds[2].ticket == tickets[1]);
    CHECK(rig.tolds[3].ticket == tickets[2]);
    CHECK(rig.tolds[4].ticket == tickets[4]);
    for (const auto& told : rig.tolds) CHECK_FALSE(told.error.has_value());
    CHECK(rig.tolds[3].image == plain_image(1));
    rig.check_ends_released();
}

TEST_CASE("station: cancel takes a push that waits out of the queue; with nothing to cancel it says so") {
    Rig rig;
    rig.go_live();
    CHECK(rig.answer(ask::Cancel{}).error->code == Errc::not_found);
    const auto mode = rig.station.ask(ask::SetMode{1});
    const auto cancel = rig.station.ask(ask::Cancel{});
    const auto push = rig.station.ask(ask::Push{plain_image(2), 60});
    REQUIRE(rig.run_until([&] { return rig.told(cancel) != nullptr; }, 1000));
    CHECK_FALSE(rig.told(mode)->error.has_value());
    CHECK(rig.told(push)->error->code == Errc::cancelled);
    CHECK_FALSE(rig.told(cancel)->error.has_value());
    rig.run_ms(1000);
    CHECK(runs(*rig.device) == kept_crc());
    rig.check_ends_released();
}

TEST_CASE("station: connect to what is not there: not_found at once, and it is opened when it comes") {
    Rig rig;
    rig.source.cable->is_attached = false;
    const auto told = rig.answer(ask::Connect{"sim"});
    REQUIRE(told.error.has_value());
    CHECK(told.error->code == Errc::not_found);
    CHECK(rig.now.state == LinkState::absent);
    rig.run_ms(5000);
    CHECK(rig.source.cable->opened == 0);
    rig.source.cable->is_attached = true;
    CHECK(rig.run_to(LinkState::live, 500));
    CHECK(rig.answer(ask::Connect{"/dev/nobody"}).error->code == Errc::not_found);
    CHECK(rig.now.state == LinkState::absent);
    rig.check_ends_released();
}

TEST_CASE(
    "station: connect again to the same is answered without opening; disconnect opens nothing for 10 s") {
    Rig rig;
    rig.go_live();
    CHECK_FALSE(rig.answer(ask::Connect{}).error.has_value());
    CHECK_FALSE(rig.answer(ask::Connect{"sim"}).error.has_value());
    CHECK(rig.source.cable->opened == 1);
    CHECK_FALSE(rig.answer(ask::Disconnect{}).error.has_value());
    rig.run_ms(10000);
    CHECK(rig.now.state == LinkState::absent);
    CHECK(rig.source.cable->opened == 1);
    CHECK_FALSE(rig.answer(ask::Disconnect{}).error.has_value());
    rig.go_live();
    CHECK(rig.source.cable->opened == 2);
    CHECK(rig.now.health.reconnects == 0);  // a person asked
    rig.check_ends_released();
}

TEST_CASE("station: without a link each request to a device is told not_found or closed, and only once") {
    Rig rig;
    const std::vector<Ask> asks = {ask::Push{plain_image(2), 60},
                                   ask::Keep{},
                                   ask::Revert{},
                                   ask::Extend{},
                                   ask::Release{},
                                   ask::SetMode{},
                                   ask::SetVariant{},
                                   ask::ReadImage{}};
    rig.run_ms(50);
    for (const Ask& what : asks) {
        CAPTURE(what.index());
        CHECK(rig.answer(what).error->code == Errc::closed);
    }
    rig.source.cable->is_attached = false;
    rig.run_ms(500);
    for (const Ask& what : asks) CHECK(rig.answer(what).error->code == Errc::not_found);
    CHECK_FALSE(rig.answer(ask::AgreeUsages{true}).error.has_value());
    CHECK(rig.answer(ask::Cancel{}).error->code == Errc::not_found);
    CHECK(rig.tolds.size() == 2 * asks.size() + 2);
    rig.check_ends_released();
}

TEST_CASE("station: of 100 requests at once 64 wait, 36 are told busy at once; all 100 are told") {
    Rig rig;
    rig.go_live();
    rig.tolds.clear();
    for (int i = 0; i < 100; ++i) rig.station.ask(ask::SetMode{0});
    while (auto told = rig.station.told()) rig.tolds.push_back(*told);
    CHECK(rig.tolds.size() == 36);
    for (const auto& told : rig.tolds) CHECK(told.error->code == Errc::busy);
    rig.run_until([&] { return rig.tolds.size() == 100; }, 5000);
    CHECK(rig.tolds.size() == 100);
    rig.check_ends_released();
}

TEST_CASE(
    "station: stop in the middle answers what waits with closed; a push waits for a link that is opening") {
    Rig rig;
    const auto connect = rig.station.ask(ask::Connect{});
    const auto push = rig.station.ask(ask::Push{plain_image(2), 60});
    REQUIRE(rig.run_until([&] { return rig.told(push) != nullptr; }, 10000));
    CHECK_FALSE(rig.told(connect)->error.has_value());
    CHECK_FALSE(rig.told(push)->error.has_value());
    const auto mode = rig.station.ask(ask::SetMode{1});
    const auto other = rig.station.ask(ask::Connect{"sim"});
    rig.station.stop();
    while (auto told = rig.station.told()) rig.tolds.push_back(*told);
    REQUIRE(rig.told(mode) != nullptr);
    REQUIRE(rig.told(other) != nullptr);
    CHECK(rig.told(mode)->error->code == Errc::closed);
    CHECK(rig.told(other)->error->code == Errc::closed);
    rig.station.fetch(rig.now);
    CHECK(rig.now.state == LinkState::absent);
    rig.check_ends_released();
}
