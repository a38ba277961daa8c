// The simulated device as a source: two ways into one device, what is remembered, time that goes on, a paced
// link.

#include <doctest/doctest.h>

#include <filesystem>

#include "app/desk/sim_source.hpp"
#include "core/base/files.hpp"
#include "tests/base/folder.hpp"
#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using fettle::test::crc_of;
using fettle::test::plain_image;

namespace {

struct Simulated {
    explicit Simulated(const std::string& folder = {}, std::shared_ptr<Pace> pace = nullptr)
        : source(folder, std::move(pace)), clock(source.simulated()), station(source, clock) {}
    SimSource source;
    DeviceClock clock;
    Station station;
    DeviceNow now;

    Told answer(Ask what) { return answered(station, clock, now, std::move(what)); }
    void run_ms(std::int64_t ms) {
        for (const auto end = clock.ms() + ms; clock.ms() < end;) station.step();
        station.fetch(now);
    }
};

std::uint32_t runs_after_start(const std::string& folder) {
    SimSource source(folder);
    source.idle(1000);
    const auto hello = source.simulated()->device().hello();
    return hello.current_slot == wire::k_slot_built_in ? 0 : hello.image_crc;
}

}  // namespace

TEST_CASE("simulated source: two ways into one device; what is pushed by one is read by the other") {
    Simulated s;
    CHECK(s.source.found().size() == 2);
    CHECK_FALSE(s.answer(ask::Connect{"sim:serial"}).error.has_value());
    CHECK(s.now.attached->path == "sim:serial");
    CHECK_FALSE(s.answer(ask::Push{plain_image(4), 60}).error.has_value());
    CHECK_FALSE(s.answer(ask::Connect{"sim"}).error.has_value());
    CHECK(s.now.attached->path == "sim");
    const Told read = s.answer(ask::ReadImage{});
    CHECK(read.image == plain_image(4));
    CHECK(s.answer(ask::Connect{"sim:other"}).error->code == Errc::not_found);
    CHECK_FALSE(s.source.open({link::ChannelKind::simulated, "sim:other", "", ""}).has_value());
}

TEST_CASE("simulated source: connect to anything takes the HID way; a pulled cable is found by nobody") {
    Simulated s;
    CHECK_FALSE(s.answer(ask::Connect{}).error.has_value());
    CHECK(s.now.attached->path == "sim");
    CHECK_FALSE(s.answer(ask::Cable{false}).error.has_value());
    CHECK(s.source.found().empty());
    CHECK(s.source.open({link::ChannelKind::simulated, "sim", "", ""}).error().code == Errc::not_found);
}

TEST_CASE("simulated source: what was kept is there next time, with mode 0600; what was on trial is not") {
    fettle::test::Folder folder;
    const std::string state = folder / "deep/state";
    {
        Simulated s(state);
        s.answer(ask::Connect{});
        CHECK_FALSE(s.answer(ask::Push{plain_image(4), 60}).error.has_value());
        CHECK_FALSE(s.answer(ask::Keep{true}).error.has_value());
        // Saved within two seconds of the keep: a kill from here on loses nothing.
        s.run_ms(2000);
        CHECK(runs_after_start(state) == crc_of(plain_image(4)));
        CHECK(fettle::test::mode_of(state + "/simulated-eeprom") == 0600);
        CHECK_FALSE(s.answer(ask::Push{plain_image(5), 60}).error.has_value());
    }
    CHECK(runs_after_start(state) == crc_of(plain_image(4)));
    Simulated again(state);
    CHECK_FALSE(again.answer(ask::Connect{}).error.has_value());
    CHECK(again.now.hello->image_crc == crc_of(plain_image(4)));
    again.run_ms(1500);
    CHECK_FALSE(again.now.source_trouble.has_value());
}

TEST_CASE("simulated source: a damaged file, one byte, cut, or too long, is put aside whole and told once") {
    fettle::test::Folder folder;
    {
        Simulated s(folder.path());
        s.answer(ask::Connect{});
        s.answer(ask::Push{plain_image(4), 60});
        s.answer(ask::Keep{true});
    }
    const std::string path = folder / "simulated-eeprom";
    const std::string good = read_file(path, 100000).value();
    CHECK(good.size() == 16 + 1024 + 4);
    std::vector<std::string> damaged = {"", "x", good.substr(0, 500), good + "x"};
    for (const std::size_t at : {0u, 20u, 700u, 1043u}) {
        damaged.push_back(good);
        damaged.back()[at] = static_cast<char>(damaged.back()[at] ^ 4);
    }
    for (const std::string& content : damaged) {
        CAPTURE(content.size());
        REQUIRE(save_file(path, content).has_value());
        Simulated s(folder.path());
        CHECK_FALSE(std::filesystem::exists(path));
        CHECK(read_file(path + ".damaged", 100000).value() == content);
        s.run_ms(3000);
        REQUIRE(s.now.source_trouble.has_value());
        CHECK(s.now.source_trouble->code == Errc::garbled);
        CHECK_FALSE(s.source.tend().has_value());
        CHECK(s.source.simulated()->device().hello().current_slot == wire::k_slot_built_in);
    }
}

TEST_CASE(
    "simulated source: a file that cannot be read is told and not written over; a folder that is a file, "
    "too") {
    fettle::test::Folder folder;
    const std::string path = folder / "simulated-eeprom";
    std::filesystem::create_directory(path);  // a folder: reading it is an error of the system
    {
        Simulated s(folder.path());
        s.answer(ask::Connect{});
        s.answer(ask::Push{plain_image(4), 60});
        s.answer(ask::Keep{true});
        s.run_ms(3000);
        REQUIRE(s.now.source_trouble.has_value());
        CHECK(s.now.source_trouble->code == Errc::io);
    }
    CHECK(std::filesystem::is_directory(path));
    REQUIRE(save_file(folder / "file", "here").has_value());
    Simulated s(folder / "file");
    s.answer(ask::Connect{});
    s.answer(ask::Push{plain_image(4), 60});
    CHECK_FALSE(s.answer(ask::Keep{true}).error.has_value());
    s.run_ms(3000);
    CHECK(s.now.source_trouble.has_value());
    CHECK(read_file(folder / "file", 100).value() == "here");
}

TEST_CASE(
    "pace: the simulated clock follows a fake one to a ms for 60 s of listening, requests and rest between") {
    FakeClock fake;
    std::uint64_t slept_ms = 0;
    const auto pace = std::make_shared<Pace>(fake, [&](std::uint32_t ms) {
        slept_ms += ms;
        fake.advance_ms(ms);
    });
    SimSource source({}, pace);
    Station station(source, fake);
    DeviceNow now;
    source.idle(0);
    const auto device_us = [&] { return static_cast<std::int64_t>(source.simulated()->now_us()); };
    const auto lag_us = [&, real = fake.monotonic_us(), simulated = device_us()] {
        return (fake.monotonic_us() - real) - (device_us() - simulated);
    };
    station.ask(ask::Connect{});
    std::int64_t worst_us = 0;
    for (int round = 0; fake.monotonic_us() < 60'000'000; ++round) {
        station.step();
        station.fetch(now);
        if (round == 500) station.ask(ask::Push{plain_image(4), 20});
        if (round == 3000) station.ask(ask::Disconnect{});
        if (round == 3500) station.ask(ask::Connect{});
        if (now.state == LinkState::absent || now.state == LinkState::opening) fake.advance_ms(8);
        worst_us = std::max({worst_us, lag_us(), -lag_us()});
    }
    CHECK(worst_us <= 16000);  // a rest of 8 ms between two rounds, and one round
    CHECK(now.state == LinkState::live);
    CHECK(slept_ms > 40000);
    CHECK(now.trial.phase == wire::TrialPhase::expired);
    CHECK(now.health.telemetry.batches_lost == 0);
    CHECK(now.health.reconnects == 0);
}

TEST_CASE("pace: an hour of the computer's sleep is not made up for; 4 s are") {
    FakeClock fake;
    Pace pace(fake, [](std::uint32_t) {});
    CHECK(pace.behind_ms(1000) == 0);
    fake.advance_ms(4000);
    CHECK(pace.behind_ms(1000) == 4000);
    CHECK(pace.behind_ms(2'001'000) == 2000);
    fake.advance_ms(3'600'000);
    CHECK(pace.behind_ms(4'001'000) == 0);
    fake.advance_ms(10);
    CHECK(pace.behind_ms(4'001'000) == 10);
    CHECK(pace.behind_ms(5'001'000) == 0);  // ahead: it waits
}
