#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

TEST_CASE("settings: none at first; set, set again, forgotten; 3 listed by key") {
    Bench bench;
    Store& store = *bench.store;
    CHECK_FALSE(store.setting("scale").value());
    REQUIRE(store.set_setting("scale", "1.5"));
    REQUIRE(store.set_setting("scale", "2"));
    REQUIRE(store.set_setting("empty", ""));
    REQUIRE(store.set_setting("zero", std::string_view("a\0b", 3)));
    CHECK(store.setting("scale").value() == "2");
    CHECK(store.setting("empty").value() == "");
    const std::map<std::string, std::string> wanted = {
        {"empty", ""}, {"scale", "2"}, {"zero", std::string("a\0b", 3)}};
    CHECK(store.settings().value() == wanted);
    REQUIRE(store.forget_setting("scale"));
    CHECK_FALSE(store.setting("scale").value());
    CHECK(store.forget_setting("scale"));
    CHECK(store.settings()->size() == 2);
}

TEST_CASE("settings: 65536 bytes are kept, 65537 are refused, and so is what is no UTF-8") {
    Bench bench;
    const std::string most(65536, 'x');
    REQUIRE(bench.store->set_setting("layout", most));
    CHECK(bench.store->setting("layout").value() == most);
    CHECK(code_of(bench.store->set_setting("layout", most + "x")) == Errc::too_large);
    CHECK(code_of(bench.store->set_setting("layout", "\xC3")) == Errc::syntax);
    CHECK(bench.store->setting("layout").value() == most);
}

}  // namespace
}  // namespace fettle::store
