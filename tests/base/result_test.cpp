#include "core/base/result.hpp"

#include <doctest/doctest.h>

#include <memory>
#include <string>

namespace fettle {
namespace {

Result<int> half(int n) {
    if (n % 2 != 0) return fail(Errc::out_of_range, "n", std::to_string(n) + ": even numbers only");
    return n / 2;
}

Result<std::string> half_as_text(int n) {
    const auto r = half(n);
    if (!r) return r.failure();
    return std::to_string(*r);
}

TEST_CASE("result: holds the value of 1 success and reads as true") {
    const auto r = half(84);
    REQUIRE(r.has_value());
    CHECK(static_cast<bool>(r));
    CHECK(r.value() == 42);
    CHECK(*r == 42);
}

TEST_CASE("result: 1 failure carries code, place and detail up through another type") {
    const auto r = half_as_text(7);
    REQUIRE_FALSE(r.has_value());
    CHECK(r.error() == Error{Errc::out_of_range, "n", "7: even numbers only"});
}

TEST_CASE("result: a value of a type that cannot be copied is moved out once") {
    Result<std::unique_ptr<int>> r = std::make_unique<int>(5);
    REQUIRE(r);
    const std::unique_ptr<int> owned = *std::move(r);
    CHECK(*owned == 5);
}

TEST_CASE("result: a value can be changed in place through -> and *") {
    Result<std::string> r = std::string("fa");
    r->push_back('r');
    *r += "!";
    CHECK(r.value() == "far!");
}

TEST_CASE("result: Status is true for work that gives nothing") {
    const auto work = [](bool fails) -> Status {
        if (fails) return fail(Errc::disk_full, "profile.json");
        return Done{};
    };
    CHECK(work(false).has_value());
    CHECK(work(true).error().code == Errc::disk_full);
    CHECK(work(true).error().detail.empty());
}

}  // namespace
}  // namespace fettle
