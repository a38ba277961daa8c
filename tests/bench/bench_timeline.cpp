// What a frame of the window costs while the time line is shown, with ten thousand and with ten million
// events behind it: all of the window's own code, from the empty frame to the finished draw list; no OpenGL.
// It should be below 1 ms, and hardly differ (at most 1.5 times). still: nothing new. follows: eight events
// came since the last frame, and what is seen moves with them. whole: all of the recording is seen.
#include <benchmark/benchmark.h>

#include <array>
#include <cstdint>
#include <memory>

#include "app/views/views.hpp"
#include "core/trace/roll.hpp"
#include "tests/ui/bench.hpp"

namespace fettle::app {
namespace {

using engine::EventKind;

/// A press every 250 ms by one of twelve inputs, most of which move the pointer for 100 ms.
class Hands {
public:
    explicit Hands(trace::Roll& roll) : roll_(roll) {
        put(EventKind::snapshot, {0, 0, 0xE8, 3, 0, 0, 0, 0, 0});
    }
    void work(std::size_t events) {
        const std::size_t end = roll_.size() + events;
        while (roll_.size() < end) step();
    }

private:
    void put(EventKind kind, std::initializer_list<int> data) {
        engine::Event event{};
        event.kind = kind;
        std::size_t i = 0;
        for (const int byte : data) event.data[i++] = static_cast<std::uint8_t>(byte);
        roll_.append(now_us_, event);
    }
    /// One event or a few of one moment.
    void step() {
        const int input = press_ % 12;
        now_us_ += 8000;
        if (phase_ == 0) {
            put(EventKind::ir_frame, {1, 0xFF, input, 0, 0, 0});
            put(EventKind::level, {input, 1});
            put(EventKind::press, {input, press_ % 9 == 0 ? 1 : 0});
            put(EventKind::gesture, {input, 0, 0, 1});
            put(EventKind::action, {input, input + 1, 0});
        } else if (phase_ < 13) {
            put(EventKind::report, {1, 8, 1, phase_ % 2, phase_, 0, input, 0, 0, 0});
            put(EventKind::taken, {1});
        } else {
            put(EventKind::level, {input, 0});
            put(EventKind::press, {input, 6});
            put(EventKind::action, {input, input + 1, 1});
            if (press_ % 50 == 0) put(EventKind::mode, {press_ / 50 % 3, 0});
            if (press_ % 20 == 0) put(EventKind::ir_lost, {input, 1});
            ++press_;
            phase_ = -1;
            now_us_ += 130000;
        }
        ++phase_;
    }

    trace::Roll& roll_;
    std::int64_t now_us_ = 0;
    int press_ = 0, phase_ = 0;
};

/// A window of 1280 x 800 on the time line, everything behind it by hand.
struct Window {
    explicit Window(std::size_t events) : hands(desk.roll) {
        desk.screen = Screen::presses;
        for (int i = 0; i < 12; ++i) desk.names.inputs.push_back("input" + std::to_string(i));
        desk.names.modes = {"far", "near", "list"};
        for (int i = 0; i < 12; ++i) desk.names.actions.push_back("moves the pointer");
        desk.down.assign(engine::k_max_inputs, false);
        desk.pressed_us.assign(engine::k_max_inputs, -1);
        desk.device.state = LinkState::live;
        hands.work(events);
        desk.device_us = desk.roll.last_us();
        bench.input.size = {1280, 800};
        bench.settle();
    }
    Desk desk;
    Hands hands;
    ViewState state;
    test::Bench bench{[this](ui::Ui& ui) { frame_view(ui, desk, state, [](Order) {}); }};
};

Window& window_of(std::size_t events) {
    static std::array<std::unique_ptr<Window>, 2> made;
    auto& window = made[events > 100000 ? 1 : 0];
    if (!window) window = std::make_unique<Window>(events);
    window->state.presses.timeline = {};
    window->bench.settle();
    return *window;
}

void still(benchmark::State& state) {
    Window& window = window_of(static_cast<std::size_t>(state.range(0)));
    for (auto _ : state) window.bench.frame();
}

void follows(benchmark::State& state) {
    Window& window = window_of(static_cast<std::size_t>(state.range(0)));
    for (auto _ : state) {
        state.PauseTiming();
        window.hands.work(8);
        window.desk.device_us = window.desk.roll.last_us();
        state.ResumeTiming();
        window.bench.frame();
    }
}

void whole(benchmark::State& state) {
    Window& window = window_of(static_cast<std::size_t>(state.range(0)));
    window.state.presses.timeline.follows = false;
    window.state.presses.timeline.pilot.view.reset();
    for (auto _ : state) {
        state.PauseTiming();
        window.hands.work(8);
        window.desk.device_us = window.desk.roll.last_us();
        state.ResumeTiming();
        window.bench.frame();
    }
}

BENCHMARK(still)->Arg(10000)->Arg(10000000)->Unit(benchmark::kMicrosecond);
BENCHMARK(follows)->Arg(10000)->Arg(10000000)->Unit(benchmark::kMicrosecond)->Iterations(500);
BENCHMARK(whole)->Arg(10000)->Arg(10000000)->Unit(benchmark::kMicrosecond)->Iterations(500);

}  // namespace
}  // namespace fettle::app

BENCHMARK_MAIN();
