// One tick of the engine. Aim on a workstation: 60 ns when idle, 400 ns at the busiest.
#include <benchmark/benchmark.h>

#include "tests/bench/scene.hpp"

namespace fettle::bench {
namespace {

void ticks(benchmark::State& state, const char* name) {
    Scene scene(hands_of(name).hands);
    for (auto _ : state) scene.tick();
    state.counters["reports"] = static_cast<double>(scene.reports());
    state.counters["frames"] = static_cast<double>(scene.frames());
}
BENCHMARK_CAPTURE(ticks, idle, "idle");
BENCHMARK_CAPTURE(ticks, travel, "travel");
BENCHMARK_CAPTURE(ticks, infrared, "infrared");
BENCHMARK_CAPTURE(ticks, busiest, "busiest");

}  // namespace
}  // namespace fettle::bench

BENCHMARK_MAIN();
