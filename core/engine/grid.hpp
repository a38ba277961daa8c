#pragma once
// The typing grid: characters in rows and columns, a mark that directions move (past an edge it comes back on
// the other side), and what stands under the mark.

#include "core/engine/stroke.hpp"

namespace fettle {
namespace engine {

class Grid {
public:
    void reset() { row_ = column_ = 0; }
    uint8_t row() const { return row_; }
    uint8_t column() const { return column_; }

    /// False when there is no grid or the direction is a diagonal: nothing moved.
    bool move(const Setup& setup, Direction direction);

private:
    uint8_t row_, column_;
};

/// What stands in a cell; usage 0: empty. False while the storage is busy.
bool grid_stroke(const Setup& setup, uint8_t row, uint8_t column, Stroke& out);

}  // namespace engine
}  // namespace fettle
