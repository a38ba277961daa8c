// Scan periods by the .65 rule and by a wanted share of misses. Sources beside the values.

#include "core/advise/scan_period.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>
#include <limits>
#include <random>
#include <vector>

using namespace fettle;
using namespace fettle::advise;

namespace {
measure::Summary presses(double mean, double sd, std::size_t count = 30) {
    measure::Summary summary;
    summary.count = count;
    summary.mean = mean;
    summary.sd = sd;
    return summary;
}
}  // namespace

// Source: Simpson, Koester, LoPresti 2006: period = mean press time / .65.
TEST_CASE("scan period: press times of 325, 455, 650 and 1300 ms give 500, 700, 1000 and 2000 ms") {
    CHECK(scan_period(presses(325, 80))->period_ms == doctest::Approx(500));
    CHECK(scan_period(presses(455, 80))->period_ms == doctest::Approx(700));
    CHECK(scan_period(presses(650, 80))->period_ms == doctest::Approx(1000));
    CHECK(scan_period(presses(1300, 80))->period_ms == doctest::Approx(2000));
}

// Source: mean / .65 = mean + 2 SD where SD / mean = 1 / .65 - 1 over 2, .2692; above 2 SD lie 2.275 % of a
// normal; of the log-normal with that mean and spread 3.914 %, z = 1.76072 (computed with general-purpose
// tools).
TEST_CASE("scan period: at a spread of .2692 the rule misses 2.275 % if normal, 3.914 % if log-normal") {
    const double ratio = (1 / .65 - 1) / 2;
    CHECK(ratio == doctest::Approx(.2692).epsilon(.0005));
    const auto found = scan_period(presses(650, 650 * ratio));
    REQUIRE(found);
    CHECK(found->missed_normal == doctest::Approx(.02275).epsilon(.0001));
    CHECK(found->missed_log_normal == doctest::Approx(.03914).epsilon(.0001));
    CHECK(found->period_for_two_sd_ms == doctest::Approx(found->period_ms));
}

TEST_CASE("scan period: with 20 presses of 650 +- 162.5 ms the period is known to 117 ms either way") {
    const auto found = scan_period(presses(650, 162.5, 20));
    REQUIRE(found);
    // Source: t of 19 degrees of freedom, 2.093; 2.093 * 162.5 / sqrt 20 / .65.
    CHECK(found->high_ms - found->period_ms == doctest::Approx(117.0).epsilon(.001));
    CHECK(found->period_ms - found->low_ms == doctest::Approx(117.0).epsilon(.001));
    CHECK(found->presses.count == 20);
}

TEST_CASE("scan period: 19 presses are refused with the numbers, 20 are enough") {
    const auto few = scan_period(presses(650, 100, 19));
    REQUIRE_FALSE(few);
    CHECK(few.error().code == Errc::refused);
    CHECK(few.error().detail == "19, needed are 20");
    CHECK(scan_period(presses(650, 100, 20)));
    CHECK_FALSE(scan_period_for_misses(presses(650, 100, 19), .05, Spread::normal));
}

TEST_CASE("scan period: a mean of 0, a deviation below 0 and what is no number are out of range") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (const auto& bad :
         {presses(0, 1), presses(-5, 1), presses(nan, 1), presses(500, -1), presses(500, nan)}) {
        const auto found = scan_period(bad);
        REQUIRE_FALSE(found);
        CHECK(found.error().code == Errc::out_of_range);
    }
}

TEST_CASE("scan period: presses that are all equal miss nothing") {
    const auto found = scan_period(presses(650, 0));
    REQUIRE(found);
    CHECK(found->missed_normal == 0);
    CHECK(found->missed_log_normal == 0);
    CHECK(found->low_ms == found->period_ms);
}

TEST_CASE(
    "scan period: for 2.275 % of misses a normal gives mean + 2 SD, for 3.914 % a log-normal mean / .65") {
    const double sd = 650 * (1 / .65 - 1) / 2;
    CHECK(scan_period_for_misses(presses(650, sd), .02275013, Spread::normal)->period_ms ==
          doctest::Approx(1000).epsilon(1e-5));
    CHECK(scan_period_for_misses(presses(650, sd), .03914, Spread::log_normal)->period_ms ==
          doctest::Approx(1000).epsilon(1e-4));
}

TEST_CASE("scan period: a period for a share implies that share, and fewer misses need a longer one") {
    CHECK(rc::check("share", [] {
        const double mean = *rc::gen::inRange(150, 4000);
        const auto summary = presses(mean, mean * *rc::gen::inRange(5, 80) / 100.0);
        const double share = *rc::gen::inRange(1, 5000) / 10000.0;
        const auto normal = scan_period_for_misses(summary, share, Spread::normal);
        const auto skewed = scan_period_for_misses(summary, share, Spread::log_normal);
        RC_ASSERT(normal.has_value() && skewed.has_value());
        RC_ASSERT(std::abs(normal->missed_normal - share) < 1e-9);
        RC_ASSERT(std::abs(skewed->missed_log_normal - share) < 1e-9);
        const auto rarer = scan_period_for_misses(summary, share / 2 + .00005, Spread::log_normal);
        RC_ASSERT(rarer->period_ms >= skewed->period_ms - 1e-9);
    }));
}

TEST_CASE("scan period: shares of 0, of more than half and of no number are out of range") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (const double share : {0.0, .00001, .51, 1.0, -.1, nan}) {
        CAPTURE(share);
        const auto found = scan_period_for_misses(presses(650, 100), share, Spread::normal);
        REQUIRE_FALSE(found);
        CHECK(found.error().code == Errc::out_of_range);
    }
}

TEST_CASE("scan period: of 20 own presses 1 is later than 1000 ms: 5 %, and from .13 to 24.87 % may be") {
    std::vector<double> times(19, 650);
    times.push_back(1200);
    times.push_back(1000);  // just in time is in time
    const CountedShare late = presses_later_than(times, 1000);
    CHECK(late.hits == 1);
    CHECK(late.count == 21);
    times.pop_back();
    const CountedShare of_twenty = presses_later_than(times, 1000);
    // Source: Clopper-Pearson of 1 in 20: 1 - (1 - .025)^(1/20) below, .2487 above in printed tables.
    CHECK(of_twenty.low == doctest::Approx(1 - std::pow(.975, 1 / 20.0)));
    CHECK(of_twenty.high == doctest::Approx(.2487).epsilon(.001));
}

TEST_CASE("scan period: 4 times the presses halve what is not known of the period, and change nothing else") {
    const auto few = scan_period(presses(650, 150, 100)), many = scan_period(presses(650, 150, 400));
    REQUIRE((few && many));
    CHECK(many->period_ms == few->period_ms);
    CHECK(many->missed_log_normal == few->missed_log_normal);
    CHECK((many->high_ms - many->low_ms) / (few->high_ms - few->low_ms) == doctest::Approx(.5).epsilon(.01));
}

TEST_CASE("scan period: of 4000 drawn log-normal press times as many are late as the proposal says") {
    // Sums of 12 even draws less 6 are nearly normal; mean 650, SD 175 as in the rule's own spread.
    std::mt19937_64 draw(3);
    const double variance = std::log1p(175.0 * 175 / (650.0 * 650)), mu = std::log(650.0) - variance / 2;
    std::vector<double> times;
    for (int i = 0; i < 4000; ++i) {
        double normal = -6;
        for (int k = 0; k < 12; ++k) normal += static_cast<double>(draw() >> 11) / 9007199254740992.0;
        times.push_back(std::exp(mu + std::sqrt(variance) * normal));
    }
    const auto found = scan_period(measure::summarize(times));
    REQUIRE(found);
    const CountedShare late = presses_later_than(times, found->period_ms);
    CHECK(late.low < found->missed_log_normal);
    CHECK(found->missed_log_normal < late.high);
    CHECK(late.low > found->missed_normal);  // taken for normal it would promise too much
}
