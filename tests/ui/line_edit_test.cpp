#include <doctest/doctest.h>

#include <random>
#include <vector>

#include "app/ui/line_edit.hpp"
#include "tests/ui/bench.hpp"

namespace fettle::app::ui {
namespace {

KeyEvent typed(const std::string& text) {
    KeyEvent key;
    key.key = Key::other;
    key.text = text;
    return key;
}

TEST_CASE("line edit: the mark goes over whole characters of 1 to 4 bytes, both ways of erasing take one") {
    LineEdit edit;
    for (const char* letter : {"a", "\u00fc", "\u20ac", "\U0001F600"}) CHECK(edit.take(typed(letter)));
    CHECK(edit.characters() == 4);
    CHECK(edit.at == 10);
    CHECK(edit.take(test::key_event(Key::left)));
    CHECK(edit.at == 6);
    CHECK(edit.take(test::key_event(Key::backspace)));
    CHECK(edit.text == "a\u00fc\U0001F600");
    CHECK(edit.take(test::key_event(Key::home)));
    CHECK(edit.take(test::key_event(Key::erase)));
    CHECK(edit.text == "\u00fc\U0001F600");
}

TEST_CASE(
    "line edit: what is beyond 3 characters is left out, control characters too, shortcuts are not its own") {
    LineEdit edit;
    edit.most_characters = 3;
    edit.put("ab\ncd\x7f");
    CHECK(edit.text == "abc");
    KeyEvent undo = typed("z");
    undo.control = true;
    CHECK_FALSE(edit.take(undo));
    CHECK_FALSE(edit.take(test::key_event(Key::tab)));
    CHECK_FALSE(edit.take(test::key_event(Key::enter)));
    CHECK(edit.text == "abc");
}

TEST_CASE("line edit: 20000 random keys do what they do to a row of letters") {
    std::mt19937 random(11);
    const std::vector<std::string> letters{"x", "\u00e9", "\u4e2d", "\U0001F511"};
    std::vector<std::string> row;
    std::size_t at = 0;
    LineEdit edit;
    edit.most_characters = 12;
    int wrong = 0;
    for (int i = 0; i < 20000; ++i) {
        switch (random() % 8) {
            case 0:
            case 1: {
                const std::string& letter = letters[random() % letters.size()];
                (void)edit.take(typed(letter));
                if (row.size() < 12) row.insert(row.begin() + static_cast<std::ptrdiff_t>(at++), letter);
                break;
            }
            case 2:
                (void)edit.take(test::key_event(Key::backspace));
                if (at > 0) row.erase(row.begin() + static_cast<std::ptrdiff_t>(--at));
                break;
            case 3:
                (void)edit.take(test::key_event(Key::erase));
                if (at < row.size()) row.erase(row.begin() + static_cast<std::ptrdiff_t>(at));
                break;
            case 4:
                (void)edit.take(test::key_event(Key::left));
                if (at > 0) --at;
                break;
            case 5:
                (void)edit.take(test::key_event(Key::right));
                if (at < row.size()) ++at;
                break;
            case 6:
                (void)edit.take(test::key_event(Key::home));
                at = 0;
                break;
            default:
                (void)edit.take(test::key_event(Key::end));
                at = row.size();
                break;
        }
        std::string text;
        std::size_t bytes = 0;
        for (std::size_t k = 0; k < row.size(); ++k) {
            if (k == at) bytes = text.size();
            text += row[k];
        }
        if (at == row.size()) bytes = text.size();
        wrong += text != edit.text || bytes != edit.at ? 1 : 0;
    }
    CHECK(wrong == 0);
}

}  // namespace
}  // namespace fettle::app::ui
