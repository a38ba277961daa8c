// Entropy, Huffman's code and scanning in a row, on the English letter table. Sources of the values: computed
// from the table with general-purpose tools, independently of this code; the rules from Shannon 1948 and
// Huffman 1952.

#include "core/advise/code_bounds.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <algorithm>
#include <cmath>

#include "tests/advise/letters.hpp"

using namespace fettle::advise;
using namespace fettle::advise::testing;

namespace {
std::vector<double> lewand() {
    return weights_of(k_lewand);
}
bool is_near(double value, double wanted) {
    return std::abs(value - wanted) < .000005;
}
}  // namespace

TEST_CASE("bounds: the table of 26 English letters has an entropy of 4.17579 bit") {
    CHECK(is_near(entropy_bits(lewand()), 4.17579));
    const Estimate information = letter_information(lewand_counts());
    CHECK(is_near(information.mean, 4.17579));
    CHECK(information.count == 99999);
    CHECK(information.sd > 0);
}

TEST_CASE("bounds: Huffman needs 4.20506 binary, 2.70325 ternary, 2.14902 four-way symbols a letter") {
    CHECK(is_near(huffman_mean_length(lewand(), 2), 4.20506));
    CHECK(is_near(huffman_mean_length(lewand(), 3), 2.70325));
    CHECK(is_near(huffman_mean_length(lewand(), 4), 2.14902));
    CHECK(is_near(entropy_bits(lewand()) / std::log2(3), 2.63463));
    CHECK(is_near(entropy_bits(lewand()) / 2, 2.08789));
}

TEST_CASE("bounds: offered one by one, a letter comes at place 11.65807 from a to z, 7.53592 by frequency") {
    std::vector<double> weights = lewand();
    CHECK(is_near(linear_scan_mean(weights), 11.65807));
    std::sort(weights.rbegin(), weights.rend());
    CHECK(is_near(linear_scan_mean(weights), 7.53592));
}

TEST_CASE("bounds: 8 equal choices are 3 bit, one choice alone 0, nothing 0") {
    const std::vector<double> equal(8, 5), one{3}, none, zeros(4, 0);
    CHECK(is_near(entropy_bits(equal), 3));
    CHECK(is_near(huffman_mean_length(equal, 2), 3));
    CHECK(is_near(huffman_mean_length(equal, 8), 1));
    CHECK(entropy_bits(one) == 0);
    CHECK(huffman_mean_length(one, 2) == 0);
    for (const auto& empty : {none, zeros}) {
        CHECK(entropy_bits(empty) == 0);
        CHECK(huffman_mean_length(empty, 2) == 0);
        CHECK(linear_scan_mean(empty) == 0);
    }
}

// Source: Shannon 1948, theorem 9; Huffman 1952: entropy / log2 n <= length < entropy / log2 n + 1.
TEST_CASE("bounds: Huffman's mean length lies from entropy / log2 n to less than 1 above, for 2 to 6 ways") {
    CHECK(rc::check("bound", [] {
        const auto drawn = *rc::gen::container<std::vector<int>>(rc::gen::inRange(1, 10000));
        RC_PRE(drawn.size() >= 2);
        const std::vector<double> weights(drawn.begin(), drawn.end());
        const int ways = *rc::gen::inRange(2, 7);
        const double bound = entropy_bits(weights) / std::log2(ways);
        const double length = huffman_mean_length(weights, ways);
        RC_ASSERT(length >= bound - 1e-9);
        RC_ASSERT(length < bound + 1);
    }));
}

TEST_CASE("bounds: knowing the character before never adds information, and in `ababab` leaves none") {
    const std::vector<char32_t> alphabet = alphabet_of("ab").value();
    const TextCounts turns = count_text("abababababab", alphabet).value();
    CHECK(is_near(letter_information(turns).mean, 1));
    CHECK(letter_information_after(turns).mean == 0);
    CHECK(letter_information_after(turns).count == 11);
    const LayoutTask task = task_of("abcdefghij", 5);
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const TextCounts counts = random_counts(task, seed);
        CHECK(letter_information_after(counts).mean <= letter_information(counts).mean + 1e-12);
    }
}

// Source: L. G. Kraft 1949, B. McMillan 1956: there is a code of these lengths exactly when the sum of
// ways^-length is at most 1 (from memory).
TEST_CASE("bounds: no lengths up to 5 that Kraft allows make a shorter code than Huffman's, for 5 choices") {
    for (const int ways : {2, 3, 4}) {
        for (const auto& weights : std::vector<std::vector<double>>{
                 {1, 1, 1, 1, 1}, {16, 8, 4, 2, 1}, {5, 5, 3, 2, 2}, {100, 1, 1, 1, 1}, {9, 8, 7, 1, 1}}) {
            double least = 1e9, sum = 0;
            for (const double weight : weights) sum += weight;
            for (int code = 0; code < 5 * 5 * 5 * 5 * 5; ++code) {
                double kraft = 0, length = 0;
                int rest = code;
                for (const double weight : weights) {
                    const int symbols = rest % 5 + 1;
                    rest /= 5;
                    kraft += std::pow(ways, -symbols);
                    length += weight * symbols / sum;
                }
                if (kraft <= 1 + 1e-12) least = std::min(least, length);
            }
            CAPTURE(ways);
            CHECK(huffman_mean_length(weights, ways) == doctest::Approx(least));
        }
    }
}

TEST_CASE("bounds: neither order nor unit of the weights matters, and choices that never come cost nothing") {
    CHECK(rc::check("order and unit", [] {
        auto weights = *rc::gen::container<std::vector<double>>(
            rc::gen::map(rc::gen::inRange(0, 1000), [](int weight) { return static_cast<double>(weight); }));
        const double entropy = entropy_bits(weights), length = huffman_mean_length(weights, 2);
        std::vector<double> other(weights.rbegin(), weights.rend());
        for (double& weight : other) weight *= 7;
        RC_ASSERT(std::abs(entropy_bits(other) - entropy) < 1e-9);
        RC_ASSERT(std::abs(huffman_mean_length(other, 2) - length) < 1e-9);
        other.insert(other.begin(), 3, 0);
        RC_ASSERT(std::abs(entropy_bits(other) - entropy) < 1e-9);
    }));
}
