// Whole messages through the two channels, both ways: time for one message of the largest size.
#include <benchmark/benchmark.h>

#include <array>
#include <cstdint>

#include "core/wire/crc.hpp"
#include "core/wire/frame.hpp"

namespace fettle::wire {
namespace {

using Message = std::array<uint8_t, k_message_max>;

/// Zeros and other bytes in turn: what COBS has most to do with.
Message largest_message() {
    Message message{};
    for (size_t i = 0; i < message.size(); ++i) message[i] = static_cast<uint8_t>(i % 3 == 0 ? 0 : i * 7);
    message[0] = static_cast<uint8_t>(MessageType::write);
    return message;
}

void report_both_ways(benchmark::State& state) {
    const Message message = largest_message();
    std::array<uint8_t, k_hid_report_bytes> report{};
    uint64_t bytes = 0;
    for (auto _ : state) {
        const uint8_t* out = nullptr;
        uint8_t size = 0;
        pack_report(message.data(), k_message_max, report.data());
        benchmark::DoNotOptimize(report);
        if (unpack_report(report.data(), k_hid_report_bytes, out, size)) bytes += size;
    }
    state.SetBytesProcessed(static_cast<int64_t>(bytes));
}
BENCHMARK(report_both_ways);

void serial_pack(benchmark::State& state) {
    const Message message = largest_message();
    std::array<uint8_t, k_serial_frame_max> frame{};
    int64_t bytes = 0;
    for (auto _ : state) {
        bytes += pack_serial(message.data(), k_message_max, frame.data());
        benchmark::DoNotOptimize(frame);
    }
    state.SetBytesProcessed(bytes);
}
BENCHMARK(serial_pack);

void serial_unpack(benchmark::State& state) {
    const Message message = largest_message();
    std::array<uint8_t, k_serial_frame_max> frame{};
    const uint8_t size = pack_serial(message.data(), k_message_max, frame.data());
    Unframer unframer;
    unframer.reset();
    int64_t messages = 0;
    for (auto _ : state) {
        for (uint8_t i = 0; i < size; ++i) messages += int64_t{unframer.take(frame[i])};
    }
    state.SetBytesProcessed(messages * k_message_max);
    if (messages != static_cast<int64_t>(state.iterations())) state.SkipWithError("a frame was not decoded");
}
BENCHMARK(serial_unpack);

}  // namespace
}  // namespace fettle::wire

BENCHMARK_MAIN();
