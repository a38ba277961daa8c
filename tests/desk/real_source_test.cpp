// Real and simulated devices behind one source: what is seen comes from a scan that a test writes, links are
// to simulated devices. Discovery's own thread runs; a test waits for it by what it tells.

#include <doctest/doctest.h>

#include <condition_variable>
#include <map>
#include <mutex>

#include "app/desk/real_source.hpp"
#include "core/link/memory_link.hpp"
#include "tests/desk/station_rig.hpp"

using namespace fettle;
using namespace fettle::app;
using namespace fettle::app::test;
using fettle::test::plain_image;

namespace {

/// News come when the test says so.
class ToldWatch : public link::DeviceWatch {
public:
    link::Change wait(std::uint32_t) override {
        std::unique_lock lock(mutex_);
        told_.wait(lock, [&] { return has_news_ || is_woken_; });
        is_woken_ = false;
        return std::exchange(has_news_, false) ? link::Change::maybe : link::Change::none;
    }
    void wake() override {
        const std::lock_guard lock(mutex_);
        is_woken_ = true;
        told_.notify_all();
    }
    void news() {
        const std::lock_guard lock(mutex_);
        has_news_ = true;
        told_.notify_all();
    }

private:
    std::mutex mutex_;
    std::condition_variable told_;
    bool has_news_ = false, is_woken_ = false;
};

link::Attached real(const std::string& path, const std::string& serial, const std::string& place) {
    return {link::ChannelKind::hid, path, serial, "Fettle access device", place, "", true};
}

/// What the link says of itself is what it would be over USB.
class AsHid : public link::Link {
public:
    explicit AsHid(std::shared_ptr<sim::SimDevice> device)
        : inner_(std::move(device), link::MemoryLink::Way::hid) {}
    Status send(std::span<const std::uint8_t> message) override { return inner_.send(message); }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        return inner_.receive(wait_ms);
    }
    std::uint64_t now_ms() const override { return inner_.now_ms(); }
    link::ChannelKind channel() const override { return link::ChannelKind::hid; }

private:
    link::MemoryLink inner_;
};

/// A computer with sockets.
struct Sockets {
    Sockets() {
        auto told = std::make_unique<ToldWatch>();
        watch = told.get();
        link::Discovery::Wish wish;
        wish.watch = std::move(told);
        wish.scan = [this]() -> Result<link::Sight> {
            std::unique_lock lock(mutex);
            may_look.wait(lock, [&] { return is_seeing; });
            return sight;
        };
        wish.open = [this](const link::Attached& one) -> Result<std::unique_ptr<link::Link>> {
            const auto at = devices.find(one.path);
            if (at == devices.end()) return fail(Errc::in_use, one.path, "process 1234");
            return std::unique_ptr<link::Link>(std::make_unique<AsHid>(at->second));
        };
        wish.on_change = [this] {
            const std::lock_guard lock(mutex);
            ++changes;
            changed.notify_all();
        };
        source = std::make_unique<RealSource>(std::move(wish), clock, std::make_unique<SimSource>());
    }
    ~Sockets() {
        see({});
        source.reset();
    }
    /// Returns when Discovery has published it.
    void see(link::Sight seen) {
        std::unique_lock lock(mutex);
        if (is_seeing && sight == seen) return;
        sight = std::move(seen);
        const int before = changes;
        const bool is_first = !std::exchange(is_seeing, true);
        may_look.notify_all();
        if (!is_first) watch->news();
        changed.wait(lock, [&] { return changes > before; });
    }

    FakeClock clock;
    std::mutex mutex;
    std::condition_variable may_look, changed;
    bool is_seeing = false;
    int changes = 0;
    link::Sight sight;
    ToldWatch* watch = nullptr;
    std::map<std::string, std::shared_ptr<sim::SimDevice>> devices;
    std::unique_ptr<RealSource> source;
};

std::vector<std::string> paths(const std::vector<link::Attached>& all) {
    std::vector<std::string> paths;
    for (const auto& one : all) paths.push_back(one.path);
    return paths;
}

}  // namespace

TEST_CASE("real source: nothing is told, not the simulated device either, until the first look is over") {
    Sockets computer;
    CHECK_FALSE(computer.source->has_looked());
    CHECK(computer.source->found().empty());
    computer.see({});
    CHECK(computer.source->has_looked());
    CHECK(paths(computer.source->found()) == std::vector<std::string>{"sim", "sim:serial"});
}

TEST_CASE("real source: 2 real devices stand before the 2 ways of the simulated one; a stranger is told") {
    Sockets computer;
    computer.see(
        {{real("/dev/hidraw3", "A1", "1-1"), real("/dev/hidraw5", "B2", "1-2")}, {{"1-4", "loader"}}});
    CHECK(paths(computer.source->found()) ==
          std::vector<std::string>{"/dev/hidraw3", "/dev/hidraw5", "sim", "sim:serial"});
    CHECK(computer.source->strangers() == std::vector<link::Stranger>{{"1-4", "loader"}});
    computer.see({});
    CHECK(paths(computer.source->found()) == std::vector<std::string>{"sim", "sim:serial"});
    CHECK(computer.source->strangers().empty());
}

TEST_CASE("real source: the simulated device has hands until a real one is opened, and again when it is") {
    Sockets computer;
    const auto one = real("/dev/hidraw3", "A1", "1-1");
    computer.devices["/dev/hidraw3"] = std::make_shared<sim::SimDevice>();
    computer.see({{one}, {}});
    CHECK(computer.source->simulated() != nullptr);
    {
        const auto opened = computer.source->open(one);
        REQUIRE(opened);
        CHECK((*opened)->channel() == link::ChannelKind::hid);
        CHECK(computer.source->simulated() == nullptr);
    }
    const auto simulated = computer.source->open(computer.source->found().back());
    REQUIRE(simulated);
    CHECK((*simulated)->channel() == link::ChannelKind::simulated);
    CHECK(computer.source->simulated() != nullptr);
}

TEST_CASE("real source: 4 openings that fail say why, and leave the simulated device its hands") {
    Sockets computer;
    auto shut = real("/dev/hidraw5", "B2", "1-2");
    shut.is_accessible = false;
    computer.see({{real("/dev/hidraw3", "A1", "1-1"), shut}, {}});
    const auto code = [&](const link::Attached& one) { return computer.source->open(one).error().code; };
    CHECK(code(real("/dev/hidraw3", "A1", "1-1")) == Errc::in_use);
    CHECK(code(shut) == Errc::no_access);
    CHECK(code(real("/dev/hidraw9", "C3", "1-3")) == Errc::not_found);
    CHECK(code({link::ChannelKind::simulated, "sim:other", "", ""}) == Errc::not_found);
    CHECK(computer.source->simulated() != nullptr);
}

TEST_CASE("real source: a station opens the only real device, pushes to it, and has no hands there") {
    Sockets computer;
    const auto device = std::make_shared<sim::SimDevice>();
    computer.devices["/dev/hidraw3"] = device;
    computer.see({{real("/dev/hidraw3", "A1", "1-1")}, {}});
    DeviceClock clock(device);
    Station station(*computer.source, clock);
    DeviceNow now;
    const auto answer = [&](Ask what) { return answered(station, clock, now, std::move(what)); };
    CHECK_FALSE(answer(ask::Connect{}).error.has_value());
    CHECK(now.attached->path == "/dev/hidraw3");
    CHECK_FALSE(now.is_simulated);
    CHECK(now.found.size() == 3);
    CHECK_FALSE(answer(ask::Push{plain_image(4), 60}).error.has_value());
    CHECK(answer(ask::PowerCut{}).error->code == Errc::unsupported);
    CHECK_FALSE(answer(ask::Connect{"sim"}).error.has_value());
    CHECK(now.is_simulated);
    CHECK(now.hello->current_slot == wire::k_slot_built_in);  // it was never pushed to
    CHECK_FALSE(answer(ask::PowerCut{}).error.has_value());
    station.stop();
}
