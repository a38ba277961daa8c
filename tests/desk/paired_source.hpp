#pragma once
// Real devices for a station, as far as it can tell: each a simulated one with both channels, of which a test
// works the first one's harm, at a place that it chooses.

#include <memory>
#include <string>
#include <vector>

#include "core/link/memory_port.hpp"
#include "core/link/paired_link.hpp"
#include "tests/desk/station_rig.hpp"
#include "tests/link/faulty_link.hpp"

namespace fettle::app::test {

class PairedSource : public LinkSource {
public:
    struct Entry {
        link::Attached attached;
        std::shared_ptr<sim::SimDevice> device;
    };
    explicit PairedSource(std::shared_ptr<sim::SimDevice> its_clock) : clock_(std::move(its_clock)) {}

    std::vector<link::Attached> found() override {
        std::vector<link::Attached> all;
        for (const Entry& entry : entries)
            if (entry.device->is_plugged()) all.push_back(entry.attached);
        return all;
    }
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) override {
        opened.push_back(attached.path);
        if (refuses) return Unexpected{*refuses};
        for (const Entry& entry : entries)
            if (entry.device->is_plugged() && entry.attached.path == attached.path) return open(entry.device);
        return fail(Errc::not_found, attached.path);
    }
    /// All devices have one clock: the first one's, which the station waits on.
    void idle(std::uint32_t ms) override { clock_->advance_ms(ms); }

    /// Adds a device at a place, with its USB serial number.
    Entry& add(const std::string& place, const std::string& serial, std::shared_ptr<sim::SimDevice> device) {
        link::Attached a;
        a.channel = link::ChannelKind::hid;
        a.path = "/dev/hid-" + place;
        a.serial = serial;
        a.place = place;
        a.fallback_path = "/dev/tty-" + place;
        entries.push_back({a, std::move(device)});
        return entries.back();
    }

    std::vector<Entry> entries;
    std::vector<std::string> opened;
    std::optional<Error> refuses;
    bool has_fallback = true;
    fettle::test::Plan plan;                    ///< of the first channel of the next link
    fettle::test::FaultyLink* first = nullptr;  ///< of the last link, until it goes on over its fallback

private:
    Result<std::unique_ptr<link::Link>> open(const std::shared_ptr<sim::SimDevice>& device) {
        using Way = link::MemoryPort::Way;
        auto hid = std::make_unique<link::HidLink>(std::make_unique<link::MemoryPort>(device, Way::hid));
        auto faulty = std::make_unique<fettle::test::FaultyLink>(std::move(hid), plan);
        first = faulty.get();
        if (!has_fallback) return std::unique_ptr<link::Link>(std::move(faulty));
        auto serial =
            std::make_unique<link::SerialLink>(std::make_unique<link::MemoryPort>(device, Way::serial));
        return std::unique_ptr<link::Link>(
            std::make_unique<link::PairedLink>(std::move(faulty), std::move(serial)));
    }
    std::shared_ptr<sim::SimDevice> clock_;
};

/// A station with such devices, in one thread; the window's clock is the first device's.
struct PairedRig {
    PairedRig() { source.add("1-1", "SIM00001", device); }

    std::shared_ptr<sim::SimDevice> device = fettle::test::kept_device();
    DeviceClock clock{device};
    PairedSource source{device};
    Station station{source, clock};
    DeviceNow now;
    std::vector<Told> tolds;
    std::vector<Heard> heard;

    void step() {
        const auto before = clock.ms();
        station.step();
        if (clock.ms() == before) clock.add_ms(1);
        station.fetch(now);
        while (auto told = station.told()) tolds.push_back(std::move(*told));
        while (auto one = station.hear()) heard.push_back(*one);
    }
    void run_ms(std::int64_t ms) {
        for (const auto end = clock.ms() + ms; clock.ms() < end;) step();
    }
    template <typename Until>
    bool run_until(Until until, std::int64_t most_ms) {
        for (const auto end = clock.ms() + most_ms; !until() && clock.ms() < end;) step();
        return until();
    }
    bool run_to(LinkState state, std::int64_t most_ms) {
        return run_until([&] { return now.state == state; }, most_ms);
    }
    const Told* told(std::uint32_t ticket) const {
        for (const Told& one : tolds)
            if (one.ticket == ticket) return &one;
        return nullptr;
    }
    Told answer(Ask what) {
        const auto ticket = station.ask(std::move(what));
        for (int i = 0; i < 100000 && told(ticket) == nullptr; ++i) step();
        const Told* const one = told(ticket);
        return one != nullptr ? *one : Told{0, 0, Error{Errc::timed_out, "test", "never told"}, {}, {}, true};
    }
};

}  // namespace fettle::app::test
