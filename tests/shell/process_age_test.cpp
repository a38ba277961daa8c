#include "app/shell/process_age.hpp"

#include <doctest/doctest.h>

#include <string>

namespace fettle::app {

TEST_CASE("process age: started at tick 1234 of 100 a second, asked 15.50 s after the boot: 3160 ms") {
    // Source: proc(5): field 22 of stat is the start in ticks after the boot; the name may hold anything.
    const std::string fields = " S 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 1234 20 21\n";
    for (const char* name : {"7 (fettle)", "7 (a) S b)", "7 ( )"}) {
        CAPTURE(name);
        CHECK(process_age_ms(name + fields, "15.50 20.00\n", 100) == 3160);
    }
    CHECK(process_age_ms("7 (fettle)" + fields, "15.05 20.00\n", 1000) == 13816);
}

TEST_CASE("process age: what is not understood gives nothing") {
    CHECK_FALSE(process_age_ms("", "1.00 2.00\n", 100));
    CHECK_FALSE(process_age_ms("7 (x) S 1 2\n", "1.00 2.00\n", 100));
    const std::string stat = "7 (x) S 1 2 3 4 5 6 7 8 9 10 11 12 13 14 15 16 17 18 10 20\n";
    CHECK(process_age_ms(stat, "1.00 2.00\n", 100) == 900);
    CHECK_FALSE(process_age_ms(stat, "", 100));
    CHECK_FALSE(process_age_ms(stat, "1 2\n", 100));
    CHECK_FALSE(process_age_ms(stat, "1.x\n", 100));
    CHECK_FALSE(process_age_ms(stat, "1.00\n", 0));
}

TEST_CASE("process age: this program's own is told and does not go back") {
    const auto first = process_age_ms();
    const auto second = process_age_ms();
    REQUIRE(first);
    REQUIRE(second);
    CHECK(*first >= 0);
    CHECK(*second >= *first);
}

}  // namespace fettle::app
