// Presses, steps and times a character, against the engine's own mark, hand-made texts and a slow simulation.

#include "core/advise/grid_cost.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>
#include <deque>
#include <map>

#include "core/engine/grid.hpp"
#include "tests/advise/letters.hpp"

using namespace fettle;
using namespace fettle::advise;
using namespace fettle::advise::testing;

namespace {

bool is_near(double value, double wanted) {
    return std::abs(value - wanted) < .000005;
}

using Place = std::pair<int, int>;

/// Fewest moves of the engine's mark from one cell to every other, by trying all.
std::map<Place, int> engine_moves(const engine::Setup& setup, Place from) {
    engine::Grid mark;
    mark.reset();
    for (int i = 0; i < from.first; ++i) mark.move(setup, engine::Direction::down);
    for (int i = 0; i < from.second; ++i) mark.move(setup, engine::Direction::right);
    std::map<Place, int> reached{{from, 0}};
    for (std::deque<engine::Grid> open{mark}; !open.empty(); open.pop_front()) {
        const int moves = reached.at({open.front().row(), open.front().column()});
        for (const auto direction : {engine::Direction::up, engine::Direction::right, engine::Direction::down,
                                     engine::Direction::left}) {
            engine::Grid next = open.front();
            next.move(setup, direction);
            if (reached.try_emplace({next.row(), next.column()}, moves + 1).second) open.push_back(next);
        }
    }
    return reached;
}

/// Counts over the letters a to z, 26 in 6 columns and as many rows as asked, in this order.
GridLayout letters_in(const std::vector<int>& order, int rows, int columns) {
    GridLayout layout{rows, columns, order};
    layout.cells.resize(static_cast<std::size_t>(rows * columns), k_no_character);
    return layout;
}

}  // namespace

TEST_CASE("grid cost: moves between any two cells are the fewest of the engine's mark, 1 x 1 to 5 x 7") {
    for (const auto& [rows, columns] : {Place{1, 1}, Place{1, 6}, Place{2, 2}, Place{3, 4}, Place{5, 7}}) {
        engine::Setup setup{};
        setup.grid_rows = static_cast<std::uint8_t>(rows);
        setup.grid_columns = static_cast<std::uint8_t>(columns);
        const GridLayout layout{rows, columns, {}};
        int wrong = 0;
        for (int from = 0; from < rows * columns; ++from) {
            const auto reached = engine_moves(setup, {from / columns, from % columns});
            CHECK(reached.size() == static_cast<std::size_t>(rows * columns));
            for (const auto& [place, moves] : reached)
                wrong += moves_between(layout, from, place.first * columns + place.second) != moves;
        }
        CHECK(wrong == 0);
    }
}

TEST_CASE("grid cost: `abcab` on a b c / d e f takes 1, 1, 1, 1 moves: c to a goes past the edge") {
    const LayoutTask task = task_of("abcdef", 3);
    const TextCounts counts = count_text("abcab", task.alphabet).value();
    const Estimate moves = moves_per_character(task.start, counts);
    CHECK(moves.mean == 1);
    CHECK(moves.sd == 0);
    CHECK(moves.count == 4);
}

TEST_CASE("grid cost: `aaf` on a b c / d e f takes 0 and 2 moves: 1 in the mean, spread 1") {
    const LayoutTask task = task_of("abcdef", 3);
    const Estimate moves = moves_per_character(task.start, count_text("aaf", task.alphabet).value());
    CHECK(moves.mean == 1);
    CHECK(moves.sd == 1);
    CHECK(moves.count == 2);
}

TEST_CASE("grid cost: pairs with a character that has no cell are not counted") {
    const TextCounts counts = count_text("abab", alphabet_of("ab").value()).value();
    const GridLayout only_a{1, 2, {0, k_no_character}};
    CHECK(moves_per_character(only_a, counts).count == 0);
    CHECK(scan_steps_per_character(only_a, counts).count == 2);
    CHECK(scan_ms_per_character({1, 1, {k_no_character}}, counts, {}) == Estimate{});
}

// Source: computed with general-purpose tools from the English letter table (letters.hpp).
TEST_CASE(
    "grid cost: row-column scans take 5.53550 steps from a to z, 4.83348 by frequency in reading order") {
    const TextCounts counts = lewand_counts();
    std::vector<int> order(26);
    for (int i = 0; i < 26; ++i) order[static_cast<std::size_t>(i)] = i;
    CHECK(is_near(scan_steps_per_character(letters_in(order, 5, 6), counts).mean, 5.53550));
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) {
        return k_lewand[static_cast<std::size_t>(a)] > k_lewand[static_cast<std::size_t>(b)];
    });
    const Estimate steps = scan_steps_per_character(letters_in(order, 5, 6), counts);
    CHECK(is_near(steps.mean, 4.83348));
    CHECK(steps.count == 99999);
}

// Source: Shannon 1948: presses are a prefix code of 5 symbols (4 directions, pick), steps one of 2.
TEST_CASE("grid cost: no layout beats the information of its text, in presses or in scan steps") {
    CHECK(rc::check("bounds", [] {
        const auto columns = static_cast<std::size_t>(*rc::gen::inRange(1, 8));
        std::string characters = std::string("abcdefghijklmnopqrstuvwxyz")
                                     .substr(static_cast<std::size_t>(*rc::gen::inRange(0, 24)));
        while (characters.size() % columns != 0) characters += '_';
        const LayoutTask task = task_of(characters, columns);
        const TextCounts counts = random_counts(task, *rc::gen::arbitrary<std::uint64_t>());
        const Estimate moves = moves_per_character(task.start, counts);
        if (moves.count == 0) return;
        RC_ASSERT(moves.mean + 1 >= least_presses_per_character(counts).mean - 1e-9);
        RC_ASSERT(scan_steps_per_character(task.start, counts).mean >=
                  least_scan_steps_per_character(counts).mean - 1e-9);
    }));
}

TEST_CASE("grid cost: 3 presses of 400 +- 100 ms take 1200 ms, spread by sqrt 3 * 100") {
    const Estimate time = time_per_character({2, 0, 1000}, {400, 100, 25});
    CHECK(time.mean == doctest::Approx(1200));
    CHECK(time.sd == doctest::Approx(100 * std::sqrt(3)));
    CHECK(time.count == 25);
    // 0 or 4 moves by turns with an even press: 1 or 5 presses, spread 2 presses.
    CHECK(time_per_character({2, 2, 1000}, {400, 0, 25}).sd == doctest::Approx(800));
}

// Source: T = (row + column) periods, both counted from 1.
TEST_CASE(
    "grid cost: without misses a scan of 800 ms with 400 ms more for first items takes (r + c) 800 + 800") {
    const LayoutTask task = task_of("abcdef", 3);
    const TextCounts counts = count_text("ffff", task.alphabet).value();
    const Estimate time = scan_ms_per_character(task.start, counts, {800, 400, 0});
    CHECK(time.mean == doctest::Approx(5 * 800 + 2 * 400));
    CHECK(time.sd == 0);
    CHECK(time.count == 4);
}

TEST_CASE("grid cost: with 10 % of misses the formula agrees with 200,000 scans walked item by item") {
    const LayoutTask task = task_of("abcdefghijkl", 4);
    const TextCounts counts = count_text("a cab, a flag, a jig; bad lid, big bell", task.alphabet).value();
    const ScanTimes times{700, 300, .1};
    const Estimate formula = scan_ms_per_character(task.start, counts, times);
    std::mt19937_64 draw(7);
    // One list: as long as the wanted item is missed, another round.
    const auto walk = [&](int items, int wanted) {
        double ms = 0;
        for (int at = 0;; at = (at + 1) % items) {
            ms += times.period_ms + (at == 0 ? times.first_item_extra_ms : 0);
            if (at == wanted && draw() % 10 != 0) return ms;
        }
    };
    Weighed walked;
    for (int i = 0; i < 200'000; ++i) {
        std::uint64_t at = draw() % counts.total;
        std::size_t letter = 0;
        while (at >= counts.letters[letter]) at -= counts.letters[letter++];
        const auto cell = static_cast<int>(
            std::find(task.start.cells.begin(), task.start.cells.end(), static_cast<int>(letter)) -
            task.start.cells.begin());
        walked.add(walk(3, cell / 4) + walk(4, cell % 4), 1);
    }
    const Estimate slow = walked.estimate();
    CHECK(std::abs(slow.mean - formula.mean) < 4 * slow.standard_error());
    CHECK(slow.sd == doctest::Approx(formula.sd).epsilon(.02));
}

TEST_CASE("grid cost: moves are a distance: 0 to itself, the same back, never shorter by a stop on the way") {
    CHECK(rc::check("distance", [] {
        const GridLayout layout{*rc::gen::inRange(1, 17), *rc::gen::inRange(1, 65), {}};
        const auto cell = [&] { return *rc::gen::inRange(0, layout.rows * layout.columns); };
        const int a = cell(), b = cell(), c = cell();
        RC_ASSERT(moves_between(layout, a, a) == 0);
        RC_ASSERT(moves_between(layout, a, b) == moves_between(layout, b, a));
        RC_ASSERT(moves_between(layout, a, c) <= moves_between(layout, a, b) + moves_between(layout, b, c));
        RC_ASSERT(moves_between(layout, a, b) <= layout.rows / 2 + layout.columns / 2);
    }));
}

TEST_CASE("grid cost: a layout pushed on by a row and a column costs the same moves, as the mark wraps") {
    const LayoutTask task = task_of("abcdefghijklmnopqrst", 5);
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        const TextCounts counts = random_counts(task, seed);
        GridLayout pushed = task.start;
        for (int i = 0; i < 20; ++i)
            pushed.cells[static_cast<std::size_t>((i / 5 + 1) % 4 * 5 + (i % 5 + 1) % 5)] =
                task.start.cells[static_cast<std::size_t>(i)];
        const Estimate here = moves_per_character(task.start, counts);
        const Estimate there = moves_per_character(pushed, counts);
        CHECK(there.mean == doctest::Approx(here.mean));
        CHECK(there.sd == doctest::Approx(here.sd));
        CHECK(scan_steps_per_character(pushed, counts).mean !=
              scan_steps_per_character(task.start, counts).mean);
    }
}

// Source: the engine's mark itself, walked through a text by presses.
TEST_CASE("grid cost: a text walked with the engine's mark takes the presses that the cost says") {
    const LayoutTask task = task_of("abcdefghijklmnopqrstuvwxyz ,.-", 6);
    const std::string text = "the volunteer lends a drill, a saw and two clamps - all came back.";
    const TextCounts counts = count_text(text, task.alphabet).value();
    CHECK(counts.left_out == 0);
    engine::Setup setup{};
    setup.grid_rows = 5;
    setup.grid_columns = 6;
    int presses = 0;
    for (std::size_t i = 1; i < text.size(); ++i) {
        const auto cell = [&](char c) {
            const int place = counts.place_of(static_cast<char32_t>(c));
            const auto& cells = task.start.cells;
            return static_cast<int>(std::find(cells.begin(), cells.end(), place) - cells.begin());
        };
        const int from = cell(text[i - 1]), to = cell(text[i]);
        presses += engine_moves(setup, {from / 6, from % 6}).at({to / 6, to % 6});
    }
    const Estimate moves = moves_per_character(task.start, counts);
    CHECK(moves.count == text.size() - 1);
    CHECK(moves.mean * static_cast<double>(moves.count) == doctest::Approx(presses));
}

TEST_CASE("grid cost: of 0 values there is no error of the mean; of 4 with spread 2 it is 1") {
    CHECK(Estimate{}.standard_error() == 0);
    CHECK(Estimate{5, 2, 4}.standard_error() == 1);
    Weighed weighed;
    CHECK(weighed.estimate() == Estimate{});
    weighed.add(3, 0);
    CHECK(weighed.estimate() == Estimate{});
    weighed.add(1, 3);
    weighed.add(5, 1);
    CHECK(weighed.estimate().mean == doctest::Approx(2));
    CHECK(weighed.estimate().sd == doctest::Approx(std::sqrt(3)));
    CHECK(weighed.estimate().count == 4);
}
