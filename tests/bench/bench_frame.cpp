// UI code of one frame, without a window: from NewFrame to Render, each screen. Argument: screen, per cent.
#include <benchmark/benchmark.h>

#include "tests/views/sitting.hpp"

namespace {

using namespace fettle::app;

void frame_of_a_screen(benchmark::State& state) {
    test::SittingWish wish;
    wish.scale_percent = static_cast<int>(state.range(1));
    test::Sitting sitting(wish);
    sitting.show(static_cast<Screen>(state.range(0)));
    // The window's own code alone: what stands behind it holds still.
    sitting.bench->before_frame = nullptr;
    for (auto _ : state) sitting.bench->frame();
    state.counters["controls"] = static_cast<double>(sitting.bench->ui.registry().controls.size());
}

void every_screen(benchmark::internal::Benchmark* bench) {
    for (int screen = 0; screen < k_screens; ++screen)
        for (const int percent : {100, 300}) bench->Args({screen, percent});
}

}  // namespace

BENCHMARK(frame_of_a_screen)->Apply(every_screen)->Unit(benchmark::kMicrosecond);
BENCHMARK_MAIN();
