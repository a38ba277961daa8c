// The distributions against printed tables and closed forms.

#include "core/advise/distributions.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>

using namespace fettle::advise;

namespace {
bool is_near(double value, double wanted, double within) {
    return std::abs(value - wanted) < within;
}
}  // namespace

// Source: any table of the normal distribution: 2.275 % above 2 deviations, 1.959964 for 2.5 %.
TEST_CASE("distributions: 2.275 % of a normal lie above 2 deviations, 2.5 % above 1.959964") {
    CHECK(is_near(share_above(Spread::normal, 0, 1, 2), .0227501, 1e-7));
    CHECK(is_near(share_above(Spread::normal, 100, 15, 130), .0227501, 1e-7));
    CHECK(is_near(value_below_share(Spread::normal, 0, 1, .025), 1.959964, 1e-6));
}

// Source: sigma = .29356, mu = 4.56208 of mean 100, SD 30: moments of the log-normal turned round; the share
// above 200 is .0061 (computed with general-purpose tools).
TEST_CASE("distributions: of a log-normal of mean 100, SD 30, .0061 lie above 200 and half above e^4.56208") {
    CHECK(is_near(share_above(Spread::log_normal, 100, 30, 200), .0061, .00005));
    CHECK(is_near(share_above(Spread::log_normal, 100, 30, std::exp(4.56208)), .5, 1e-5));
    CHECK(is_near(value_below_share(Spread::log_normal, 100, 30, .5), std::exp(4.56208), .001));
    CHECK(share_above(Spread::log_normal, 100, 30, 0) == 1);
    CHECK(share_above(Spread::log_normal, 100, 30, -5) == 1);
}

TEST_CASE("distributions: without spread all values are the mean") {
    for (const Spread spread : {Spread::normal, Spread::log_normal}) {
        CHECK(share_above(spread, 100, 0, 99) == 1);
        CHECK(share_above(spread, 100, 0, 100) == 0);
        CHECK(value_below_share(spread, 100, 0, .1) == 100);
    }
}

TEST_CASE("distributions: the value below a share has that share above it, for both spreads") {
    CHECK(rc::check("round trip", [] {
        const double mean = *rc::gen::inRange(50, 3000);
        const double sd = mean * *rc::gen::inRange(1, 90) / 100.0;
        const double share = *rc::gen::inRange(1, 1000) / 1001.0;
        const Spread spread = *rc::gen::element(Spread::normal, Spread::log_normal);
        const double value = value_below_share(spread, mean, sd, share);
        RC_ASSERT(is_near(share_above(spread, mean, sd, value), share, 1e-9));
    }));
}

// Source: table of Student's t: 2.776 for 4 and 2.093 for 19 degrees of freedom, 2.5 % on each side.
TEST_CASE("distributions: the mean of 5 is known to 2.776 SD / sqrt 5, that of 20 to 2.093 SD / sqrt 20") {
    CHECK(is_near(mean_half_width(5, 1, .95).value(), 2.776445 / std::sqrt(5), 1e-6));
    CHECK(is_near(mean_half_width(20, 10, .95).value(), 20.93024 / std::sqrt(20), 1e-5));
    CHECK_FALSE(mean_half_width(1, 1, .95));
    CHECK_FALSE(mean_half_width(0, 0, .95));
}

// Source: Student's t with 1 degree of freedom is Cauchy's distribution: above x lie 1/2 - atan(x) / pi.
TEST_CASE("distributions: after 2 values the next lies above by Cauchy's tail") {
    const double x = 3 / (2 * std::sqrt(1.5));
    CHECK(is_near(next_above(2, 10, 2, 13).value(), .5 - std::atan(x) / std::acos(-1.0), 1e-12));
    CHECK(next_above(3, 10, 0, 9).value() == 1);
    CHECK(next_above(3, 10, 0, 10).value() == 0);
    CHECK_FALSE(next_above(1, 10, 2, 13));
}

// Source: Clopper and Pearson 1934: with no hit in n the upper end is 1 - (tail)^(1/n); 5 of 10 gives .1871
// to .8129 in printed tables.
TEST_CASE("distributions: 0 of 20 may be up to 16.84 %, 5 of 10 lie between 18.71 and 81.29 %") {
    const CountedShare none = counted_share(0, 20, .95);
    CHECK(none.low == 0);
    CHECK(is_near(none.high, 1 - std::pow(.025, 1 / 20.0), 1e-12));
    CHECK(is_near(none.high, .1684, .00005));
    const CountedShare half = counted_share(5, 10, .95);
    CHECK(is_near(half.low, .1871, .00005));
    CHECK(is_near(half.high, .8129, .00005));
    const CountedShare all = counted_share(20, 20, .95);
    CHECK(is_near(all.low, std::pow(.025, 1 / 20.0), 1e-12));
    CHECK(all.high == 1);
    const CountedShare unknown = counted_share(0, 0, .95);
    CHECK(unknown.low == 0);
    CHECK(unknown.high == 1);
}

TEST_CASE("distributions: a counted share lies in its interval, mirrors with misses, narrows with more") {
    CHECK(rc::check("interval", [] {
        const auto count = static_cast<std::size_t>(*rc::gen::inRange(1, 400));
        const auto hits = static_cast<std::size_t>(*rc::gen::inRange(0, static_cast<int>(count) + 1));
        const CountedShare share = counted_share(hits, count, .95);
        const double seen = static_cast<double>(hits) / static_cast<double>(count);
        RC_ASSERT(share.low <= seen && seen <= share.high);
        const CountedShare mirrored = counted_share(count - hits, count, .95);
        RC_ASSERT(is_near(mirrored.low, 1 - share.high, 1e-9));
        const CountedShare more = counted_share(hits * 4, count * 4, .95);
        RC_ASSERT(more.high - more.low < share.high - share.low);
    }));
}

TEST_CASE("distributions: one more value lies above the mean as often as below it, whatever the count") {
    for (const std::size_t count : {2u, 3u, 10u, 1000u}) {
        CHECK(next_above(count, 260, 40, 260).value() == doctest::Approx(.5));
        CHECK(next_above(count, 260, 40, 300).value() + next_above(count, 260, 40, 220).value() ==
              doctest::Approx(1));
    }
    // With 1000 values t is as good as normal: 15.87 % above 1 deviation.
    CHECK(is_near(next_above(1000, 0, 1, 1).value(), .1587, .0005));
    CHECK(next_above(2, 0, 1, 1).value() > next_above(3, 0, 1, 1).value());
}
