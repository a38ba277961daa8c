// The rows of the session tests over a real kernel: raw HID, serial, and one with the other as its fallback.

#include <doctest/doctest.h>

#include "core/link/framed_link.hpp"
#include "core/link/opening.hpp"
#include "tests/link/bench.hpp"
#include "tests/rig_kernel/rig.hpp"

namespace fettle::test {

namespace {

using rig::Cable;

std::unique_ptr<link::Link> open_paired(Cable& cable) {
    const auto attached = rig::attached_at(cable.place());
    REQUIRE(attached.has_value());
    REQUIRE_FALSE(attached->fallback_path.empty());
    auto link = link::open_device(*attached, "", rig::real_clock());
    REQUIRE(link.has_value());
    return std::move(*link);
}

class KernelBench final : public Bench {
public:
    using Opener = std::unique_ptr<link::Link> (*)(Cable&);
    explicit KernelBench(Opener opener) : cable_(rig::fresh_cable()), opener_(opener) { grab(); }

    std::unique_ptr<link::Link> open() override { return opener_(cable_); }
    void with(const std::function<void(sim::SimDevice&)>& look) override { cable_.with(look); }
    void pass_ms(std::uint32_t ms) override { cable_.pass_ms(ms); }
    void pull_cable() override {
        inputs_.reset();
        REQUIRE(cable_.pull_and_wait());
    }
    void plug_cable() override {
        REQUIRE(cable_.plug_and_wait());
        grab();
    }

private:
    /// A computer that somebody works at reads its keyboards and pointers.
    void grab() { inputs_ = std::make_unique<rig::Grabbed>(cable_.nodes()); }

    Cable& cable_;
    Opener opener_;
    std::unique_ptr<rig::Grabbed> inputs_;
};

template <KernelBench::Opener opener>
std::unique_ptr<Bench> make() {
    return std::make_unique<KernelBench>(opener);
}

constexpr BenchRow k_rows[] = {
    {"kernel HID", make<rig::open_hid>},
    {"kernel serial", make<rig::open_serial>},
    {"kernel HID with serial as fallback", make<open_paired>},
};

}  // namespace

std::span<const BenchRow> benches() {
    return k_rows;
}

}  // namespace fettle::test
