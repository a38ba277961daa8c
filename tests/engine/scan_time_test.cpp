// How long a selection takes, against the analytic times of row-column scanning, and how many items are
// missed by the .65 rule.

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include "tests/engine/scan_rig.hpp"

namespace fettle::engine {
namespace {

using scan_test::Rig;

/// ms from the press that starts to the selection of row r, cell c (1 ...), each press `late_ms` after its
/// item came on show.
unsigned selection_ms(const ScanDef& def, unsigned r, unsigned c, unsigned late_ms) {
    Rig rig(def, ScanKind::rows, 12);
    rig.cell_count = 12;
    rig.press();
    const auto wait_for = [&](unsigned item) {
        while (rig.scan.item() != item) rig.tick();
        rig.run(late_ms - 1);
        rig.press();
    };
    wait_for(r - 1);
    wait_for(c - 1);
    REQUIRE(rig.acts.size() == 2);
    CHECK(rig.acts[1].row == r - 1);
    CHECK(rig.acts[1].item == c - 1);
    return rig.acts[1].ms;
}

ScanDef rows_of(uint16_t period_ms, uint16_t extra_ms) {
    return {ScanStyle::automatic, 0, period_ms, extra_ms, 2, 2};
}

// Source: row-column scanning, one hit each on average half a period late (derivation in scan.cpp).
TEST_CASE(
    "scan times: all 144 cells of a 12 by 12 grid are taken after (r + c - 1) * p, half a period late") {
    for (unsigned r = 1; r <= 12; ++r) {
        for (unsigned c = 1; c <= 12; ++c)
            CHECK(selection_ms(rows_of(700, 0), r, c, 350) == (r + c - 1) * 700);
    }
}

TEST_CASE("scan times: pressed in the last ms of each item all 144 cells take (r + c) * p") {
    for (unsigned r = 1; r <= 12; ++r) {
        for (unsigned c = 1; c <= 12; ++c) CHECK(selection_ms(rows_of(300, 0), r, c, 300) == (r + c) * 300);
    }
}

TEST_CASE("scan times: 500 ms more on the first item are paid once for a row past it and once for a cell") {
    for (unsigned r = 1; r <= 4; ++r) {
        for (unsigned c = 1; c <= 4; ++c) {
            const unsigned extra = (r > 1 ? 500u : 0u) + (c > 1 ? 500u : 0u);
            CHECK(selection_ms(rows_of(1000, 500), r, c, 400) == (r + c - 2) * 1000 + 800 + extra);
        }
    }
}

struct Letter {
    char letter;
    double percent;
};

// Letter frequencies of English in percent: Lewand 2000 as widely printed; value from memory. The means below
// were computed from this table apart from this program.
constexpr std::array<Letter, 26> k_letters = {
    {{'a', 8.167}, {'b', 1.492}, {'c', 2.782}, {'d', 4.253}, {'e', 12.702}, {'f', 2.228}, {'g', 2.015},
     {'h', 6.094}, {'i', 6.966}, {'j', 0.153}, {'k', 0.772}, {'l', 4.025},  {'m', 2.406}, {'n', 6.749},
     {'o', 7.507}, {'p', 1.929}, {'q', 0.095}, {'r', 5.987}, {'s', 6.327},  {'t', 9.056}, {'u', 2.758},
     {'v', 0.978}, {'w', 2.360}, {'x', 0.150}, {'y', 1.974}, {'z', 0.074}}};

/// Mean ms a letter, letters in reading order in `columns` columns, pressed in the last ms of each item.
double mean_ms(const std::array<Letter, 26>& order, unsigned columns, uint16_t period_ms) {
    double sum = 0, weights = 0;
    for (unsigned i = 0; i < order.size(); ++i) {
        sum += order[i].percent *
               selection_ms(rows_of(period_ms, 0), i / columns + 1, i % columns + 1, period_ms);
        weights += order[i].percent;
    }
    return sum / weights;
}

TEST_CASE(
    "scan times: English in 6 columns takes 5.53550 periods a letter from a to z, 4.83348 by frequency") {
    std::array<Letter, 26> order = k_letters;
    CHECK(mean_ms(order, 6, 500) / 500 == doctest::Approx(5.53550).epsilon(0.00001));
    std::stable_sort(order.begin(), order.end(),
                     [](const Letter& a, const Letter& b) { return a.percent > b.percent; });
    CHECK(mean_ms(order, 6, 500) / 500 == doctest::Approx(4.83348).epsilon(0.00001));
}

/// The z below which a share of the normal distribution lies.
double normal_quantile(double share) {
    double least = -8, most = 8;
    for (int i = 0; i < 60; ++i) {
        const double middle = (least + most) / 2;
        (std::erfc(-middle / std::sqrt(2.0)) / 2 < share ? least : most) = middle;
    }
    return least;
}

/// Share of 4,000 evenly spread presses that took another item than item 1.
template <typename PressTime>
double missed_share(uint16_t period_ms, PressTime press_time) {
    constexpr unsigned k_presses = 4000;
    const ScanDef def = {ScanStyle::automatic, 0, period_ms, 0, 2, 2};
    unsigned missed = 0;
    for (unsigned i = 0; i < k_presses; ++i) {
        const double press_ms = std::ceil(press_time(normal_quantile((i + 0.5) / k_presses)));
        const auto late_ms = static_cast<unsigned>(std::max(1.0, press_ms));
        Scan scan;
        scan.reset();
        scan.start(4, def);
        for (unsigned ms = 1; ms < period_ms + late_ms; ++ms) scan.tick(0, ScanKind::list, 4, def);
        const ScanStep taken = scan.tick(k_scan_press, ScanKind::list, 4, def);
        REQUIRE(taken.act == ScanAct::item);
        if (taken.item != 1) ++missed;
    }
    return static_cast<double>(missed) / k_presses;
}

// Source: Simpson, Koester & LoPresti, "Selecting an appropriate scan rate: the '.65 rule'", RESNA 2006:
// period = mean press time / .65, about mean + 2 SD; shares computed for SD/mean = .2692.
TEST_CASE("scan times: at the .65 rule 2.275 % of normal and 3.914 % of log-normal presses miss their item") {
    constexpr double k_mean = 325, k_variation = 0.2692;
    const double normal = missed_share(500, [](double z) { return k_mean * (1 + k_variation * z); });
    CHECK(normal == doctest::Approx(0.02275).epsilon(0.02));
    const double sigma = std::sqrt(std::log(1 + k_variation * k_variation));
    const double log_normal =
        missed_share(500, [&](double z) { return k_mean * std::exp(sigma * z - sigma * sigma / 2); });
    CHECK(log_normal == doctest::Approx(0.03914).epsilon(0.02));
}

}  // namespace
}  // namespace fettle::engine
