#pragma once
// Columns of one lane that were drawn before: while a view scrolls or the roll grows, only what is new is
// asked. Exact: what was asked before and could have changed since is asked again.
//
// A view cuts time into columns of one width that begin at whole multiples of it, so that a column stays the
// same one wherever it is on the screen. Owned by one thread; belongs to one roll at a time.

#include <cstdint>
#include <span>
#include <vector>

#include "core/trace/roll.hpp"

namespace fettle::trace {

class ColumnCache {
public:
    /// Columns first, first + 1 ... first + out.size() - 1; column k is [k * width_us, (k + 1) * width_us).
    /// width_us: 1 or more. Another lane, width or roll, or one that was cleared, begins anew by itself.
    void columns(const Roll& roll, Lane lane, std::int64_t width_us, std::int64_t first,
                 std::span<Column> out);
    /// How many columns were asked of the roll so far.
    std::uint64_t asked() const { return asked_; }

private:
    std::int64_t unchanged_until_us(const Roll& roll) const;
    void ask(const Roll& roll, std::int64_t first, std::span<Column> to);

    std::uint64_t roll_id_ = 0;  ///< 0: none
    Lane lane_;
    std::int64_t width_us_ = 0;
    std::int64_t first_ = 0;  ///< of columns_
    std::vector<Column> columns_, next_;
    std::size_t size_ = 0;  ///< of the roll when it was asked last
    std::int64_t latest_us_ = 0, last_us_ = 0;
    std::uint64_t asked_ = 0;
};

}  // namespace fettle::trace
