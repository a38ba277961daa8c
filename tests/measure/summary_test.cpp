#include "core/measure/summary.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

using fettle::measure::summarize;

// Source: NIST Statistical Reference Datasets, univariate summary statistics, NumAcc1 (3 values; certified
// mean 10000002, standard deviation 1); values from memory.
TEST_CASE("summary: NumAcc1 of the NIST reference data gives mean 10000002 and deviation 1") {
    const std::vector<double> values{10000001, 10000003, 10000002};
    const auto s = summarize(values);
    CHECK(s.count == 3);
    CHECK(s.mean == 10000002);
    CHECK(s.sd == doctest::Approx(1).epsilon(1e-12));
    CHECK(s.median == 10000002);
}

// Source: NIST Statistical Reference Datasets, NumAcc3 (1001 values: 1000000.2, then 1000000.1 and 1000000.3
// in turn; certified mean 1000000.2, standard deviation 0.1); values from memory.
TEST_CASE("summary: NumAcc3 of the NIST reference data gives deviation 0.1 in spite of a mean of a million") {
    std::vector<double> values{1000000.2};
    for (int i = 0; i < 500; ++i) {
        values.push_back(1000000.1);
        values.push_back(1000000.3);
    }
    const auto s = summarize(values);
    CHECK(s.mean == doctest::Approx(1000000.2).epsilon(1e-12));
    CHECK(std::abs(s.sd - 0.1) < 1e-8);
    CHECK(s.least == 1000000.1);
    CHECK(s.most == 1000000.3);
}

TEST_CASE(
    "summary: no value gives a count of 0, one value a deviation of 0, an even count the middle of two") {
    CHECK(summarize({}).count == 0);
    const std::vector<double> one{7};
    CHECK(summarize(one).sd == 0);
    CHECK(summarize(one).median == 7);
    const std::vector<double> four{4, 1, 3, 2};
    CHECK(summarize(four).median == 2.5);
    CHECK(summarize(four).least == 1);
    CHECK(summarize(four).most == 4);
}
