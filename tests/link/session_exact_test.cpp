// What can be said to the millisecond, on the simulated clock, or only of a link that fails as planned.

#include <doctest/doctest.h>

#include "tests/link/faulty_link.hpp"
#include "tests/link/scripted_link.hpp"
#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;

namespace {

using Device = std::shared_ptr<sim::SimDevice>;

std::unique_ptr<link::Link> over_hid(const Device& device) {
    return std::make_unique<link::MemoryLink>(device, Way::hid);
}

}  // namespace

TEST_CASE("session: a second push during a trial is busy, and asked for no longer than 10 s") {
    for (const Way way : {Way::hid, Way::serial}) {
        auto device = kept_device();
        auto session = open_session(device, way);
        REQUIRE(session->push(plain_image(2), 60).has_value());
        const auto begin_ms = session->link().now_ms();
        CHECK(session->push(plain_image(3), 60).error().code == Errc::busy);
        CHECK(session->link().now_ms() - begin_ms <= 10600);
        check_ends_released(*device);
    }
}

TEST_CASE("session: the profile's own trial begins with 60 s, to the second") {
    auto device = kept_device();
    const auto pushed = open_session(device, Way::hid)->push(plain_image(2), 0);
    REQUIRE(pushed.has_value());
    CHECK(pushed->trial.seconds_left == 60);
    check_ends_released(*device);
}

TEST_CASE("session: edges of 3 injections are 20 and 40 ms apart, to the 4 us of telemetry") {
    auto device = kept_device();
    auto session = open_session(device, Way::hid);
    std::vector<std::pair<int, std::int64_t>> edges;
    REQUIRE(session
                ->subscribe(false, true,
                            [&](const link::TimedEvent& timed) {
                                if (timed.event.kind == engine::EventKind::edge)
                                    edges.emplace_back(timed.event.data[0], timed.at_us);
                            })
                .has_value());
    for (const std::uint8_t line : std::initializer_list<std::uint8_t>{7, 3, 8}) {
        const wire::InjectStep press[] = {{0, 40000}, {1, 20000}};
        REQUIRE(session->inject(line, press).has_value());
    }
    REQUIRE(session->listen(1000).has_value());
    REQUIRE(edges.size() == 6);
    for (std::size_t i = 0; i < edges.size(); ++i) {
        CHECK(edges[i].first == (i < 2 ? 7 : i < 4 ? 3 : 8));
        // Telemetry's own step is 4 us.
        if (i > 0) CHECK(std::abs(edges[i].second - edges[i - 1].second - (i % 2 != 0 ? 20000 : 40000)) <= 4);
    }
    check_ends_released(*device);
}

TEST_CASE(
    "session: the answer to an injection lost or late, or the request twice: the mode still changes once") {
    const Plan plans[] = {
        {Harm::drop, 3, false}, {Harm::drop, 4, false}, {Harm::delay, 4, false}, {Harm::twice, 3, false}};
    for (const Plan& plan : plans) {
        CAPTURE(static_cast<int>(plan.harm));
        CAPTURE(plan.at);
        auto device = kept_device();
        auto session = Session::open(std::make_unique<FaultyLink>(over_hid(device), plan));
        REQUIRE(session.has_value());
        const wire::InjectStep press[] = {{0, 1000}, {1, 50000}};
        REQUIRE((*session)->inject(3, press).has_value());
        REQUIRE((*session)->listen(500).has_value());
        CHECK(device->device().engine().state().mode == 1);
        check_ends_released(*device);
    }
}

TEST_CASE("ping: a round trip of at most 3 ms on the simulated bus, the same device clock as its tick says") {
    for (const Way way : {Way::hid, Way::serial}) {
        auto device = kept_device();
        auto session = open_session(device, way);
        std::uint32_t last_us = 0;
        for (int i = 0; i < 300; ++i) {  // more than there are request ids
            const auto before_us = device->now_us();
            const auto figures = session->ping();
            REQUIRE(figures.has_value());
            CHECK(figures->round_trip_us == device->now_us() - before_us);
            CHECK(figures->round_trip_us >= 1000);
            CHECK(figures->round_trip_us <= 3000);
            CHECK(figures->inside_us <= figures->round_trip_us);
            CHECK(figures->device_us >= before_us);
            CHECK(figures->device_us <= device->now_us());
            CHECK(figures->device_us > last_us);
            last_us = figures->device_us;
        }
        check_ends_released(*device);
    }
}

TEST_CASE("ping: lost once it is asked again, and its round trip counts from the first try") {
    auto device = kept_device();
    auto session = Session::open(std::make_unique<FaultyLink>(over_hid(device), Plan{Harm::drop, 4, false}));
    REQUIRE(session.has_value());
    const auto figures = (*session)->ping();
    REQUIRE(figures.has_value());
    CHECK(figures->round_trip_us > link::Limits{}.answer_ms * 1000u);
}

TEST_CASE("ping: an answer with another stamp, one that is too short, and silence are three errors") {
    for (const int kind : {0, 1, 2}) {
        CAPTURE(kind);
        auto session =
            Session::open(std::make_unique<ScriptedLink>([&](const link::Message& m, auto& answers) {
                if (m[0] == static_cast<std::uint8_t>(wire::MessageType::hello))
                    return answers.push_back(hello_reply(m[1]));
                std::uint8_t raw[wire::k_message_max];
                const auto size = wire::put_ping(raw, m[1], {999, 1, 2});
                if (kind == 0) answers.emplace_back(raw, raw + size);
                if (kind == 1) answers.emplace_back(raw, raw + 5);
            }));
        REQUIRE(session.has_value());
        CHECK((*session)->ping().error().code == (kind == 2 ? Errc::timed_out : Errc::garbled));
    }
}
