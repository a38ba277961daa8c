// The host's end without a kernel: what the I/O thread spends on a minute of telemetry at one 64-byte report
// a millisecond, and on a question and its answer.
#include <benchmark/benchmark.h>

#include <array>
#include <cstring>
#include <memory>
#include <vector>

#include "core/link/framed_link.hpp"
#include "core/link/session.hpp"
#include "core/wire/reply.hpp"
#include "core/wire/request.hpp"
#include "core/wire/telemetry.hpp"

namespace fettle::bench {
namespace {

using Report = std::array<std::uint8_t, wire::k_hid_report_bytes>;
constexpr int k_minute_ms = 60000;
constexpr std::uint16_t k_boot_id = 7;

Report packed(const std::uint8_t* message, std::uint8_t size) {
    Report report{};
    wire::pack_report(message, size, report.data());
    return report;
}

/// A minute of full batches, one a millisecond, as the device's own telemetry cuts them.
const std::vector<Report>& minute() {
    static const std::vector<Report> reports = [] {
        std::vector<Report> all;
        wire::Telemetry telemetry;
        telemetry.reset(k_boot_id);
        telemetry.subscribe(wire::Channel::hid, wire::k_subscribe_edges, 0);
        std::uint8_t message[wire::k_message_max];
        for (std::uint32_t now_us = 1000; all.size() < k_minute_ms; now_us += 1000) {
            telemetry.wants_snapshot(now_us);
            for (std::uint8_t i = 0; i < 9; ++i) {
                engine::Event event{};
                event.at_us = now_us + i * 100u;
                event.kind = engine::EventKind::edge;
                event.data[0] = i;
                telemetry.put(event, false);
            }
            if (const std::uint8_t size = telemetry.take(wire::Channel::hid, message, now_us + 8000);
                size != 0)
                all.push_back(packed(message, size));
        }
        return all;
    }();
    return reports;
}

/// Answers at once; else it has what it was given, one report a millisecond.
class Device : public link::Port {
public:
    Status write(std::span<const std::uint8_t> bytes) override {
        const std::uint8_t* asked = nullptr;
        std::uint8_t size = 0;
        wire::unpack_report(bytes.data(), wire::k_hid_report_bytes, asked, size);
        std::uint8_t message[wire::k_message_max];
        if (asked[0] == static_cast<std::uint8_t>(wire::MessageType::hello)) {
            wire::HelloReply hello{};
            hello.contract_version = 1;
            hello.slots = 2;
            hello.slot_bytes = 480;
            hello.boot_id = k_boot_id;
            size = wire::put_hello(message, asked[1], hello);
        } else if (asked[0] == static_cast<std::uint8_t>(wire::MessageType::subscribe)) {
            size = wire::put_subscribe(message, asked[1], {k_boot_id, 0});
        } else {
            std::uint32_t stamp = 0;
            std::memcpy(&stamp, asked + wire::k_message_head, sizeof stamp);
            const auto us = static_cast<std::uint32_t>(now_us_);
            size = wire::put_ping(message, asked[1], {stamp, us, us});
        }
        answer_ = packed(message, size);
        has_answer_ = true;
        now_us_ += 100;
        return Done{};
    }
    Result<std::size_t> read(std::span<std::uint8_t> to, std::uint32_t) override {
        if (!has_answer_ && at_ == minute().size()) {
            now_us_ += 1000000;
            return std::size_t{0};
        }
        const Report& next = has_answer_ ? answer_ : minute()[at_++];
        if (!has_answer_) now_us_ += 1000;
        has_answer_ = false;
        std::memcpy(to.data(), next.data(), next.size());
        return next.size();
    }
    std::uint64_t now_us() const override { return now_us_; }
    void rewind() { at_ = 0; }

private:
    Report answer_{};
    bool has_answer_ = false;
    std::size_t at_ = minute().size();
    std::uint64_t now_us_ = 0;
};

struct Rig {
    Device* device = nullptr;
    std::unique_ptr<link::Session> session;
    Rig() {
        auto port = std::make_unique<Device>();
        device = port.get();
        auto opened = link::Session::open(std::make_unique<link::HidLink>(std::move(port)));
        if (opened) session = std::move(*opened);
    }
};

void minute_of_telemetry(benchmark::State& state) {
    std::uint64_t events = 0, lost = 0;
    for (auto _ : state) {
        Rig rig;
        const auto listener = [](const link::TimedEvent& e) { benchmark::DoNotOptimize(e.at_us); };
        if (!rig.session->subscribe(false, true, listener)) return state.SkipWithError("not subscribed");
        rig.device->rewind();
        if (!rig.session->listen(k_minute_ms)) return state.SkipWithError("closed");
        events = rig.session->telemetry().events;
        lost = rig.session->telemetry().batches_lost;
    }
    state.SetItemsProcessed(state.iterations() * k_minute_ms);
    state.counters["events"] = static_cast<double>(events);
    state.counters["batches lost"] = static_cast<double>(lost);
    // CPU seconds of a minute's work, in a thousandth of a core.
    state.counters["core permille"] =
        benchmark::Counter(static_cast<double>(state.iterations()) * 0.06,
                           benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}
BENCHMARK(minute_of_telemetry)->Unit(benchmark::kMillisecond);

void ping(benchmark::State& state) {
    Rig rig;
    for (auto _ : state)
        if (!rig.session->ping()) return state.SkipWithError("no answer");
}
BENCHMARK(ping);

}  // namespace
}  // namespace fettle::bench

BENCHMARK_MAIN();
