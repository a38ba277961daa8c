// What a small character display shows, row by row.
//
//          | 20 by 4                             | 16 by 2
//   row 0  | mode        key marked / variant    | mode   notice / key marked   (a grid and something held:
//          |                                     |                              what is held)
//   row 1  | what is held, else the speed        | what is held / text typed / the grid's row / speed
//   row 2  | notice / text typed / the grid      | -
//   row 3  | text typed / the grid               | -
//
// What is held, in words: "drag", "lock ctrl", "next shift" (latched, for the next key), "hold alt", "hold
// button". Cut with a + where it is too long. A cell whose key prints no character is a *; its name stands in
// row 0 while the mark is on it.

#include "core/engine/engine.hpp"
#include "core/engine/rom.hpp"
#include "core/engine/words.hpp"

namespace fettle {
namespace engine {

namespace {

/// One row being written; what does not fit is cut and marked.
class Row {
public:
    Row(char* out, uint8_t columns) : out_(out), columns_(columns), used_(0) { memset(out, ' ', columns); }
    bool is_empty() const { return used_ == 0; }
    void put(char c) {
        if (used_ < columns_) {
            out_[used_++] = c;
        } else {
            out_[columns_ - 1] = '+';
        }
    }
    void put(const char* text) {
        for (; *text != '\0'; ++text) put(*text);
    }
    void put(Word word) {
        if (!is_empty()) put(' ');
        for (uint8_t i = 0; word_letter(word, i) != '\0'; ++i) put(word_letter(word, i));
    }
    void put(uint16_t number) {
        uint16_t scale = 1;
        while (number / scale > 9) scale = static_cast<uint16_t>(scale * 10u);
        for (; scale > 0; scale = static_cast<uint16_t>(scale / 10u))
            put(static_cast<char>('0' + number / scale % 10));
    }
    /// Sets text to the right end, a blank before it; over what stands there, but for `kept` columns.
    void put_right(const char* text, uint8_t kept) {
        const uint8_t room = static_cast<uint8_t>(columns_ - kept - 1);
        uint8_t length = 0;
        while (length < room && text[length] != '\0') ++length;
        if (length == 0) return;
        char* at = out_ + (columns_ - length);
        at[-1] = ' ';
        memcpy(at, text, length);
    }

private:
    char* out_;
    uint8_t columns_, used_;
};

void put_modifiers(Row& row, uint8_t modifiers) {
    if ((modifiers & 0x11) != 0) row.put(Word::ctrl);
    if ((modifiers & 0x22) != 0) row.put(Word::shift);
    if ((modifiers & 0x04) != 0) row.put(Word::alt);
    if ((modifiers & 0x40) != 0) row.put(Word::altgr);
    if ((modifiers & 0x88) != 0) row.put(Word::gui);
}

bool is_anything_held(const HeldState& held) {
    return (held.latched | held.locked | held.dragged | held.press_modifiers | held.press_buttons) != 0;
}

void put_held(Row& row, const HeldState& held) {
    if (held.dragged != 0) row.put(Word::drag);
    if (held.locked != 0) {
        row.put(Word::lock);
        put_modifiers(row, held.locked);
    }
    if (held.latched != 0) {
        row.put(Word::next);
        put_modifiers(row, held.latched);
    }
    if ((held.press_modifiers | held.press_buttons) == 0) return;
    row.put(Word::hold);
    put_modifiers(row, held.press_modifiers);
    if (held.press_buttons != 0) row.put(Word::button);
}

void put_speed(Row& row, uint16_t permille) {
    if (permille == k_scale_one) return;
    row.put(Word::speed);
    row.put(' ');
    row.put(static_cast<uint16_t>(permille / 10u));
    row.put('%');
}

void put_typing(Row& row, uint8_t text_plus_one) {
    row.put(Word::types);
    row.put(' ');
    row.put(static_cast<uint16_t>(text_plus_one));
}

/// Keys that have a word, in the order of Word from enter to down.
/// Source: HID Usage Tables, Keyboard/Keypad page 0x07.
const uint8_t k_named_keys[] FETTLE_ROM = {0x28, 0x29, 0x2A, 0x2B, 0x2C, 0x39, 0x4C, 0x4A,
                                           0x4D, 0x4B, 0x4E, 0x50, 0x4F, 0x52, 0x51};
static_assert(sizeof k_named_keys == static_cast<uint8_t>(Word::key) - static_cast<uint8_t>(Word::enter),
              "a key for each word");

void put_key(Row& row, const Stroke& stroke) {
    put_modifiers(row, stroke.modifiers);
    for (uint8_t i = 0; i < static_cast<uint8_t>(sizeof k_named_keys); ++i) {
        if (rom_u8(k_named_keys + i) != stroke.usage) continue;
        return row.put(static_cast<Word>(static_cast<uint8_t>(Word::enter) + i));
    }
    const char c = stroke_char(Stroke{0, stroke.usage, 0});
    if (c != '\0') {
        if (!row.is_empty()) row.put(' ');
        return row.put(c);
    }
    row.put(Word::key);
    row.put(' ');
    row.put(static_cast<uint16_t>(stroke.usage));
}

char cell_char(const Stroke& stroke) {
    if (stroke.usage == 0) return ' ';
    const char c = stroke_char(stroke);
    if (c == ' ') return '_';
    return c != '\0' ? c : '*';
}

bool is_grid_action(const Setup& setup, uint8_t number, bool& is_found) {
    ActionDef action = {ActionKind::none, 0, 0, 0};
    if (number == 0) return true;
    if (!setup.action(number, action)) return false;
    if (action.kind == ActionKind::grid_move || action.kind == ActionKind::grid_pick) is_found = true;
    return true;
}

/// Whether this mode works the grid. False while the storage is busy.
bool find_grid(const Setup& setup, uint8_t mode, bool& is_found) {
    is_found = false;
    if (setup.grid_rows == 0 || setup.grid_columns == 0 || mode >= setup.mode_count) return true;
    for (uint8_t input = 0; input < setup.input_count && !is_found; ++input) {
        for (uint8_t gesture = 0; gesture < k_gestures; ++gesture)
            if (!is_grid_action(setup, setup.number(mode, input, static_cast<Gesture>(gesture)), is_found))
                return false;
    }
    return true;
}

/// One row of the grid: as many cells as fit, in pages, so that the picture stands still while the mark
/// walks.
bool put_grid_row(Row& row, uint8_t columns, const Setup& setup, uint8_t grid_row, const EngineState& state) {
    if (grid_row >= setup.grid_rows) return true;
    const uint8_t fit = static_cast<uint8_t>((columns - 1u) / 2u);
    const uint8_t first = static_cast<uint8_t>(state.grid_column / fit * fit);
    bool was_marked = false;
    for (uint8_t i = 0; i < fit && first + i < setup.grid_columns; ++i) {
        const uint8_t column = static_cast<uint8_t>(first + i);
        const bool is_marked = grid_row == state.grid_row && column == state.grid_column;
        Stroke stroke = {0, 0, 0};
        if (!grid_stroke(setup, grid_row, column, stroke)) return false;
        row.put(is_marked ? '[' : was_marked ? ']' : ' ');
        row.put(cell_char(stroke));
        was_marked = is_marked;
    }
    if (was_marked) row.put(']');
    return true;
}

bool put_mode(Row& row, const Setup& setup, uint8_t mode) {
    char label[k_label_chars + 1];
    label[0] = '\0';
    if (mode < setup.mode_count && !setup.label(mode, label)) return false;
    if (label[0] != '\0') {
        row.put(label);
    } else {
        row.put(Word::mode);
        row.put(' ');
        row.put(static_cast<uint16_t>(mode + 1u));
    }
    return true;
}

/// The name of the key under the mark where its cell cannot show it, as a right-hand text.
bool name_of_mark(const Setup& setup, const EngineState& state, char* out) {
    Stroke stroke = {0, 0, 0};
    out[0] = '\0';
    if (!grid_stroke(setup, state.grid_row, state.grid_column, stroke)) return false;
    const char c = cell_char(stroke);
    if (c != '*' && c != '_') return true;
    Row name(out, k_label_chars);
    put_key(name, stroke);
    uint8_t end = k_label_chars;
    while (end > 0 && out[end - 1] == ' ') --end;
    out[end] = '\0';
    return true;
}

constexpr uint8_t k_mode_columns = 6;  ///< of the mode's label that a text to its right leaves

bool top_row(Row& row, const Setup& setup, const EngineState& state, bool is_grid, const char* right) {
    char text[k_label_chars + 1];
    if (!put_mode(row, setup, state.mode)) return false;
    if (right == nullptr && is_grid) {
        if (!name_of_mark(setup, state, text)) return false;
        if (text[0] != '\0') right = text;
    }
    if (right == nullptr && state.variant > 0) {
        if (!setup.label(static_cast<uint8_t>(setup.mode_count - 1 + state.variant), text)) return false;
        right = text;
    }
    if (right != nullptr) row.put_right(right, k_mode_columns);
    return true;
}

bool small_row(Row& row, uint8_t number, uint8_t columns, const Setup& setup, const EngineState& state,
               bool is_grid, const char* notice) {
    const bool is_held = is_anything_held(state.held);
    if (number == 0) {
        if (!is_grid || !is_held) return top_row(row, setup, state, is_grid, notice);
        put_held(row, state.held);
        return true;
    }
    if (is_held && !is_grid) {
        put_held(row, state.held);
    } else if (state.typing != 0) {
        put_typing(row, state.typing);
    } else if (is_grid) {
        return put_grid_row(row, columns, setup, state.grid_row, state);
    } else {
        put_speed(row, state.scale_permille);
    }
    return true;
}

bool large_row(Row& row, uint8_t number, uint8_t columns, const Setup& setup, const EngineState& state,
               bool is_grid, const char* notice) {
    if (number == 0) return top_row(row, setup, state, is_grid, nullptr);
    if (number == 1) {
        if (is_anything_held(state.held)) {
            put_held(row, state.held);
        } else {
            put_speed(row, state.scale_permille);
        }
        return true;
    }
    uint8_t left = static_cast<uint8_t>(number - 2u);  // rows of the lower half above this one
    uint8_t taken = 0;
    if (notice != nullptr && left == taken++) {
        row.put(notice);
        return true;
    }
    if (state.typing != 0 && left == taken++) {
        put_typing(row, state.typing);
        return true;
    }
    if (!is_grid) return true;
    const uint8_t page = static_cast<uint8_t>(state.grid_row & ~1u);
    const uint8_t grid_row = taken > 0 ? state.grid_row : static_cast<uint8_t>(page + left);
    return put_grid_row(row, columns, setup, grid_row, state);
}

}  // namespace

FETTLE_SHARED bool display_row(const Engine& engine, uint8_t row, uint8_t rows, uint8_t columns, char* out,
                               const char* notice) {
    Row line(out, columns);
    if (!engine.is_loaded() || row >= rows) return true;
    const Setup& setup = engine.setup();
    const EngineState state = engine.state();
    bool is_grid = false;
    if (!find_grid(setup, state.mode, is_grid)) return false;
    return rows < 4 ? small_row(line, row, columns, setup, state, is_grid, notice)
                    : large_row(line, row, columns, setup, state, is_grid, notice);
}

}  // namespace engine
}  // namespace fettle
