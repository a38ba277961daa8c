#include "tests/views/presses_rolls.hpp"

namespace fettle::app::test {

void append(trace::Roll& roll, std::int64_t at_ms, engine::EventKind kind, const std::vector<int>& data) {
    engine::Event event{};
    event.kind = kind;
    for (std::size_t i = 0; i < data.size(); ++i) event.data[i] = static_cast<std::uint8_t>(data[i]);
    roll.append(at_ms * 1000, event);
}

trace::Roll roll_of_presses(std::uint8_t input, const std::vector<HandPress>& presses, std::int64_t end_ms) {
    trace::Roll roll;
    append(roll, 0, engine::EventKind::snapshot, {0, 0, 0xE8, 3, 0, 0, 0, 0, 0});
    for (const HandPress& one : presses) {
        append(roll, one.at_ms, engine::EventKind::level, {input, 1});
        append(roll, one.at_ms + one.long_ms, engine::EventKind::level, {input, 0});
    }
    roll.extend_to(end_ms * 1000);
    return roll;
}

}  // namespace fettle::app::test
