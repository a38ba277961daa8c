#include <doctest/doctest.h>

#include "core/store/store.hpp"

namespace fettle::store {
namespace {

TEST_CASE("people: 1 added is listed") {
    const FakeClock clock(1000);
    auto store = Store::open(":memory:", clock);
    REQUIRE(store);
    REQUIRE((*store)->add_person("volunteer"));
    CHECK((*store)->people()->size() == 1);
}

}  // namespace
}  // namespace fettle::store
