// The map of one clock on another against an obvious model: a device's clock with a known offset and drift,
// round trips with random delays, from a seeded generator.

#include "core/link/clock_map.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>
#include <limits>
#include <random>

using namespace fettle;
using link::ClockFigures;
using link::ClockMap;
using link::RoundTrip;

namespace {

/// True time is the host's. The device's clock: 0 at host time `zero_us`, faster by drift_ppm.
struct Model {
    double zero_us = 0, drift_ppm = 0;
    double device_us(double host_us) const { return (host_us - zero_us) * (1 + drift_ppm / 1e6); }
    double host_us(double device_us) const { return device_us / (1 + drift_ppm / 1e6) + zero_us; }
    /// Both clocks are read in whole us.
    RoundTrip trip(double sent_us, double there_us, double inside_us, double back_us) const {
        const double taken = sent_us + there_us, left = taken + inside_us;
        const auto whole = [](double us) { return static_cast<std::int64_t>(std::floor(us)); };
        return {whole(sent_us), whole(left + back_us), whole(device_us(taken)), whole(device_us(left))};
    }
    /// Host - device when the device's clock is at the newest sample.
    double offset_at(const RoundTrip& s) const {
        return host_us(static_cast<double>(s.device_sent_us)) - static_cast<double>(s.device_sent_us);
    }
};

/// Delays as a bus and a busy computer make them: a floor, and seldom much more; each way by itself.
class Delays {
public:
    explicit Delays(std::uint32_t seed) : random_(seed) {}
    double operator()(double floor_us, double mean_us) {
        const double seldom = one_(random_) < 0.1 ? 20 : 1;
        return floor_us - mean_us * seldom * std::log(1 - one_(random_));
    }
    double up_to(double most) { return most * one_(random_); }

private:
    std::mt19937 random_;
    std::uniform_real_distribution<double> one_{0, 1};
};

void check_holds(const Model& model, const ClockMap& map, const RoundTrip& newest) {
    const ClockFigures f = map.figures().value();
    // A reading is up to 1 us behind its clock.
    CHECK(std::abs(model.offset_at(newest) - static_cast<double>(f.offset_us)) <= f.error_us + 1);
    if (f.is_drift_known) CHECK(std::abs(model.drift_ppm - f.drift_ppm) <= f.drift_error_ppm + 0.1);
}

}  // namespace

TEST_CASE("clock map: nothing is known before the first sample") {
    const ClockMap map;
    CHECK_FALSE(map.figures().has_value());
    CHECK_FALSE(map.host_us(5).has_value());
}

TEST_CASE("clock map: one trip of 400 us there and back: the offset of NTP, half the delay as error") {
    // Source: RFC 5905, section 8: theta = 1/2 [(T2 - T1) + (T3 - T4)], delta = (T4 - T1) - (T3 - T2). The
    // sign is the other way round here: host - device.
    ClockMap map;
    map.add({1'000'000, 1'000'600, 5200, 5400});
    const ClockFigures f = map.figures().value();
    const std::int64_t theta = ((5200 - 1'000'000) + (5400 - 1'000'600)) / 2;
    CHECK(std::abs(f.offset_us + theta) <= 1);
    CHECK(f.error_us >= 200);
    CHECK(f.error_us <= 203);  // 1 us of reading on each side, drift over 200 us, whole figures
    CHECK(f.samples == 1);
    CHECK_FALSE(f.is_drift_known);
    CHECK(f.drift_ppm == 0);
    CHECK(std::abs(map.host_us(5400).value() - (5400 - theta)) <= 1);
}

TEST_CASE(
    "clock map: 600 trips a second apart, 9 drifts, delays that differ both ways: the error holds always") {
    for (const double drift_ppm : {0.0, 1.0, -1.0, 40.0, -40.0, 250.0, -250.0, 2400.0, -2400.0}) {
        CAPTURE(drift_ppm);
        const Model model{123456.7, drift_ppm};
        Delays delays(static_cast<std::uint32_t>(3000 + drift_ppm));
        ClockMap map;
        RoundTrip newest{};
        for (int i = 0; i < 600; ++i) {
            newest = model.trip(1e6 + i * 1e6 + delays.up_to(5000), delays(900, 300), delays.up_to(100),
                                delays(100, 500));
            map.add(newest);
            check_holds(model, map, newest);
        }
        const ClockFigures f = map.figures().value();
        CHECK(f.is_drift_known);
        CHECK(f.drift_error_ppm <= 20);
        CHECK(f.error_us <= 1500);  // half the least delays, 500 us and a little, and drift
        CHECK(f.samples <= 64);
        CHECK(f.samples >= 32);
    }
}

TEST_CASE("clock map: the least delay bounds the error though all other trips take 200 ms more") {
    const Model model{-5e6, 30};
    Delays delays(11);
    ClockMap map;
    RoundTrip newest{};
    for (int i = 0; i < 100; ++i) {
        const double more_us = i % 20 == 3 ? 0 : 100000;
        newest = model.trip(1e6 + i * 1e6, 300 + more_us + delays.up_to(more_us), 10, 300 + more_us);
        map.add(newest);
        check_holds(model, map, newest);
    }
    CHECK(map.figures()->error_us < 2000);
}

TEST_CASE(
    "clock map: an hour of pings keeps 64 samples at most, the newest 10 minutes, and follows a slow "
    "change") {
    // 20 ppm of change in an hour: what warming up does. Common practice, no source.
    Delays delays(12);
    ClockMap map;
    double device = 0, host = 0;
    for (int i = 0; i < 3600; ++i) {
        const double rate = 1 + (30 + 20.0 * i / 3600) / 1e6;
        const double there = 800 + delays(100, 100), back = 800 + delays(100, 100);
        const RoundTrip s{std::llround(std::floor(host)), std::llround(std::floor(host + there + back)),
                          std::llround(std::floor(device + there * rate)),
                          std::llround(std::floor(device + there * rate))};
        map.add(s);
        const ClockFigures f = map.figures().value();
        CHECK(f.samples <= 64);
        const double truth = host + there - static_cast<double>(s.device_sent_us);
        CHECK(std::abs(truth - static_cast<double>(f.offset_us)) <= 2500);
        host += 1e6;
        device += 1e6 * rate;
    }
    CHECK(map.figures()->is_drift_known);
    CHECK(std::abs(map.figures()->drift_ppm - 50) <= 10);
}

TEST_CASE(
    "clock map: a device time is mapped to the host's within the error, a minute before and after too") {
    const Model model{777, 120};
    Delays delays(13);
    ClockMap map;
    RoundTrip newest{};
    for (int i = 0; i < 120; ++i)
        map.add(newest = model.trip(i * 1e6, delays(500, 100), 20, delays(500, 100)));
    const ClockFigures f = map.figures().value();
    for (const double away_s : {-60.0, -1.0, 0.0, 1.0, 60.0}) {
        const auto device = newest.device_sent_us + static_cast<std::int64_t>(away_s * 1e6);
        const double truth = model.host_us(static_cast<double>(device));
        const double error = f.error_us + std::abs(away_s) * f.drift_error_ppm + 2;
        CHECK(std::abs(static_cast<double>(map.host_us(device).value()) - truth) <= error);
    }
}

TEST_CASE(
    "clock map: samples that go back or took less than nothing are left out; the third in a row begins "
    "anew") {
    ClockMap map;
    map.add({1000000, 1001000, 500, 600});
    const auto before = map.figures()->offset_us;
    map.add({1002000, 1002100, 700, 1000});  // delay -200
    map.add({1003000, 1004000, 400, 500});   // back on the device
    CHECK(map.figures()->samples == 1);
    CHECK(map.figures()->offset_us == before);
    map.add({1005000, 1006000, 4600, 4700});
    CHECK(map.figures()->samples == 2);
    for (int i = 0; i < 3; ++i) map.add({1'010'000 + i * 10'000, 1'010'500 + i * 10'000, 100 + i, 110 + i});
    CHECK(map.figures()->samples == 1);
    CHECK(map.figures()->offset_us > before + 20'000);
    map.reset();
    CHECK_FALSE(map.figures().has_value());
}

TEST_CASE("clock map: a clock that jumps by a second is begun anew with the first sample after it") {
    const Model before{1000, 20}, after{-1'001'000, 20};  // it jumps ahead
    ClockMap map;
    RoundTrip newest{};
    for (int i = 0; i < 50; ++i) map.add(newest = before.trip(i * 1e6, 500, 10, 500));
    CHECK(map.figures()->samples == 50);
    map.add(newest = after.trip(50e6, 500, 10, 500));
    CHECK(map.figures()->samples == 1);
    check_holds(after, map, newest);
    for (int i = 51; i < 100; ++i) {
        map.add(newest = after.trip(i * 1e6, 500, 10, 500));
        check_holds(after, map, newest);
    }
}

TEST_CASE(
    "clock map: whatever times it is given, figures are finite, the error is no less than 0, samples "
    "bounded") {
    constexpr auto k_least = std::numeric_limits<std::int64_t>::min();
    constexpr auto k_most = std::numeric_limits<std::int64_t>::max();
    const auto check = [](const ClockMap& map) {
        const auto f = map.figures();
        if (!f) return true;
        return std::isfinite(f->error_us) && f->error_us >= 0 && std::isfinite(f->drift_ppm) &&
               f->drift_error_ppm >= 0 && f->drift_error_ppm <= ClockMap::k_drift_most_ppm &&
               f->samples >= 1 && f->samples <= 64;
    };
    ClockMap map;
    for (const auto a : {k_least, k_most, std::int64_t{0}, std::int64_t{1} << 60, -(std::int64_t{1} << 60)})
        for (const auto b : {k_least, k_most, std::int64_t{0}, std::int64_t{1} << 60})
            for (const auto c : {k_least, k_most, std::int64_t{0}, std::int64_t{1} << 60}) {
                map.add({a, b, c, c});
                map.add({a, b, c, b});
                CHECK(check(map));
                static_cast<void>(map.host_us(a));
            }
    CHECK(rc::check([&](const std::vector<std::array<std::uint32_t, 3>>& samples) {
        ClockMap fed;
        std::int64_t host = 0;
        for (const auto& s : samples) {
            host += s[0] % 2000000;
            fed.add({host, host + s[1] % 100000, s[1], std::int64_t{s[1]} + s[2] % 90000});
            RC_ASSERT(check(fed));
        }
    }));
}
