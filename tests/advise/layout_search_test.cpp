// The search for the fewest moves, against all layouts of small grids, a text whose least is known, and a
// search of twenty times its length.

#include "core/advise/layout_search.hpp"

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "core/advise/annealing.hpp"
#include "core/advise/grid_cost.hpp"
#include "core/advise/running_text.hpp"
#include "tests/advise/letters.hpp"

using namespace fettle;
using namespace fettle::advise;
using namespace fettle::advise::testing;

namespace {

SearchSettings brief(std::uint64_t swaps = 3000, int runs = 3) {
    return {1, runs, swaps, 1};
}

/// 40 keys in 5 rows of 8: letters, space, digits and signs, counted in Debian's English licences.
LayoutTask forty_keys(const std::vector<std::pair<int, int>>& pins = {}) {
    return task_of("abcdefghijklmnopqrstuvwxyz 0123456789.,-", 8, pins);
}
TextCounts english_counts(const LayoutTask& task) {
    TextCounts counts = no_counts(task.alphabet);
    const auto text = read_running_text(text_place("en")->folder);
    REQUIRE(text);
    for (const std::string& one : text->texts) REQUIRE(add_text(counts, one));
    return counts;
}

}  // namespace

TEST_CASE("search: of the 720 layouts of 6 characters none has fewer moves, for 10 texts") {
    const LayoutTask task = task_of("abcdef", 3);
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        const TextCounts counts = random_counts(task, seed);
        std::uint64_t least = total_moves(task.start, counts);
        GridLayout any = task.start;
        do {
            least = std::min(least, total_moves(any, counts));
        } while (std::next_permutation(any.cells.begin(), any.cells.end()));
        const auto found = fewest_moves(task, counts, brief());
        REQUIRE(found);
        CHECK(total_moves(found->layout, counts) == least);
    }
}

// Source: a 4 x 4 torus has a Hamilton cycle, so a text that goes round 16 characters needs 1 move each.
TEST_CASE("search: a text that goes round 16 characters is laid out with 1 move a character") {
    const LayoutTask task = task_of("aibjckdlemfngohp", 4);
    std::string round = "acegikmobdfhjlnp", text;
    for (int i = 0; i < 50; ++i) text += round;
    const TextCounts counts = count_text(text, task.alphabet).value();
    const auto found = fewest_moves(task, counts, brief(20'000, 6));
    REQUIRE(found);
    CHECK(found->moves.mean == 1);
    CHECK(found->moves.count == 799);
    CHECK(found->runs.count == 6);
    CHECK(found->runs.mean >= 1);
    CHECK(found->is_complete);
}

TEST_CASE(
    "search: what a swap changes is what counting all moves anew says, on 5 x 4 cells with empty ones") {
    const LayoutTask task = task_of("abcdefghijklmnop____", 4);
    CHECK(rc::check("change", [&] {
        const TextCounts counts = random_counts(task, *rc::gen::arbitrary<std::uint64_t>());
        SwapField field(task.start, counts);
        GridLayout now = task.start;
        for (int i = 0; i < 20; ++i) {
            const auto a = static_cast<std::size_t>(*rc::gen::inRange(0, 20));
            const auto b = static_cast<std::size_t>(*rc::gen::inRange(0, 20));
            if (a == b) continue;
            const auto before = static_cast<std::int64_t>(total_moves(now, counts));
            const std::int32_t change = field.change(a, b);
            field.swap(a, b);
            now.cells = field.cells();
            RC_ASSERT(static_cast<std::int64_t>(total_moves(now, counts)) - before == change);
            RC_ASSERT(field.change(a, b) == -change);
        }
    }));
}

TEST_CASE("search: the total of a layout is its moves a character times its pairs") {
    const LayoutTask task = task_of("abcdefghij", 5);
    const TextCounts counts = random_counts(task, 3);
    const Estimate moves = moves_per_character(task.start, counts);
    CHECK(static_cast<double>(total_moves(task.start, counts)) ==
          doctest::Approx(moves.mean * static_cast<double>(moves.count)));
}

TEST_CASE("search: counts of a billion a pair neither overflow nor lead it astray") {
    const LayoutTask task = task_of("abcdef", 3);
    TextCounts small = random_counts(task, 5), large = small;
    for (auto& count : large.bigrams) count *= 1'000'000'007;
    large.pairs *= 1'000'000'007;
    const auto few = fewest_moves(task, small, brief());
    const auto many = fewest_moves(task, large, brief());
    REQUIRE((few && many));
    CHECK(total_moves(few->layout, small) == total_moves(many->layout, small));
}

TEST_CASE("search: pinned cells and keys stay, every character keeps one cell") {
    CHECK(rc::check("pins", [] {
        const std::string text = "hgfe_dcba_qz";
        const int pinned = *rc::gen::inRange(0, 12);
        const LayoutTask task = task_of(text, 4, {{pinned / 4, pinned % 4}, {1, 1}});
        const TextCounts counts = random_counts(task, *rc::gen::arbitrary<std::uint64_t>());
        const auto found = fewest_moves(task, counts, brief(200, 2));
        RC_ASSERT(found.has_value());
        std::string moved = spelled(task, found->layout), wanted = text;
        RC_ASSERT(moved[static_cast<std::size_t>(pinned)] == text[static_cast<std::size_t>(pinned)]);
        RC_ASSERT(moved[5] == text[5]);
        std::sort(moved.begin(), moved.end());
        std::sort(wanted.begin(), wanted.end());
        RC_ASSERT(moved == wanted);
        RC_ASSERT(found->moves.mean <= moves_per_character(task.start, counts).mean);
        RC_ASSERT(found->moves.mean <= moves_per_character(alphabet_order(task), counts).mean);
    }));
}

TEST_CASE("search: a grid with 0 or 1 cells that may move comes back as it was") {
    const LayoutTask fixed = task_of("ba", 2, {{0, 0}, {0, 1}});
    const LayoutTask one = task_of("ba", 2, {{0, 0}});
    const TextCounts counts = random_counts(one, 1);
    CHECK(fewest_moves(fixed, counts, brief())->layout == fixed.start);
    CHECK(fewest_moves(one, counts, brief())->layout == one.start);
    const TextCounts nothing = no_counts(one.alphabet);
    const auto found = fewest_moves(one, nothing, brief());
    REQUIRE(found);
    CHECK(found->moves.count == 0);
    CHECK(found->runs.count == 0);
}

TEST_CASE("search: the same seed gives the same layout, another seed may not, and the figures say how many") {
    const LayoutTask task = forty_keys();
    const TextCounts counts = random_counts(task, 11);
    const auto first = fewest_moves(task, counts, {1, 2, 2000, 1});
    const auto again = fewest_moves(task, counts, {1, 2, 2000, 1});
    const auto other = fewest_moves(task, counts, {2, 2, 2000, 1});
    REQUIRE((first && again && other));
    CHECK(first->layout == again->layout);
    CHECK(first->judged == again->judged);
    CHECK(first->judged >= 4000);
    CHECK(first->layout != other->layout);
    CHECK(first->runs.count == 2);
    CHECK(first->runs.sd > 0);
}

TEST_CASE("search: settings out of range and another alphabet are refused") {
    const LayoutTask task = task_of("abcd", 2);
    const TextCounts counts = random_counts(task, 1);
    CHECK(fewest_moves(task, counts, {1, 0, 100, 1}).error().code == Errc::out_of_range);
    CHECK(fewest_moves(task, counts, {1, 10'001, 100, 1}).error().code == Errc::out_of_range);
    CHECK(fewest_moves(task, counts, {1, 1, 100, 0}).error().code == Errc::out_of_range);
    CHECK(fewest_moves(task, counts, {1, 1, 100, 3}).error().code == Errc::out_of_range);
    CHECK(fewest_moves(task, lewand_counts(), brief()).error().code == Errc::mismatch);
}

// Source: ratio in judged swaps, not in seconds: 2 % of the best of runs that judge twenty times as many.
// tests/bench/compare_layouts.cpp does the same with 100 long runs, by hand.
TEST_CASE("search: on 40 keys of English 60,000 judged swaps come within 2 % of what 1,200,000 find") {
    const LayoutTask task = forty_keys();
    const TextCounts counts = english_counts(task);
    const auto small = fewest_moves(task, counts, {1, 3, 20'000, 1});
    const auto large = fewest_moves(task, counts, {2, 6, 200'000, 2});
    REQUIRE((small && large));
    CHECK(large->judged > 15 * small->judged);
    CHECK(small->moves.mean <= 1.02 * large->moves.mean);
    CHECK(large->moves.mean < .7 * moves_per_character(alphabet_order(task), counts).mean);
    CHECK(large->moves.mean + 1 > least_presses_per_character(counts).mean);
    CHECK(small->runs.count == 3);
}

TEST_CASE("search: after a run no swap of two free cells gains, and pinned cells were never swapped") {
    const LayoutTask task = task_of("abcdefghijklmnop____", 5);
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        const TextCounts counts = random_counts(task, seed);
        SwapField field(task.start, counts);
        AnnealingPlan plan{{}, 500};
        for (std::size_t i = 0; i < 20; ++i)
            if (i % 4 != 0) plan.free_cells.push_back(i);
        std::uint64_t judged = 0, told = 0;
        REQUIRE(anneal(field, plan, seed, judged, [&](std::uint64_t now) {
            told += now;
            return true;
        }));
        CHECK(told == 500);
        CHECK(judged >= 500 + 200 + 15 * 14 / 2 - 6);  // cooled, sampled, gone through once; 4 are empty
        for (std::size_t i = 0; i < 20; i += 4) CHECK(field.cells()[i] == task.start.cells[i]);
        int gaining = 0;
        for (const std::size_t a : plan.free_cells)
            for (const std::size_t b : plan.free_cells) gaining += a < b && field.change(a, b) < 0;
        CHECK(gaining == 0);
    }
}

TEST_CASE("search: a run that is told to stop at its first question stops there") {
    const LayoutTask task = task_of("abcdef", 3);
    SwapField field(task.start, random_counts(task, 1));
    std::uint64_t judged = 0;
    int asked = 0;
    CHECK_FALSE(anneal(field, {{0, 1, 2, 3, 4, 5}, 1'000'000'000}, 1, judged, [&](std::uint64_t) {
        ++asked;
        return false;
    }));
    CHECK(asked == 1);
    CHECK(judged <= 200 + 4096);
}

TEST_CASE("search: 20 letters in 16 x 64 cells crowd together: moves fall below a quarter of the start's") {
    std::string text(1024, '_');
    for (std::size_t i = 0; i < 20; ++i) text[i * 51] = static_cast<char>('a' + i);
    const LayoutTask task = task_of(text, 64);
    const TextCounts counts = random_counts(task, 9);
    const auto found = fewest_moves(task, counts, {1, 1, 300, 1});
    REQUIRE(found);
    CHECK(found->moves.mean < moves_per_character(task.start, counts).mean / 4);
}

TEST_CASE("search: stopped before a run is whole, it gives the alphabet's order where that beats the start") {
    const LayoutTask task = task_of("aebfcgdh", 4);
    const TextCounts counts = count_text("abcdefghabcdefgh", task.alphabet).value();
    const auto found = fewest_moves(task, counts, {1, 5, 1'000'000, 1}, [](double) { return false; });
    REQUIRE(found);
    CHECK_FALSE(found->is_complete);
    CHECK(spelled(task, found->layout) == "abcdefgh");
    CHECK(found->moves.mean < moves_per_character(task.start, counts).mean);
}
