#include "core/engine/grid.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint16_t k_grid_head_bytes = 2;  // rows, columns

uint8_t up_one(uint8_t value, uint8_t count) {
    return static_cast<uint8_t>(value + 1u < count ? value + 1u : 0u);
}
uint8_t down_one(uint8_t value, uint8_t count) {
    return static_cast<uint8_t>(value > 0 ? value - 1u : count - 1u);
}
}  // namespace

bool Grid::move(const Setup& setup, Direction direction) {
    if (setup.grid_rows == 0 || setup.grid_columns == 0) return false;
    switch (direction) {
        case Direction::up: row_ = down_one(row_, setup.grid_rows); return true;
        case Direction::down: row_ = up_one(row_, setup.grid_rows); return true;
        case Direction::left: column_ = down_one(column_, setup.grid_columns); return true;
        case Direction::right: column_ = up_one(column_, setup.grid_columns); return true;
        case Direction::up_right:
        case Direction::down_right:
        case Direction::down_left:
        case Direction::up_left: return false;
    }
    return false;
}

bool grid_stroke(const Setup& setup, uint8_t row, uint8_t column, Stroke& out) {
    const uint16_t wanted = static_cast<uint16_t>(static_cast<uint16_t>(row) * setup.grid_columns + column);
    const uint16_t past = static_cast<uint16_t>(setup.grid.offset + setup.grid.size);
    uint16_t at = static_cast<uint16_t>(setup.grid.offset + k_grid_head_bytes);
    for (uint16_t i = 0;; ++i) {
        if (at >= past) {
            out = Stroke{0, 0, 0};  // the image's check lets no such grid through
            return true;
        }
        if (!read_stroke(setup.storage, at, out)) return false;
        if (i == wanted) return true;
        at = static_cast<uint16_t>(at + out.size);
    }
}

}  // namespace engine
}  // namespace fettle
