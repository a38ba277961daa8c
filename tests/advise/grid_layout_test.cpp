// A grid as the adviser sees it: what may be moved, and back into the profile.

#include "core/advise/grid_layout.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include <cmath>

#include "core/advise/grid_cost.hpp"
#include "tests/advise/letters.hpp"

using namespace fettle;
using namespace fettle::advise;
using namespace fettle::advise::testing;

namespace {
using Flags = std::vector<bool>;
profile::Cell cell(const char* text) {
    return std::string(text);
}
const profile::Cell k_backspace = profile::Stroke{0, 0x2A};
}  // namespace

TEST_CASE("layout: keys, long texts and a letter's second cell stay; letters and empty cells may move") {
    const profile::Grid grid{{{cell("B"), cell("b"), k_backspace}, {cell("ä"), profile::Cell{}, cell("qu")}}};
    const auto task = layout_task(grid, {});
    REQUIRE(task);
    CHECK(task->alphabet == std::vector<char32_t>{U'b', U'ä'});
    CHECK(task->start.cells == std::vector<int>{0, -1, -1, 1, -1, -1});
    CHECK(task->is_fixed == Flags{false, true, true, false, false, true});
}

TEST_CASE("layout: pins keep what stands there, an empty cell too; those outside of the grid do nothing") {
    const LayoutTask task = task_of("dc_a", 2, {{0, 1}, {1, 0}, {7, 7}, {-1, 0}});
    CHECK(task.is_fixed == Flags{false, true, true, false});
    CHECK(spelled(task, alphabet_order(task)) == "ac_d");
}

TEST_CASE("layout: a grid without cells, with uneven rows or with broken text is refused") {
    CHECK(layout_task({}, {}).error().code == Errc::out_of_range);
    CHECK(layout_task({{{}}}, {}).error().code == Errc::out_of_range);
    CHECK(layout_task({{{cell("a"), cell("b")}, {cell("c")}}}, {}).error().code == Errc::out_of_range);
    CHECK(layout_task({{{cell("\xFF")}}}, {}).error().code == Errc::garbled);
}

TEST_CASE("layout: alphabet order goes by code point in reading order, empty cells last") {
    const LayoutTask task = task_of("z_ya_x", 3);
    CHECK(spelled(task, alphabet_order(task)) == "axyz__");
}

TEST_CASE("layout: arranged moves cells with their spelling and leaves keys where they are") {
    const profile::Grid grid{{{cell("B"), k_backspace}, {cell("a"), profile::Cell{}}}};
    const auto task = layout_task(grid, {});
    REQUIRE(task);
    const profile::Grid moved = arranged(grid, *task, alphabet_order(*task));
    const profile::Grid wanted{{{cell("a"), k_backspace}, {cell("B"), profile::Cell{}}}};
    CHECK(moved == wanted);
    CHECK(arranged(grid, *task, task->start) == grid);
}

// Source: computed with general-purpose tools from the English letter table (letters.hpp).
TEST_CASE("layout: the shortest scan of the English letters takes 4.46667 steps in 5 x 6, 4.45520 in 6 x 6") {
    const TextCounts counts = lewand_counts();
    const LayoutTask small = task_of("abcdefghijklmnopqrstuvwxyz____", 6);
    const LayoutTask large = task_of("abcdefghijklmnopqrstuvwxyz__________", 6);
    const auto steps = [&](const LayoutTask& task) {
        const auto layout = shortest_scan(task, counts);
        REQUIRE(layout);
        return scan_steps_per_character(*layout, counts).mean;
    };
    CHECK(std::abs(steps(small) - 4.46667) < .000005);
    CHECK(std::abs(steps(large) - 4.45520) < .000005);
    CHECK(steps(large) > 4.20506);  // binary Huffman of the same table
    CHECK(shortest_scan(small, lewand_counts()).value() == shortest_scan(small, counts).value());
}

TEST_CASE("layout: no order of 6 characters, one of them pinned, scans shorter: all 120 are tried") {
    const LayoutTask task = task_of("abcdef", 3, {{0, 0}});
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        const TextCounts counts = random_counts(task, seed);
        const auto best = shortest_scan(task, counts);
        REQUIRE(best);
        CHECK(best->cells.front() == 0);
        double least = 1e9;
        GridLayout any = task.start;
        do {
            least = std::min(least, scan_steps_per_character(any, counts).mean);
        } while (std::next_permutation(any.cells.begin() + 1, any.cells.end()));
        CHECK(scan_steps_per_character(*best, counts).mean == doctest::Approx(least));
    }
}

TEST_CASE("layout: counts over another alphabet are a mismatch") {
    const LayoutTask task = task_of("abcd", 2);
    CHECK(shortest_scan(task, lewand_counts()).error().code == Errc::mismatch);
}

TEST_CASE("layout: whatever the pins, each character keeps one cell and pinned cells keep theirs") {
    CHECK(rc::check("permutation", [] {
        const std::string text = "hgfe_dcba_qz";
        const int pinned = *rc::gen::inRange(0, 12);
        const LayoutTask task = task_of(text, 4, {{pinned / 4, pinned % 4}, {1, 1}});
        const TextCounts counts = random_counts(task, *rc::gen::arbitrary<std::uint64_t>());
        for (const GridLayout& layout : {alphabet_order(task), shortest_scan(task, counts).value()}) {
            const std::string moved = spelled(task, layout);
            RC_ASSERT(moved[static_cast<std::size_t>(pinned)] == text[static_cast<std::size_t>(pinned)]);
            RC_ASSERT(moved[5] == text[5]);
            std::string sorted = moved, wanted = text;
            std::sort(sorted.begin(), sorted.end());
            std::sort(wanted.begin(), wanted.end());
            RC_ASSERT(sorted == wanted);
        }
    }));
}
