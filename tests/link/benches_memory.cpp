// Every link that runs on any machine: in memory, over the framings, and harmed once by a fault that a
// session must make good.

#include "core/link/framed_link.hpp"
#include "core/link/memory_link.hpp"
#include "tests/link/bench.hpp"
#include "tests/link/faulty_link.hpp"
#include "tests/sim/rig.hpp"

namespace fettle::test {

namespace {

using Device = std::shared_ptr<sim::SimDevice>;
using MakeLink = std::unique_ptr<link::Link> (*)(const Device&);

class MemoryBench : public Bench {
public:
    explicit MemoryBench(MakeLink make) : make_(make) {}

    std::unique_ptr<link::Link> open() override { return make_(device_); }
    void with(const std::function<void(sim::SimDevice&)>& look) override { look(*device_); }
    void pass_ms(std::uint32_t ms) override { device_->advance_ms(ms); }
    void pull_cable() override { device_->pull_cable(); }
    void plug_cable() override { device_->plug_cable(); }

private:
    Device device_ = kept_device();
    MakeLink make_;
};

template <Way way>
std::unique_ptr<link::Link> in_memory(const Device& device) {
    return std::make_unique<link::MemoryLink>(device, way);
}

std::unique_ptr<link::Link> hid_link(const Device& device) {
    return std::make_unique<link::HidLink>(std::make_unique<link::MemoryPort>(device, Way::hid));
}

std::unique_ptr<link::Link> serial_link(const Device& device) {
    return std::make_unique<link::SerialLink>(std::make_unique<link::MemoryPort>(device, Way::serial));
}

template <Harm harm, int at>
std::unique_ptr<link::Link> harmed(const Device& device) {
    return std::make_unique<FaultyLink>(in_memory<Way::hid>(device), Plan{harm, at, false});
}

template <MakeLink make>
std::unique_ptr<Bench> bench() {
    return std::make_unique<MemoryBench>(make);
}

/// The first two messages are the greeting.
constexpr BenchRow k_rows[] = {
    {"memory HID", bench<in_memory<Way::hid>>},
    {"memory serial", bench<in_memory<Way::serial>>},
    {"HidLink over a port in memory", bench<hid_link>},
    {"SerialLink over a port in memory", bench<serial_link>},
    {"a request lost", bench<harmed<Harm::drop, 3>>},
    {"an answer lost", bench<harmed<Harm::drop, 4>>},
    {"an answer late", bench<harmed<Harm::delay, 4>>},
    {"a request twice", bench<harmed<Harm::twice, 3>>},
    {"an answer twice", bench<harmed<Harm::twice, 4>>},
    {"a wrong id", bench<harmed<Harm::wrong_id, 4>>},
    {"an answer too long", bench<harmed<Harm::oversize, 4>>},
    {"hello lost", bench<harmed<Harm::drop, 1>>},
    {"answer to hello lost", bench<harmed<Harm::drop, 2>>},
};

}  // namespace

std::span<const BenchRow> benches() {
    return k_rows;
}

}  // namespace fettle::test
