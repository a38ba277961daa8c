#pragma once
// One line of text while it is being edited. Works in whole characters of UTF-8. Thread: one.

#include <cstddef>
#include <string>

#include "app/ui/input.hpp"

namespace fettle::app::ui {

struct LineEdit {
    std::string text;
    std::size_t at = 0;  ///< bytes before the mark, always between two characters
    int most_characters = 64;

    /// True when the key was one of editing: what it types, Backspace, Delete, Left, Right, Home, End.
    bool take(const KeyEvent& key);
    /// Puts one character or more at the mark; what is too much is left out.
    void put(const std::string& utf8);
    void erase_back();
    void clear();
    int characters() const;
};

}  // namespace fettle::app::ui
