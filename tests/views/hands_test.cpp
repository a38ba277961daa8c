// A hand that a control holds is let go when the control goes, whatever made it go.
#include <doctest/doctest.h>

#include "tests/views/sitting.hpp"

namespace fettle::app::test {
namespace {

std::size_t hands_given(const Sitting& sitting, bool is_down) {
    std::size_t count = 0;
    for (const Order& one : sitting.given)
        if (const auto* ask = std::get_if<Ask>(&one))
            if (const auto* hand = std::get_if<ask::Hand>(ask))
                count += hand->is_down == is_down ? std::size_t{1} : 0;
    return count;
}

TEST_CASE("hands: a switch held by Space is let go once when another of 3 screens opens under the key") {
    for (const Screen next : {Screen::motion, Screen::people, Screen::settings}) {
        Sitting sitting;
        REQUIRE(sitting.wait_live());
        sitting.show(Screen::connect);
        REQUIRE(sitting.bench->tab_to("connect.hand.cheek"));
        sitting.bench->key_down(ui::Key::space);
        sitting.wait_ms(200);
        REQUIRE(hands_given(sitting, true) == 1);
        REQUIRE(hands_given(sitting, false) == 0);
        sitting.show(next);
        sitting.wait_ms(200);
        CHECK(hands_given(sitting, false) == 1);
        CHECK(sitting.view_state().connect.hands.down.empty());
        sitting.bench->key_up(ui::Key::space);
        sitting.wait_ms(200);
        CHECK(hands_given(sitting, false) == 1);
    }
}

TEST_CASE("hands: while its control is there a switch stays held for 2 s, and goes up with the key") {
    Sitting sitting;
    REQUIRE(sitting.wait_live());
    sitting.show(Screen::connect);
    REQUIRE(sitting.bench->tab_to("connect.hand.foot"));
    sitting.bench->key_down(ui::Key::space);
    sitting.wait_ms(2000);
    CHECK(hands_given(sitting, true) == 1);
    CHECK(hands_given(sitting, false) == 0);
    sitting.bench->key_up(ui::Key::space);
    sitting.wait_ms(200);
    CHECK(hands_given(sitting, false) == 1);
}

}  // namespace
}  // namespace fettle::app::test
