// The same tests over every link of one table, in memory and over a real kernel.

#include "core/link/session.hpp"

#include <doctest/doctest.h>

#include "tests/link/on_each_bench.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;

TEST_CASE("session: hello tells serial number, slots of 480 bytes and the kept profile") {
    on_each_bench([](Session& session, Bench&) {
        CHECK(session.serial() == "SIM00001");
        CHECK(session.hello().slots == 2);
        CHECK(session.hello().slot_bytes == 480);
        CHECK(session.greet()->image_crc == kept_crc());
        CHECK((session.hello().features & wire::k_feature_trial) != 0);
    });
}

TEST_CASE("session: the kept image reads back, byte for byte") {
    on_each_bench([](Session& session, Bench&) {
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
    on_each_bench([](Session& session, Bench& bench) {
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
        CHECK(boots_to_on(bench) == crc_of(image));
    });
}

TEST_CASE("session: a second push during a trial is busy, and asked for as long as the limit says") {
    link::Limits limits;
    limits.busy_ms = 300;
    on_each_bench(
        [&](Session& session, Bench&) {
            REQUIRE(session.push(plain_image(2), 60).has_value());
            const auto begin_ms = session.link().now_ms();
            CHECK(session.push(plain_image(3), 60).error().code == Errc::busy);
            CHECK(session.link().now_ms() - begin_ms >= limits.busy_ms);
            CHECK(session.trial()->image_crc == crc_of(plain_image(2)));
        },
        limits);
}

TEST_CASE("session: mode, variant, health, display and release are answered") {
    on_each_bench([](Session& session, Bench& bench) {
        CHECK(session.set_mode(1).has_value());
        CHECK(mode_of(bench) == 1);
        CHECK(session.set_mode(9).error().code == Errc::garbled);
        CHECK(session.set_variant(1).has_value());
        const auto variant = [](auto& device) { return int{device.device().engine().state().variant}; };
        CHECK(of_device(bench, variant) == 1);
        CHECK(session.info()->frames_in > 3);
        CHECK(session.display(0)->size() == 20);
        CHECK(session.display(0)->find("two") != std::string::npos);
        CHECK(session.release().has_value());
    });
}

TEST_CASE("session: release lets go of a button that a switch holds") {
    on_each_bench([](Session& session, Bench& bench) {
        const auto buttons = [&] {
            return of_device(bench, [](auto& device) { return int{device.host().view().buttons}; });
        };
        bench.with([](sim::SimDevice& device) { device.hands().close_switch(1, device.now_us() + 1000); });
        CHECK(comes_true(session, [&] { return buttons() == 1; }));
        REQUIRE(session.release().has_value());
        CHECK(comes_true(session, [&] { return buttons() == 0; }));
        const auto holds = [](auto& device) { return device.host().view().holds_anything(); };
        CHECK_FALSE(of_device(bench, holds));
        bench.with([](sim::SimDevice& device) { device.hands().open_switch(1, device.now_us() + 1000); });
    });
}

TEST_CASE("session: 21 injected presses change the mode 21 times, also when a request or an answer is lost") {
    on_each_bench([](Session& session, Bench& bench) {
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
        CHECK(comes_true(session, [&] { return modes >= 21; }));
        listen_device_ms(session, bench, 300);
        CHECK(modes == 21);
        CHECK(mode_of(bench) == 1);
    });
}

TEST_CASE(
    "session: a progress that says no ends a push as cancelled; the kept profile stays, the next push "
    "works") {
    on_each_bench([](Session& session, Bench& bench) {
        const auto stopped =
            session.push(plain_image(2), 0, [](std::size_t done, std::size_t) { return done < 90; });
        CHECK(stopped.error().code == Errc::cancelled);
        CHECK(boots_to_on(bench) == kept_crc());
        CHECK(session.push(plain_image(3), 0).has_value());
    });
}

TEST_CASE("session: images that cannot be are refused here: too large, too short, CRC wrong, size wrong") {
    on_each_bench([](Session& session, Bench& bench) {
        const auto frames = [&] {
            return of_device(bench, [](auto& device) { return device.device().info().frames_in; });
        };
        const auto before = frames();
        CHECK(session.push(Bytes(481, 1), 0).error().code == Errc::too_large);
        CHECK(session.push(Bytes(), 0).error().code == Errc::garbled);
        CHECK(session.push(Bytes(19, 0), 0).error().code == Errc::garbled);
        auto flipped = plain_image(2);
        flipped[40] ^= 1;
        CHECK(session.push(flipped, 0).error().code == Errc::garbled);
        auto longer = plain_image(2);
        longer.push_back(0);
        CHECK(session.push(longer, 0).error().code == Errc::garbled);
        CHECK(frames() == before);
    });
}

TEST_CASE(
    "session: an image that is whole and cannot run is refused by the device, the kept profile goes on") {
    on_each_bench([](Session& session, Bench& bench) {
        auto sections = plain_sections();
        section_of(sections, wire::Tag::modes).body[1] = 200;  // an action that there is not
        CHECK(session.push(build(sections, 2), 0).error().code == Errc::refused);
        CHECK(runs_on(bench) == kept_crc());
        CHECK(boots_to_on(bench) == kept_crc());
    });
}

TEST_CASE("session: trial seconds below 20 or above 600 are refused, the profile's own are 60") {
    on_each_bench([](Session& session, Bench&) {
        CHECK(session.push(plain_image(2), 19).error().code == Errc::garbled);
        CHECK(session.push(plain_image(2), 601).error().code == Errc::garbled);
        const auto pushed = session.push(plain_image(2), 0);
        REQUIRE(pushed.has_value());
        CHECK(pushed->trial.seconds_left <= 60);
        CHECK(pushed->trial.seconds_left > 40);  // what a lost answer and a slow machine may take of it
    });
}

TEST_CASE("session: edges of 3 injections follow each other in order, however late each is") {
    on_each_bench([](Session& session, Bench&) {
        std::vector<std::pair<int, std::int64_t>> edges;
        REQUIRE(session
                    .subscribe(false, true,
                               [&](const link::TimedEvent& timed) {
                                   if (timed.event.kind == engine::EventKind::edge)
                                       edges.emplace_back(timed.event.data[0], timed.at_us);
                               })
                    .has_value());
        for (const std::uint8_t line : std::initializer_list<std::uint8_t>{7, 3, 8}) {
            const wire::InjectStep press[] = {{0, 40000}, {1, 20000}};
            REQUIRE(session.inject(line, press).has_value());
        }
        REQUIRE(comes_true(session, [&] { return edges.size() >= 6; }));
        REQUIRE(edges.size() == 6);
        for (std::size_t i = 0; i < edges.size(); ++i) {
            CHECK(edges[i].first == (i < 2 ? 7 : i < 4 ? 3 : 8));
            const bool is_release = i % 2 != 0;
            if (i == 0) continue;
            const auto gap_us = edges[i].second - edges[i - 1].second;
            // Telemetry's own step is 4 us. A request that comes late makes a longer gap before its press.
            CHECK(gap_us >= (is_release ? 20000 : 40000) - 4);
            if (is_release) CHECK(gap_us <= 20000 + 4);
        }
    });
}

TEST_CASE("session: a later session whose first request has the same id as an earlier one's injects again") {
    for (const BenchRow& row : benches()) {
        CAPTURE(row.name);
        auto bench = row.make();
        for (int run = 1; run <= 3; ++run) {
            auto session = Session::open(bench->open());
            REQUIRE(session.has_value());
            const wire::InjectStep press[] = {{0, 1000}, {1, 50000}};
            REQUIRE((*session)->inject(3, press).has_value());
            CHECK(comes_true(**session, [&] { return mode_of(*bench) == run % 2; }));
            listen_device_ms(**session, *bench, 100);
            CHECK(mode_of(*bench) == run % 2);
        }
        check_ends_released(*bench);
    }
}

TEST_CASE("ping: 300 questions, more than there are ids, are answered in order of the device's clock") {
    on_each_bench([](Session& session, Bench& bench) {
        const auto clock = [&] { return of_device(bench, [](auto& device) { return device.now_us(); }); };
        const auto begin_us = clock();
        std::uint32_t last_us = 0;
        for (int i = 0; i < 300; ++i) {
            const auto figures = session.ping();
            REQUIRE(figures.has_value());
            CHECK(figures->round_trip_us > 0);
            CHECK(figures->device_us >= begin_us);
            CHECK(figures->device_us > last_us);
            last_us = figures->device_us;
        }
        CHECK(last_us <= clock());
    });
}

TEST_CASE("display: each of 4 rows says that there are 4 and has 20 characters; a fifth is refused") {
    on_each_bench([](Session& session, Bench&) {
        for (std::uint8_t row = 0; row < 4; ++row) {
            const auto got = session.display_row(row);
            REQUIRE(got.has_value());
            CHECK(got->rows == 4);
            CHECK(got->text.size() == 20);
            CHECK(session.display(row).value() == got->text);
        }
        CHECK(session.display_row(4).error().code == Errc::garbled);
    });
}
