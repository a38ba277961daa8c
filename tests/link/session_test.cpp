// The same tests against each link of one table.

#include "core/link/session.hpp"

#include <doctest/doctest.h>

#include "tests/link/faulty_link.hpp"
#include "tests/link/scripted_link.hpp"
#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;

namespace {

using Device = std::shared_ptr<sim::SimDevice>;

struct Row {
    const char* name;
    std::unique_ptr<link::Link> (*make)(const Device&);
};

std::unique_ptr<link::Link> over_hid(const Device& device) {
    return std::make_unique<link::MemoryLink>(device, Way::hid);
}
std::unique_ptr<link::Link> over_serial(const Device& device) {
    return std::make_unique<link::MemoryLink>(device, Way::serial);
}

template <Harm harm, int at>
std::unique_ptr<link::Link> harmed(const Device& device) {
    return std::make_unique<FaultyLink>(over_hid(device), Plan{harm, at, false});
}

/// Links that a session must get along with: whatever happens once to one message, hello apart, is made good.
constexpr Row k_links[] = {
    {"HID", over_hid},
    {"serial", over_serial},
    {"a request lost", harmed<Harm::drop, 3>},
    {"an answer lost", harmed<Harm::drop, 4>},
    {"an answer late", harmed<Harm::delay, 4>},
    {"a request twice", harmed<Harm::twice, 3>},
    {"an answer twice", harmed<Harm::twice, 4>},
    {"a wrong id", harmed<Harm::wrong_id, 4>},
    {"an answer too long", harmed<Harm::oversize, 4>},
    {"hello lost", harmed<Harm::drop, 1>},
    {"answer to hello lost", harmed<Harm::drop, 2>},
};

/// Opens, runs `test`, and checks that nothing is held after.
template <typename Test>
void on_each_link(Test test) {
    for (const Row& row : k_links) {
        CAPTURE(row.name);
        auto device = kept_device();
        {
            auto session = Session::open(row.make(device));
            REQUIRE(session.has_value());
            test(**session, *device);
        }
        check_ends_released(*device);
    }
}

}  // namespace

TEST_CASE("session: hello tells serial number, slots of 480 bytes and the kept profile") {
    on_each_link([](Session& session, sim::SimDevice&) {
        CHECK(session.serial() == "SIM00001");
        CHECK(session.hello().slots == 2);
        CHECK(session.hello().slot_bytes == 480);
        CHECK(session.greet()->image_crc == kept_crc());
        CHECK((session.hello().features & wire::k_feature_trial) != 0);
    });
}

TEST_CASE("session: the kept image reads back, byte for byte") {
    on_each_link([](Session& session, sim::SimDevice&) {
        std::size_t told = 0;
        const auto read = session.read_image(wire::k_slot_current, [&](std::size_t done, std::size_t) {
            told = done;
            return true;
        });
        REQUIRE(read.has_value());
        CHECK(*read == plain_image(1));
        CHECK(told == read->size());
    });
}

TEST_CASE("session: push, keep and read back; the older profile is gone after a power cut") {
    on_each_link([](Session& session, sim::SimDevice& device) {
        const auto image = plain_image(2);
        const auto pushed = session.push(image, 30);
        REQUIRE(pushed.has_value());
        CHECK(pushed->bytes_sent == image.size());
        CHECK(pushed->trial.image_crc == crc_of(image));
        CHECK(pushed->trial.seconds_left <= 30);
        CHECK(session.keep(pushed->trial.id, crc_of(image), false).error().code == Errc::unproven);
        const auto kept = session.keep(pushed->trial.id, crc_of(image), true);
        REQUIRE(kept.has_value());
        CHECK(kept->phase == wire::TrialPhase::kept);
        CHECK(*session.read_image(wire::k_slot_current) == image);
        CHECK(boots_to(device.eeprom().bytes()) == crc_of(image));
    });
}

TEST_CASE("session: a second push during a trial is busy, and asked for no longer than 10 s") {
    on_each_link([](Session& session, sim::SimDevice&) {
        REQUIRE(session.push(plain_image(2), 60).has_value());
        const auto begin_ms = session.link().now_ms();
        CHECK(session.push(plain_image(3), 60).error().code == Errc::busy);
        CHECK(session.link().now_ms() - begin_ms <= 10600);
    });
}

TEST_CASE("session: mode, variant, health, display and release are answered") {
    on_each_link([](Session& session, sim::SimDevice& device) {
        CHECK(session.set_mode(1).has_value());
        CHECK(device.device().engine().state().mode == 1);
        CHECK(session.set_mode(9).error().code == Errc::garbled);
        CHECK(session.set_variant(1).has_value());
        CHECK(device.device().engine().state().variant == 1);
        CHECK(session.info()->frames_in > 3);
        CHECK(session.display(0)->size() == 20);
        CHECK(session.display(0)->find("two") != std::string::npos);
        CHECK(session.release().has_value());
    });
}

TEST_CASE("session: release lets go of a button that a switch holds") {
    on_each_link([](Session& session, sim::SimDevice& device) {
        device.hands().close_switch(1, device.now_us() + 1000);
        REQUIRE(session.listen(100).has_value());
        CHECK(device.host().view().buttons == 1);
        REQUIRE(session.release().has_value());
        REQUIRE(session.listen(20).has_value());
        CHECK_FALSE(device.host().view().holds_anything());
        device.hands().open_switch(1, device.now_us() + 1000);
    });
}

TEST_CASE("session: 21 injected presses change the mode 21 times, also when a request or an answer is lost") {
    on_each_link([](Session& session, sim::SimDevice& device) {
        int modes = 0;
        REQUIRE(session
                    .subscribe(false, false,
                               [&](const link::TimedEvent& timed) {
                                   modes += timed.event.kind == engine::EventKind::mode ? 1 : 0;
                               })
                    .has_value());
        std::vector<wire::InjectStep> steps;
        for (int i = 0; i < 21; ++i) {
            steps.push_back({0, 50000});
            steps.push_back({1, 50000});
        }
        REQUIRE(session.inject(3, steps).has_value());
        REQUIRE(session.listen(5000).has_value());
        CHECK(modes == 21);
        CHECK(device.device().engine().state().mode == 1);
    });
}

TEST_CASE(
    "session: a progress that says no ends a push as cancelled; the kept profile stays, the next push "
    "works") {
    on_each_link([](Session& session, sim::SimDevice& device) {
        const auto stopped =
            session.push(plain_image(2), 0, [](std::size_t done, std::size_t) { return done < 90; });
        CHECK(stopped.error().code == Errc::cancelled);
        CHECK(boots_to(device.eeprom().bytes()) == kept_crc());
        CHECK(session.push(plain_image(3), 0).has_value());
    });
}

TEST_CASE("session: images that cannot be are refused here: too large, too short, CRC wrong, size wrong") {
    on_each_link([](Session& session, sim::SimDevice& device) {
        const auto frames = device.device().info().frames_in;
        CHECK(session.push(Bytes(481, 1), 0).error().code == Errc::too_large);
        CHECK(session.push(Bytes(), 0).error().code == Errc::garbled);
        CHECK(session.push(Bytes(19, 0), 0).error().code == Errc::garbled);
        auto flipped = plain_image(2);
        flipped[40] ^= 1;
        CHECK(session.push(flipped, 0).error().code == Errc::garbled);
        auto longer = plain_image(2);
        longer.push_back(0);
        CHECK(session.push(longer, 0).error().code == Errc::garbled);
        CHECK(device.device().info().frames_in == frames);
    });
}

TEST_CASE(
    "session: an image that is whole and cannot run is refused by the device, the kept profile goes on") {
    on_each_link([](Session& session, sim::SimDevice& device) {
        auto sections = plain_sections();
        section_of(sections, wire::Tag::modes).body[1] = 200;  // an action that there is not
        CHECK(session.push(build(sections, 2), 0).error().code == Errc::refused);
        CHECK(runs(device) == kept_crc());
        CHECK(boots_to(device.eeprom().bytes()) == kept_crc());
    });
}

TEST_CASE("session: trial seconds below 20 or above 600 are refused, the profile's own are 60") {
    on_each_link([](Session& session, sim::SimDevice&) {
        CHECK(session.push(plain_image(2), 19).error().code == Errc::garbled);
        CHECK(session.push(plain_image(2), 601).error().code == Errc::garbled);
        const auto pushed = session.push(plain_image(2), 0);
        REQUIRE(pushed.has_value());
        CHECK(pushed->trial.seconds_left == 60);
    });
}

TEST_CASE("session: edges of 3 injections follow each other in order, however late each is") {
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

TEST_CASE("session: a later session whose first request has the same id as an earlier one's injects again") {
    auto device = kept_device();
    for (int run = 1; run <= 3; ++run) {
        auto session = open_session(device, Way::hid);
        const wire::InjectStep press[] = {{0, 1000}, {1, 50000}};
        REQUIRE(session->inject(3, press).has_value());
        REQUIRE(session->listen(300).has_value());
        CHECK(device->device().engine().state().mode == run % 2);
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

TEST_CASE("display: each of 4 rows says that there are 4 and has 20 characters; a fifth is refused") {
    auto device = kept_device();
    auto session = open_session(device, Way::hid);
    for (std::uint8_t row = 0; row < 4; ++row) {
        const auto got = session->display_row(row);
        REQUIRE(got.has_value());
        CHECK(got->rows == 4);
        CHECK(got->text.size() == 20);
        CHECK(session->display(row).value() == got->text);
    }
    CHECK(session->display_row(4).error().code == Errc::garbled);
}
