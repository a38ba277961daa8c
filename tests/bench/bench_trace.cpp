// The roll behind the time line: what appending an event costs, what a full view costs at ten thousand and at
// ten million events (it should hardly differ), and the memory of an event.
#include <benchmark/benchmark.h>

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "core/engine/report.hpp"
#include "core/trace/column_cache.hpp"
#include "core/trace/roll.hpp"

namespace fettle::bench {
namespace {

using engine::Event;
using engine::EventKind;
using trace::Column;
using trace::Lane;
using trace::LaneKind;
using trace::Roll;

constexpr std::size_t k_columns = 1200;

/// What a device tells while a person works: a press every 600 ms from one of 8 inputs, most of which move
/// the pointer for 200 ms (a report and its `taken` every 8 ms), some of which type; a frame of the remote
/// each 108 ms, a heartbeat's snapshot now and then.
class Worker {
public:
    explicit Worker(Roll& roll) : roll_(roll) { put(EventKind::snapshot, {0, 0, 0xE8, 3, 0, 0, 0, 0, 0}); }
    void press() {
        const auto input = static_cast<std::uint8_t>(presses_ % 8);
        ++presses_;
        step(200000);
        put(EventKind::ir_frame, {1, 0xFF, input, 0, 0, 0});
        put(EventKind::level, {input, 1});
        step(30000);
        put(EventKind::press, {input, 0});
        put(EventKind::gesture, {input, 0, 0, 1});
        put(EventKind::action, {input, static_cast<std::uint8_t>(input + 1), 0});
        if (input < 6)
            travel(input);
        else
            type(input);
        put(EventKind::level, {input, 0});
        step(15000);
        put(EventKind::press, {input, 6});
        put(EventKind::action, {input, static_cast<std::uint8_t>(input + 1), 1});
        if (presses_ % 50 == 0) put(EventKind::mode, {static_cast<std::uint8_t>(presses_ / 50 % 3), 0});
        if (presses_ % 20 == 0) put(EventKind::ir_lost, {input, 1});
        if (presses_ % 10 == 0) put(EventKind::press, {input, 2});
    }

private:
    void step(std::int64_t us) { now_us_ += us; }
    void put(EventKind kind, std::initializer_list<std::uint8_t> data) {
        Event event{};
        event.kind = kind;
        std::size_t i = 0;
        for (const std::uint8_t byte : data) event.data[i++] = byte;
        roll_.append(now_us_, event);
    }
    void travel(std::uint8_t input) {
        for (std::uint8_t i = 0; i < 25; ++i) {
            step(8000);
            const auto counts = static_cast<std::uint8_t>(1 + i / 2);
            put(EventKind::report, {1, 8, 1, 0, counts, 0, input, 0, 0, 0});
            step(900);
            put(EventKind::taken, {1});
            if (i % 12 == 11) put(EventKind::ir_frame, {0x81, 0xFF, 0, 0, 0, 0});
        }
    }
    void type(std::uint8_t input) {
        for (const std::uint8_t usage : {input, std::uint8_t{0}}) {
            put(EventKind::report, {0, 8, 0, 0, usage, 0, 0, 0, 0, 0});
            step(1000);
            put(EventKind::taken, {0});
            step(60000);
        }
        put(EventKind::held, {0, 0, 0, 0, 0});
    }

    Roll& roll_;
    std::int64_t now_us_ = 0;
    std::uint32_t presses_ = 0;
};

struct Worked {
    Roll roll;
    Worker worker{roll};
};

Worked& worked_of_size(std::size_t events) {
    static std::array<std::unique_ptr<Worked>, 2> made;
    auto& worked = made[events > 100000 ? 1 : 0];
    if (!worked) {
        worked = std::make_unique<Worked>();
        while (worked->roll.size() < events) worked->worker.press();
    }
    return *worked;
}

const Roll& roll_of_size(std::size_t events) {
    return worked_of_size(events).roll;
}

void append(benchmark::State& state) {
    auto roll = std::make_unique<Roll>();
    std::size_t events = 0;
    auto worker = std::make_unique<Worker>(*roll);
    for (auto _ : state) {
        if (roll->size() > 4000000) {
            state.PauseTiming();
            events += roll->size();
            roll->clear();
            worker = std::make_unique<Worker>(*roll);
            state.ResumeTiming();
        }
        worker->press();
    }
    events += roll->size();
    state.SetItemsProcessed(static_cast<std::int64_t>(events));
    state.counters["per_event"] = benchmark::Counter(
        static_cast<double>(events), benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
    state.counters["bytes_an_event"] =
        static_cast<double>(roll->bytes_used()) / static_cast<double>(roll->size());
}
BENCHMARK(append);

/// 20 lanes as a time line shows them: 8 inputs' levels, 4 presses, 2 gestures and actions, 4 of all.
std::vector<Lane> twenty_lanes() {
    std::vector<Lane> lanes;
    for (std::uint8_t i = 0; i < 8; ++i) lanes.push_back({LaneKind::level, i});
    for (std::uint8_t i = 0; i < 4; ++i) lanes.push_back({LaneKind::press, i});
    for (std::uint8_t i = 0; i < 2; ++i) lanes.push_back({LaneKind::gesture, i});
    for (std::uint8_t i = 0; i < 2; ++i) lanes.push_back({LaneKind::action, i});
    for (const auto kind : {LaneKind::mode, LaneKind::keyboard, LaneKind::pointer_report, LaneKind::infrared})
        lanes.push_back({kind, 0});
    return lanes;
}

/// range(0): events. range(1): what part of the roll is seen, one in so many.
void view(benchmark::State& state) {
    const Roll& roll = roll_of_size(static_cast<std::size_t>(state.range(0)));
    const auto lanes = twenty_lanes();
    const std::int64_t long_us = (roll.last_us() - roll.first_us()) / state.range(1);
    const std::int64_t from_us = roll.last_us() - long_us;
    std::vector<Column> columns(k_columns);
    std::uint64_t begins = 0;
    for (auto _ : state) {
        for (const Lane lane : lanes) {
            roll.columns(lane, from_us, from_us + long_us, k_columns, columns);
            begins += columns[k_columns / 2].begins;
        }
    }
    benchmark::DoNotOptimize(begins);
    state.counters["bytes_an_event"] =
        static_cast<double>(roll.bytes_used()) / static_cast<double>(roll.size());
    state.counters["columns"] = static_cast<double>(k_columns * lanes.size());
}
BENCHMARK(view)->Args({10000, 1})->Args({10000000, 1})->Args({10000000, 1000})->Unit(benchmark::kMicrosecond);

/// A frame of a live view of the whole roll: a press more was recorded, the view goes on with it; columns
/// that were drawn before are kept.
void live_view(benchmark::State& state) {
    Worked& worked = worked_of_size(static_cast<std::size_t>(state.range(0)));
    const auto lanes = twenty_lanes();
    std::vector<trace::ColumnCache> caches(lanes.size());
    const std::int64_t width_us =
        (worked.roll.last_us() - worked.roll.first_us()) / static_cast<std::int64_t>(k_columns);
    std::vector<Column> columns(k_columns);
    std::uint64_t begins = 0;
    for (auto _ : state) {
        state.PauseTiming();
        worked.worker.press();
        state.ResumeTiming();
        const std::int64_t last = worked.roll.last_us() / width_us;
        for (std::size_t i = 0; i < lanes.size(); ++i) {
            caches[i].columns(worked.roll, lanes[i], width_us,
                              last - static_cast<std::int64_t>(k_columns) + 1, columns);
            begins += columns[k_columns / 2].begins;
        }
    }
    benchmark::DoNotOptimize(begins);
}
BENCHMARK(live_view)->Arg(10000)->Arg(10000000)->Iterations(400)->Unit(benchmark::kMicrosecond);

void signals(benchmark::State& state) {
    const Roll& roll = roll_of_size(static_cast<std::size_t>(state.range(0)));
    std::vector<trace::Reach> reaches(k_columns);
    std::int64_t sum = 0;
    for (auto _ : state) {
        for (const auto which : {trace::Signal::x, trace::Signal::y, trace::Signal::speed}) {
            roll.signal(which, roll.first_us(), roll.last_us(), k_columns, reaches);
            sum += reaches[k_columns / 2].most;
        }
    }
    benchmark::DoNotOptimize(sum);
}
BENCHMARK(signals)->Arg(10000)->Arg(10000000)->Unit(benchmark::kMicrosecond);

void jump_to_repeat_lost(benchmark::State& state) {
    const Roll& roll = roll_of_size(static_cast<std::size_t>(state.range(0)));
    std::int64_t us = roll.first_us();
    for (auto _ : state) {
        const auto found = roll.find_next(us, trace::Wanted::repeat_lost);
        us = found ? found->at_us : roll.first_us();
    }
}
BENCHMARK(jump_to_repeat_lost)->Arg(10000)->Arg(10000000);

}  // namespace
}  // namespace fettle::bench

BENCHMARK_MAIN();
