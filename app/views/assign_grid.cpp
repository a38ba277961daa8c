// The grid of letters: rows of cells, each a character, a key, or empty.
#include <algorithm>

#include "app/views/assign_marks.hpp"
#include "app/views/assign_words.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app {

using namespace profile;

namespace {

std::string words_of(const Assign& a, const Cell& cell) {
    if (const auto* text = std::get_if<std::string>(&cell))
        return *text == " " ? a.t(T::control_space) : *text;
    if (const auto* stroke = std::get_if<Stroke>(&cell)) return stroke_in(a.language(), *stroke, a.layout());
    return "";
}

int columns_of(const Grid& grid) {
    return grid.rows.empty() ? 0 : static_cast<int>(grid.rows[0].size());
}

void rows_part(Assign& a) {
    const Grid& grid = a.profile().grid;
    const float gaps = a.ui.pad() * static_cast<float>(columns_of(grid) - 1);
    const float wide =
        std::max(a.ui.target(), (a.ui.width() - gaps) / static_cast<float>(columns_of(grid)) - 1);
    for (std::size_t r = 0; r < grid.rows.size(); ++r) {
        a.ui.group("assign.grid_row/" + std::to_string(r), a.ui.t(T::assign_grid_row, r + 1));
        a.ui.row();
        for (std::size_t c = 0; c < grid.rows[r].size(); ++c) {
            const auto which = [&](const Finding& f) {
                const FindingPlace place = place_of(a.profile(), f);
                return place.spot == Spot::grid_cell && place.row == static_cast<int>(r) &&
                       place.column == static_cast<int>(c);
            };
            ui::CellState state;
            state.is_empty = std::holds_alternative<std::monostate>(grid.rows[r][c]);
            state.mark = worst_of(a, which);
            const std::string id = "assign.grid_cell/" + std::to_string(r) + "/" + std::to_string(c);
            if (a.ui.cell(id, a.ui.t(T::assign_grid_cell, r + 1, c + 1), words_of(a, grid.rows[r][c]), state,
                          wide)) {
                AssignPlace to;
                to.page = AssignPage::grid_cell;
                to.row = static_cast<int>(r);
                to.column = static_cast<int>(c);
                a.go(to);
            }
        }
        a.ui.end_row();
        a.ui.end_group();
    }
}

void size_part(Assign& a) {
    Grid grid = a.profile().grid;
    const auto columns = static_cast<std::size_t>(columns_of(grid));
    const bool is_last_row = grid.rows.size() == 1;
    a.ui.group("assign.grid_size", a.t(T::assign_grid_size));
    a.ui.row();
    bool is_changed = false;
    if (a.ui.button("assign.grid.add_row", a.t(T::assign_grid_add_row), ui::Look::plain,
                    grid.rows.size() < static_cast<std::size_t>(field::k_grid_rows.most))) {
        grid.rows.emplace_back(std::max<std::size_t>(columns, 1));
        is_changed = true;
    }
    if (a.ui.button("assign.grid.remove_row",
                    a.t(is_last_row ? T::assign_grid_remove : T::assign_grid_remove_row))) {
        grid.rows.pop_back();
        is_changed = true;
    }
    if (a.ui.button("assign.grid.add_column", a.t(T::assign_grid_add_column), ui::Look::plain,
                    columns < static_cast<std::size_t>(field::k_cells.most))) {
        for (auto& row : grid.rows) row.emplace_back();
        is_changed = true;
    }
    if (a.ui.button("assign.grid.remove_column", a.t(T::assign_grid_remove_column), ui::Look::plain,
                    columns > 1)) {
        for (auto& row : grid.rows) row.pop_back();
        is_changed = true;
    }
    a.ui.end_row();
    a.ui.end_group();
    if (is_changed) a.edit(edit::SetGrid{grid});
}

}  // namespace

Grid plain_grid() {
    constexpr int k_columns = 7;
    constexpr std::uint8_t k_backspace = 0x2A, k_enter = 0x28;  // Source: HID Usage Tables, page 07
    std::vector<Cell> cells;
    for (char letter = 'a'; letter <= 'z'; ++letter) cells.emplace_back(std::string(1, letter));
    cells.emplace_back(std::string(" "));
    cells.emplace_back(Stroke{0, k_backspace});
    for (const char* sign : {".", ",", "-"}) cells.emplace_back(std::string(sign));
    cells.emplace_back(Stroke{0, k_enter});
    Grid grid;
    for (std::size_t i = 0; i < cells.size(); ++i) {
        if (i % k_columns == 0) grid.rows.emplace_back();
        grid.rows.back().push_back(cells[i]);
    }
    grid.rows.back().resize(k_columns);
    return grid;
}

void grid_page(Assign& a) {
    a.head(a.t(T::assign_grid));
    a.complaint();
    a.ui.text(a.t(T::assign_grid_hint));
    if (a.profile().grid.rows.empty()) {
        if (a.ui.button("assign.grid.make", a.t(T::assign_grid_make), ui::Look::strong))
            a.edit(edit::SetGrid{plain_grid()});
        return;
    }
    rows_part(a);
    size_part(a);
    findings_part(a, [&](const Finding& f) { return place_of(a.profile(), f).spot == Spot::grid_cell; });
}

void grid_cell_page(Assign& a) {
    const auto r = static_cast<std::size_t>(a.at().row);
    const auto c = static_cast<std::size_t>(a.at().column);
    const Cell& cell = a.profile().grid.rows[r][c];
    a.head(a.ui.t(T::assign_grid_cell, r + 1, c + 1));
    a.complaint();
    a.ui.fact("assign.grid_cell.now", a.t(T::assign_grid_types), words_of(a, cell));
    edit::SetGrid change{a.profile().grid};
    const auto* text = std::get_if<std::string>(&cell);
    if (const auto next = a.ui.text_field("assign.grid_cell.text", a.t(T::assign_grid_character),
                                          text == nullptr ? "" : *text, 1)) {
        change.grid.rows[r][c] = next->empty() ? Cell{} : Cell{*next};
        a.edit(change);
    }
    a.ui.row();
    if (a.ui.button("assign.grid_cell.key", a.t(T::assign_grid_key))) {
        a.state.key = {};
        a.state.key.what = KeyFor::grid_cell;
        if (const auto* stroke = std::get_if<Stroke>(&cell)) a.state.key.stroke = *stroke;
        AssignPlace to = a.at();
        to.page = AssignPage::key;
        to.focus.clear();
        a.go(to);
    }
    if (a.ui.button("assign.grid_cell.empty", a.t(T::assign_grid_empty), ui::Look::plain,
                    !std::holds_alternative<std::monostate>(cell))) {
        change.grid.rows[r][c] = {};
        a.edit(change);
    }
    a.ui.end_row();
    findings_part(a, [&](const Finding& f) {
        const FindingPlace place = place_of(a.profile(), f);
        return place.spot == Spot::grid_cell && place.row == a.at().row && place.column == a.at().column;
    });
}

}  // namespace fettle::app
