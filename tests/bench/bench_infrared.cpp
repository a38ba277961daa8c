// Infrared decoding: time for one edge (mark or space), over whole frames of each protocol.
#include <benchmark/benchmark.h>

#include <array>
#include <cstdint>
#include <vector>

#include "core/engine/infrared.hpp"
#include "core/sim/ir_encode.hpp"

namespace fettle {
namespace {

using engine::Infrared;
using engine::IrFrame;
using engine::Protocol;

struct Named {
    Protocol protocol;
    const char* name;
};
constexpr std::array k_protocols = {Named{Protocol::nec, "nec"},
                                    Named{Protocol::rc5, "rc5"},
                                    Named{Protocol::rc6, "rc6"},
                                    Named{Protocol::sirc12, "sirc12"},
                                    Named{Protocol::sirc20, "sirc20"},
                                    Named{Protocol::jvc, "jvc"},
                                    Named{Protocol::samsung32, "samsung32"}};

uint16_t saturated(uint32_t us) {
    return static_cast<uint16_t>(us < 65535 ? us : 65535);
}

void decode(benchmark::State& state, Protocol protocol) {
    IrFrame sent{};
    sent.protocol = protocol;
    sent.address = 0x05;
    sent.command = 0x0A;
    const std::vector<uint32_t> widths = sim::encode(sent);
    Infrared infrared;
    infrared.reset();
    IrFrame frame{};
    infrared.width(false, 65535, frame);
    uint64_t frames = 0;
    for (auto _ : state) {
        bool is_mark = true;
        for (const uint32_t width : widths) {
            infrared.width(is_mark, saturated(width), frame);
            is_mark = !is_mark;
        }
        frames += uint64_t{infrared.width(false, 40000, frame)};
    }
    const auto edges = static_cast<int64_t>(state.iterations()) * static_cast<int64_t>(widths.size() + 1);
    state.SetItemsProcessed(edges);
    state.counters["per_edge"] = benchmark::Counter(
        static_cast<double>(edges), benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
    if (frames != static_cast<uint64_t>(state.iterations())) state.SkipWithError("a frame was not decoded");
}

/// What most ticks cost: the line is quiet.
void silence(benchmark::State& state) {
    Infrared infrared;
    infrared.reset();
    IrFrame frame{};
    uint64_t frames = 0;
    for (auto _ : state) {
        frames += uint64_t{infrared.silence(65535, frame)};
        benchmark::DoNotOptimize(frame);
    }
    benchmark::DoNotOptimize(frames);
}
BENCHMARK(silence);

}  // namespace
}  // namespace fettle

int main(int argc, char** argv) {
    for (const auto& [protocol, name] : fettle::k_protocols) {
        benchmark::RegisterBenchmark(name, fettle::decode, protocol);
    }
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    return 0;
}
