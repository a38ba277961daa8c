// The search on two threads: the same answer, progress on the caller's own, and an end when it is asked for.

#include <doctest/doctest.h>

#include <thread>

#include "core/advise/layout_search.hpp"
#include "tests/advise/letters.hpp"

using namespace fettle;
using namespace fettle::advise;
using namespace fettle::advise::testing;

namespace {
LayoutTask task() {
    return task_of("abcdefghijklmnopqrstuvwxyz____", 6);
}
}  // namespace

TEST_CASE("search: two threads find what one finds, to the cell and to the judged swap, for 4 seeds") {
    const TextCounts counts = random_counts(task(), 4);
    for (std::uint64_t seed = 1; seed <= 4; ++seed) {
        const auto one = fewest_moves(task(), counts, {seed, 5, 2000, 1});
        const auto two = fewest_moves(task(), counts, {seed, 5, 2000, 2});
        REQUIRE((one && two));
        CHECK(one->layout == two->layout);
        CHECK(one->judged == two->judged);
        CHECK(one->runs == two->runs);
    }
}

TEST_CASE("search: progress comes on the caller's thread, never falls, stays from 0 to 1") {
    const auto me = std::this_thread::get_id();
    const TextCounts counts = random_counts(task(), 4);
    int calls = 0, wrong = 0;
    double before = 0;
    const auto found = fewest_moves(task(), counts, {1, 4, 20'000, 2}, [&](double done) {
        ++calls;
        wrong += std::this_thread::get_id() != me || done < before || done > 1;
        before = done;
        return true;
    });
    REQUIRE(found);
    CHECK(found->is_complete);
    CHECK(calls >= 1);
    CHECK(wrong == 0);
}

TEST_CASE(
    "search: stopped at the first word it gives the better of start and alphabet, and says it is not whole") {
    const TextCounts counts = random_counts(task(), 4);
    for (const int threads : {1, 2}) {
        const auto found =
            fewest_moves(task(), counts, {1, 10'000, 1'000'000, threads}, [](double) { return false; });
        REQUIRE(found);
        CHECK_FALSE(found->is_complete);
        CHECK(found->layout == task().start);
        CHECK(found->runs.count == 0);
        CHECK(found->moves.count == counts.pairs);
    }
}
