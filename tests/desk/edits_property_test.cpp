// Any list of edits: each leaves a whole profile or nothing changed, and before and after are told apart.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/desk/random_edit.hpp"

using namespace fettle;
using namespace fettle::app;

TEST_CASE("edits: a profile that is whole stays whole through any 30 edits") {
    const bool held = rc::check([] {
        profile::Profile now = profile::sample();
        int applied = 0;
        for (int i = 0; i < 30; ++i) {
            const edit::Edit e = test::random_edit(now);
            const auto next = edit::apply(now, e);
            if (!next) continue;
            RC_ASSERT(profile::validate(*next).empty());
            // The same again changes nothing more, or is refused because it is done.
            const auto again = edit::apply(*next, e);
            const bool is_the_same = !again || *again == *next;
            RC_ASSERT(is_the_same);
            now = *next;
            ++applied;
        }
        RC_TAG(applied > 10 ? "more than 10 applied" : "few applied");
    });
    CHECK(held);
}
