#include "tests/views/sitting.hpp"

#include <utility>

#include "core/link/memory_link.hpp"

namespace fettle::app::test {

namespace {

/// One simulated device on a cable.
class SimulatedSource : public LinkSource {
public:
    explicit SimulatedSource(bool is_plugged) : device_(std::make_shared<sim::SimDevice>()) {
        if (!is_plugged) device_->pull_cable();
    }
    std::vector<link::Attached> found() override {
        if (!device_->is_plugged()) return {};
        return {{link::ChannelKind::simulated, "sim", "SIM00001", "simulated device"}};
    }
    Result<std::unique_ptr<link::Link>> open(const link::Attached&) override {
        if (!device_->is_plugged()) return fail(Errc::not_found, "sim", "unplugged");
        return std::unique_ptr<link::Link>(
            std::make_unique<link::MemoryLink>(device_, link::MemoryLink::Way::hid));
    }
    std::shared_ptr<sim::SimDevice> simulated() override { return device_; }
    void idle(std::uint32_t ms) override { device_->advance_ms(ms); }
    sim::SimDevice& device() { return *device_; }

private:
    std::shared_ptr<sim::SimDevice> device_;
};

std::unique_ptr<store::Store> open_store(const Clock& clock) {
    auto opened = store::Store::open(":memory:", clock);
    return opened.has_value() ? std::move(opened.value()) : nullptr;
}

}  // namespace

struct Sitting::Inside {
    Inside(bool has_device, const std::string& data_folder)
        : source(has_device),
          store(open_store(clock)),
          worker(make_inline_worker()),
          station(source, clock),
          keeper(station, *worker, store.get(), clock, {std::string(FETTLE_ROOT) + "/assets"}, data_folder) {}

    void tick() {
        for (int i = 0; i < 2; ++i) {
            clock.advance_ms(8);
            station.step();
        }
        worker->deliver();
        keeper.refresh();
    }

    FakeClock clock{1'700'000'000'000};
    SimulatedSource source;
    std::unique_ptr<store::Store> store;
    std::unique_ptr<Worker> worker;
    Station station;
    DeskKeeper keeper;
};

Sitting::Sitting(const SittingWish& wish)
    : inside_(std::make_unique<Inside>(wish.has_device, wish.data_folder)) {
    inside_->clock.advance_ms(1000);
    bench = std::make_unique<Bench>(
        [this](ui::Ui& ui) { frame_view(ui, desk(), state_, [this](Order one) { order(std::move(one)); }); },
        wish.scale_percent, wish.theme, wish.language);
    bench->input.size = wish.size;
    inside_->keeper.take(order::SetOptions{bench->options});
    bench->before_frame = [this] {
        inside_->tick();
        bench->input.now_ms = inside_->clock.monotonic_us() / 1000;
        bench->options = desk().options;
    };
    if (wish.has_device) inside_->keeper.take(Ask{ask::Connect{}});
    wait_ms(64);
    if (wish.asset.empty()) return;
    order(order::AddPerson{wish.asset});
    wait_ms(32);
    if (!desk().people.persons.empty())
        order(order::NewProfile{desk().people.persons.back().id, wish.asset, wish.asset});
    wait_ms(32);
    given.clear();
}

Sitting::~Sitting() = default;

const Desk& Sitting::desk() const {
    return inside_->keeper.desk();
}

DeskKeeper& Sitting::keeper() {
    return inside_->keeper;
}

store::Store& Sitting::store() {
    return *inside_->store;
}

sim::SimDevice& Sitting::device() {
    return inside_->source.device();
}

FakeClock& Sitting::clock() {
    return inside_->clock;
}

void Sitting::order(Order one) {
    given.push_back(one);
    inside_->keeper.take(std::move(one));
}

void Sitting::show(Screen screen) {
    inside_->keeper.take(order::Show{screen});
    bench->settle();
}

void Sitting::wait_ms(std::int64_t ms) {
    const std::int64_t end_us = inside_->clock.monotonic_us() + ms * 1000;
    while (inside_->clock.monotonic_us() < end_us) bench->frame();
}

bool Sitting::wait_until(const std::function<bool()>& is_so, std::int64_t most_ms) {
    const std::int64_t end_us = inside_->clock.monotonic_us() + most_ms * 1000;
    while (!is_so()) {
        if (inside_->clock.monotonic_us() >= end_us) return false;
        bench->frame();
    }
    return true;
}

void Sitting::pull_cable() {
    device().pull_cable();
}

void Sitting::plug_cable() {
    device().plug_cable();
}

}  // namespace fettle::app::test
