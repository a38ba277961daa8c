#include "core/sim/hands.hpp"

#include <algorithm>
#include <cmath>

#include "core/sim/ir_encode.hpp"

namespace fettle::sim {

using engine::IrFrame;
using engine::Protocol;

namespace {

constexpr std::uint8_t k_ir_line = 0;
constexpr std::uint64_t k_us_a_ms = 1000;

/// What the protocol sends while the button stays down.
IrFrame held_frame(const IrFrame& button) {
    IrFrame frame = button;
    frame.repeat = button.protocol == Protocol::nec || button.protocol == Protocol::necx ||
                   button.protocol == Protocol::jvc;
    return frame;
}

bool flips_toggle(Protocol protocol) {
    return protocol == Protocol::rc5 || protocol == Protocol::rc6;
}

}  // namespace

Hands::Hands(std::uint32_t seed) : random_(seed) {}

std::uint64_t Hands::press_remote(const IrFrame& button, std::uint64_t at_us, std::uint32_t hold_ms) {
    IrFrame frame = button;
    if (flips_toggle(frame.protocol)) {
        frame.toggle = toggle_;
        toggle_ ^= 1;
    }
    const double clock = 1.0 + air_.clock_permille / 1000.0;
    const auto period = static_cast<std::uint64_t>(std::llround(period_us(frame.protocol) * clock));
    const std::uint64_t until = at_us + hold_ms * k_us_a_ms;
    std::bernoulli_distribution is_lost(std::clamp(air_.lost_repeats_permille / 1000.0, 0.0, 1.0));
    std::uint64_t last_end = at_us;
    for (std::uint64_t start = at_us; start == at_us || start < until; start += period) {
        const bool is_first = start == at_us;
        if (!is_first && is_lost(random_)) {
            ++repeats_lost_;
            continue;
        }
        const auto widths = encode(is_first ? frame : held_frame(frame));
        play(k_ir_line, start, widths);
        for (last_end = start; const auto width : widths)
            last_end += static_cast<std::uint64_t>(std::llround(width * clock));
        maybe_noise(last_end + 6000, start + period - 6000);
        if (period == 0) break;
    }
    return last_end;
}

void Hands::play(std::uint8_t line, std::uint64_t at_us, std::span<const std::uint32_t> widths_us) {
    const bool is_ir = line == k_ir_line;
    const double clock = is_ir ? 1.0 + air_.clock_permille / 1000.0 : 1.0;
    std::normal_distribution<double> jitter(0.0, std::max(air_.edge_jitter_us, 1e-9));
    double t = static_cast<double>(at_us);
    double last = t;
    std::uint8_t level = 1;
    auto put = [&](double at) {
        const double shaken =
            is_ir && air_.edge_jitter_us > 0 ? at + std::clamp(jitter(random_), -90.0, 90.0) : at;
        last = std::max(last + (level == 1 && at == t ? 0 : 20.0), shaken);  // edges never cross
        insert({static_cast<std::uint64_t>(std::llround(last)), line, level});
        level ^= 1;
    };
    for (const auto width : widths_us) {
        put(t);
        t += width * clock;
    }
    if (!widths_us.empty()) put(t);
}

void Hands::maybe_noise(std::uint64_t from_us, std::uint64_t to_us) {
    if (air_.noise_per_s <= 0 || to_us <= from_us + 3000) return;
    const double expected = air_.noise_per_s * static_cast<double>(to_us - from_us) / 1e6;
    std::poisson_distribution<int> count(expected);
    std::uniform_int_distribution<std::uint64_t> where(from_us, to_us - 3000);
    std::uniform_int_distribution<std::uint32_t> width(30, 300);
    for (int n = count(random_); n > 0; --n) {
        const std::uint32_t burst[] = {width(random_), width(random_), width(random_)};
        play(k_ir_line, where(random_), burst);
    }
}

std::uint64_t Hands::press_switch(std::uint8_t line, std::uint64_t at_us, std::uint32_t hold_ms) {
    const std::uint64_t up = at_us + hold_ms * k_us_a_ms;
    close_switch(line, at_us);
    open_switch(line, up);
    return up + contact_.bounce_us;
}

void Hands::close_switch(std::uint8_t line, std::uint64_t at_us) {
    bounce(line, at_us, 0);
}
void Hands::open_switch(std::uint8_t line, std::uint64_t at_us) {
    bounce(line, at_us, 1);
}

void Hands::bounce(std::uint8_t line, std::uint64_t at_us, std::uint8_t level) {
    edge(line, at_us, level != 0);
    if (contact_.bounce_us < 40 || contact_.bounces == 0) return;
    std::uniform_int_distribution<std::uint64_t> when(at_us + 20, at_us + contact_.bounce_us);
    std::vector<std::uint64_t> times(2u * contact_.bounces);
    std::generate(times.begin(), times.end(), [&] { return when(random_); });
    std::sort(times.begin(), times.end());
    for (const auto at : times) {
        level ^= 1;
        edge(line, at, level != 0);
    }
}

void Hands::edge(std::uint8_t line, std::uint64_t at_us, bool level) {
    insert({at_us, line, static_cast<std::uint8_t>(level ? 1 : 0)});
}

void Hands::set_axis(std::uint8_t axis, std::uint64_t at_us, std::int16_t permille) {
    const AxisMove move{at_us, axis, permille};
    const auto place =
        std::upper_bound(moves_.begin(), moves_.end(), move,
                         [](const AxisMove& a, const AxisMove& b) { return a.at_us < b.at_us; });
    moves_.insert(place, move);
}

void Hands::insert(const PinEdge& edge) {
    const auto place = std::upper_bound(edges_.begin(), edges_.end(), edge,
                                        [](const PinEdge& a, const PinEdge& b) { return a.at_us < b.at_us; });
    edges_.insert(place, edge);
}

std::vector<engine::Edge> Hands::take(std::uint64_t now_us) {
    std::vector<engine::Edge> due;
    while (!edges_.empty() && edges_.front().at_us <= now_us) {
        const PinEdge& edge = edges_.front();
        due.push_back({static_cast<std::uint32_t>(edge.at_us), edge.line, edge.level});
        edges_.pop_front();
    }
    return due;
}

const std::array<std::int16_t, engine::k_axes>& Hands::axes(std::uint64_t now_us) {
    while (!moves_.empty() && moves_.front().at_us <= now_us) {
        axes_.at(moves_.front().axis) = moves_.front().permille;
        moves_.pop_front();
    }
    return axes_;
}

}  // namespace fettle::sim
