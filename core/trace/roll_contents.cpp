// What an export contains, as data: core/wire/telemetry.hpp says how usages are covered.
#include <algorithm>

#include "core/engine/bytes.hpp"
#include "core/trace/report_shape.hpp"
#include "core/trace/roll_export.hpp"

namespace fettle::trace {

using engine::Event;
using engine::EventKind;

namespace {

constexpr std::uint8_t k_covered = 0xFF;
constexpr std::uint16_t k_covered_usage = 0xFFFF;
constexpr int k_first_usage = 4, k_past_usages = 10;  // past endpoint, size, modifiers and the empty byte

class Counting {
public:
    explicit Counting(Contents& to) : to_(to) {}
    void take(const Event& event) {
        const std::uint8_t* d = event.data;
        const ReportShape shape = report_shape(event);
        if (shape == ReportShape::keyboard)
            for (int i = k_first_usage; i < k_past_usages; ++i) note(d[i] != 0, d[i] == k_covered);
        const std::uint16_t consumer = engine::get16(d + 3);
        if (shape == ReportShape::consumer) note(consumer != 0, consumer == k_covered_usage);
        if (event.kind == EventKind::text) note(true, d[0] == k_covered);
        if (event.kind == EventKind::grid) note(true, d[0] == k_covered && d[1] == k_covered);
    }

private:
    void note(bool is_any, bool is_covered) {
        if (is_any) ++(is_covered ? to_.covered_usages : to_.key_usages);
    }
    Contents& to_;
};

}  // namespace

Contents contents(const Roll& roll, const ExportRange& range) {
    Contents made;
    Counting counting(made);
    Moment moment;
    for (auto walk = roll.walk_between(range.from_us, range.to_us); walk.next(moment);) {
        const std::int64_t us = moment.at_us;
        made.first_us = made.events == 0 ? us : std::min(made.first_us, us);
        made.last_us = made.events == 0 ? us : std::max(made.last_us, us);
        ++made.events;
        ++made.by_kind[static_cast<std::size_t>(moment.event.kind) % made.by_kind.size()];
        counting.take(moment.event);
    }
    return made;
}

}  // namespace fettle::trace
