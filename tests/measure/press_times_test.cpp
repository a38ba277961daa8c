#include "core/measure/press_times.hpp"

#include <doctest/doctest.h>

#include <vector>

#include "tests/trace/events.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using engine::PressOutcome;
using measure::Span;
using trace::Roll;

namespace {

Roll began() {
    Roll roll;
    roll.append(0, snapshot(0, 0));
    return roll;
}

}  // namespace

TEST_CASE("press times: two presses of 120 and 80 ms with a gap of 400 ms between, the last gap censored") {
    Roll roll = began();
    roll.append(100000, level(2, true));
    roll.append(150000, level(1, true));  // another input's
    roll.append(220000, level(2, false));
    roll.append(620000, level(2, true));
    roll.append(700000, level(2, false));
    roll.extend_to(1000000);
    const auto times = measure::press_times(roll, 2);
    CHECK(times.presses == std::vector<Span>{{100000, 120000, false}, {620000, 80000, false}});
    CHECK(times.gaps == std::vector<Span>{{220000, 400000, false}, {700000, 300000, true}});
}

TEST_CASE("press times: a gap in the telemetry censors the press at the last event before it, 30 ms on") {
    Roll roll = began();
    roll.append(100000, level(0, true));
    roll.append(130000, event(EventKind::taken, {1}));
    roll.append_gap(1);
    roll.append(500000, snapshot(0, 1));
    roll.append(600000, level(0, false));
    roll.append(650000, level(0, true));
    roll.append(700000, level(0, false));
    const auto times = measure::press_times(roll, 0);
    CHECK(times.presses == std::vector<Span>{{100000, 30000, true}, {650000, 50000, false}});
    CHECK(times.gaps == std::vector<Span>{{600000, 50000, false}, {700000, 0, true}});
}

TEST_CASE("press times: `lost` censors as a gap does; two of them in a row censor once") {
    Roll roll = began();
    roll.append(100000, level(0, true));
    roll.append(200000, lost(3));
    roll.append(210000, lost(3));
    roll.append(220000, snapshot(0, 0));
    const auto times = measure::press_times(roll, 0);
    CHECK(times.presses == std::vector<Span>{{100000, 0, true}});
    CHECK(times.gaps.empty());
}

TEST_CASE("press times: the hold limit after 500 ms censors the press; the gap after it is whole") {
    Roll roll = began();
    roll.append(100000, level(0, true));
    roll.append(600000, press(0, PressOutcome::hold_limit));
    roll.append(900000, level(0, false));
    roll.append(900000, press(0, PressOutcome::really_up));
    roll.append(1000000, level(0, true));
    const auto times = measure::press_times(roll, 0);
    CHECK(times.presses == std::vector<Span>{{100000, 500000, true}, {1000000, 0, true}});
    CHECK(times.gaps == std::vector<Span>{{900000, 100000, false}});
}

TEST_CASE("press times: a part that begins in a press leaves it out; its end censors what goes on") {
    Roll roll = began();
    roll.append(100000, level(0, true));
    roll.append(200000, level(0, false));
    roll.append(300000, level(0, true));
    roll.append(900000, level(0, false));
    const auto times = measure::press_times(roll, 0, 150000, 500000);
    CHECK(times.presses == std::vector<Span>{{300000, 200000, true}});
    CHECK(times.gaps == std::vector<Span>{{200000, 100000, false}});
    CHECK(measure::press_times(roll, 24).presses.empty());
    CHECK(measure::press_times(Roll(), 0).presses.empty());
}

TEST_CASE("press times: a recording without gaps gives what its roll gives") {
    trace::Recording recording;
    recording.moments = {{0, snapshot(0, 0)}, {1000, level(0, true)}, {5000, level(0, false)}};
    CHECK(measure::press_times(recording, 0).presses == std::vector<Span>{{1000, 4000, false}});
}

TEST_CASE("histogram: 10 ms bins: an edge belongs to the bin that it begins, the last edge lies over") {
    const std::vector<Span> spans = {{0, 9999, false},  {0, 10000, false}, {0, 19999, false},
                                     {0, 20000, false}, {0, 39999, false}, {0, 40000, false},
                                     {0, 25000, true}};
    const auto made = measure::histogram(spans, measure::linear_bins(10000, 10000, 3));
    CHECK(made.counts == std::vector<std::uint32_t>{2, 1, 1});
    CHECK(made.censored == std::vector<std::uint32_t>{0, 1, 0});
    CHECK(made.under == 1);
    CHECK(made.over == 1);
}

TEST_CASE("histogram: log bins from 1 ms to 1 s in 3 have edges at 1, 10, 100 and 1,000 ms") {
    const auto bins = measure::log_bins(1000, 1000000, 3);
    CHECK(bins.edges_us == std::vector<std::int64_t>{1000, 10000, 100000, 1000000});
    const auto made = measure::histogram(std::vector<Span>{{0, 99999, false}, {0, 100000, false}}, bins);
    CHECK(made.counts == std::vector<std::uint32_t>{0, 1, 1});
    // 1 to 3 us in 10: only whole us are edges.
    CHECK(measure::log_bins(1, 3, 10).edges_us == std::vector<std::int64_t>{1, 2, 3});
}

TEST_CASE("histogram: counts and what lies outside add up to all 1,000 times, linear and log") {
    std::vector<Span> spans;
    for (std::int64_t i = 0; i < 1000; ++i) spans.push_back({0, i * i, i % 7 == 0});
    for (const auto& bins : {measure::linear_bins(5000, 7000, 40), measure::log_bins(50, 800000, 60)}) {
        const auto made = measure::histogram(spans, bins);
        std::uint32_t sum = made.under + made.over;
        for (const auto n : made.counts) sum += n;
        for (const auto n : made.censored) sum += n;
        CHECK(sum == 1000);
        CHECK(made.under > 0);
        CHECK(made.over > 0);
    }
}

TEST_CASE("histogram: a width of 0, no bin, 10,001 bins, an upside-down range give no bins: all lies over") {
    CHECK(measure::linear_bins(0, 0, 5).edges_us.empty());
    CHECK(measure::linear_bins(0, 10, 0).edges_us.empty());
    CHECK(measure::linear_bins(0, 10, 10001).edges_us.empty());
    CHECK(measure::linear_bins(0, INT64_MAX, 2).edges_us.empty());
    CHECK(measure::log_bins(0, 10, 5).edges_us.empty());
    CHECK(measure::log_bins(10, 10, 5).edges_us.empty());
    const auto made = measure::histogram(std::vector<Span>{{0, 5, false}}, {});
    CHECK(made.over == 1);
    CHECK(made.counts.empty());
}
