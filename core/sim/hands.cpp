#include "core/sim/hands.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "core/sim/ir_encode.hpp"

namespace fettle::sim {

using engine::IrFrame;
using engine::Protocol;

namespace {

constexpr std::uint8_t k_ir_line = 0;
constexpr std::uint64_t k_us_a_ms = 1000;

constexpr std::uint64_t k_between_us = 20000;  // from one button's train to the next one's
constexpr std::uint64_t k_quiet_us = 6000;     // around a frame there is no noise: it would spoil it
constexpr std::uint64_t k_noise_slot_us = 3000;
constexpr std::uint64_t k_first_bounce_us = 20;
constexpr double k_largest_jitter_us = 90;
constexpr double k_narrowest_us = 20;

std::uint64_t length_us(const std::vector<std::uint32_t>& widths, double clock) {
    return static_cast<std::uint64_t>(
        std::llround(std::accumulate(widths.begin(), widths.end(), 0.0) * clock));
}

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

/// What a button sends, its toggle flipped; nothing where nobody can send it.
std::optional<Hands::Press> Hands::take_up(const IrFrame& button) {
    IrFrame frame = button;
    if (flips_toggle(frame.protocol)) {
        frame.toggle = toggle_;
        toggle_ ^= 1;
    }
    Press press;
    press.first = encode(frame);
    if (press.first.empty()) return std::nullopt;
    press.held = encode(held_frame(frame));
    press.clock = 1.0 + air_.clock_permille / 1000.0;
    press.period_us = static_cast<std::uint64_t>(std::llround(period_us(frame.protocol) * press.clock));
    return press;
}

/// The next frame of a press, or its loss, and the noise after it.
void Hands::send_frame(Press& press, bool is_last) {
    const std::uint64_t start_us = press.start_us + press.sent * press.period_us;
    const bool is_first = press.sent++ == 0;
    std::bernoulli_distribution is_lost(std::clamp(air_.lost_repeats_permille / 1000.0, 0.0, 1.0));
    if (!is_first && is_lost(random_)) {
        ++repeats_lost_;
        return;
    }
    const auto& widths = is_first ? press.first : press.held;
    play(k_ir_line, start_us, widths);
    press.last_end_us = start_us + length_us(widths, press.clock);
    if (!is_last) maybe_noise(press.last_end_us + k_quiet_us, start_us + press.period_us - k_quiet_us);
}

std::uint64_t Hands::press_remote(const IrFrame& button, std::uint64_t at_us, std::uint32_t hold_ms) {
    let_go(at_us);
    auto press = take_up(button);
    if (!press) return at_us;
    const std::uint64_t hold_us = std::uint64_t{hold_ms} * k_us_a_ms;
    const std::uint64_t repeats = hold_us == 0 ? 0 : (hold_us - 1) / press->period_us;
    const std::uint64_t whole_us =
        repeats * press->period_us + length_us(repeats == 0 ? press->first : press->held, press->clock);
    press->start_us = press->last_end_us = free_air(std::max(at_us, taken_us_), whole_us);
    trains_.push_back({press->start_us, press->start_us + whole_us});
    for (std::uint64_t i = 0; i <= repeats; ++i) send_frame(*press, i == repeats);
    return press->last_end_us;
}

std::uint64_t Hands::hold_remote(const IrFrame& button, std::uint64_t at_us) {
    let_go(at_us);
    auto press = take_up(button);
    if (!press) return at_us;
    // Nobody knows how long it will be: it begins after everything that is planned already.
    constexpr std::uint64_t k_for_long_us = std::uint64_t{1} << 62;
    press->start_us = press->last_end_us = free_air(std::max(at_us, taken_us_), k_for_long_us);
    hold_ = std::move(press);
    return hold_->start_us;
}

std::uint64_t Hands::let_go(std::uint64_t at_us) {
    if (!hold_) return at_us;
    Press press = std::move(*hold_);
    hold_.reset();
    at_us = std::max(at_us, taken_us_);
    const auto begins_before = [&] { return press.start_us + press.sent * press.period_us < at_us; };
    while (press.sent == 0 || begins_before()) send_frame(press, false);
    // Noise may follow the last frame up to where the next one would have begun: nobody sends into it.
    const bool is_noisy = air_.noise_per_s > 0;
    trains_.push_back(
        {press.start_us, is_noisy ? press.start_us + press.sent * press.period_us : press.last_end_us});
    return press.last_end_us;
}

/// The frames of a hold that begin up to now.
void Hands::send_due(std::uint64_t now_us) {
    while (hold_ && hold_->start_us + hold_->sent * hold_->period_us <= now_us) send_frame(*hold_, false);
}

/// The first time from `at_us` on at which a train of that length meets no other.
std::uint64_t Hands::free_air(std::uint64_t at_us, std::uint64_t long_us) const {
    auto trains = trains_;
    std::sort(trains.begin(), trains.end(),
              [](const Span& a, const Span& b) { return a.from_us < b.from_us; });
    for (const Span& train : trains)
        if (at_us < train.to_us + k_between_us && train.from_us < at_us + long_us + k_between_us)
            at_us = train.to_us + k_between_us;
    return at_us;
}

void Hands::play(std::uint8_t line, std::uint64_t at_us, std::span<const std::uint32_t> widths_us) {
    if (widths_us.empty()) return;
    const bool is_ir = line == k_ir_line;
    const double clock = is_ir ? 1.0 + air_.clock_permille / 1000.0 : 1.0;
    std::normal_distribution<double> jitter(0.0, std::max(air_.edge_jitter_us, 1e-9));
    double nominal = static_cast<double>(at_us);
    double earliest = nominal;
    std::uint8_t level = 1;
    for (std::size_t i = 0; i <= widths_us.size(); ++i) {
        double at = nominal;
        if (is_ir && air_.edge_jitter_us > 0)
            at += std::clamp(jitter(random_), -k_largest_jitter_us, k_largest_jitter_us);
        at = std::max(at, earliest);  // edges never cross
        insert({static_cast<std::uint64_t>(std::llround(at)), line, level});
        earliest = at + k_narrowest_us;
        level ^= 1;
        if (i < widths_us.size()) nominal += widths_us[i] * clock;
    }
}

void Hands::maybe_noise(std::uint64_t from_us, std::uint64_t to_us) {
    if (air_.noise_per_s <= 0 || to_us <= from_us + k_noise_slot_us) return;
    const double expected = air_.noise_per_s * static_cast<double>(to_us - from_us) / 1e6;
    std::poisson_distribution<int> count(expected);
    std::uniform_int_distribution<std::uint32_t> width(30, 300);
    const std::uint64_t slots = (to_us - from_us) / k_noise_slot_us;
    std::vector<bool> is_used(slots);  // one burst a slot, so that none runs into another
    std::uniform_int_distribution<std::uint64_t> where(0, slots - 1);
    for (int n = count(random_); n > 0; --n) {
        const std::uint64_t slot = where(random_);
        const std::uint32_t burst[] = {width(random_), width(random_), width(random_)};
        if (!is_used[slot]) play(k_ir_line, from_us + slot * k_noise_slot_us, burst);
        is_used[slot] = true;
    }
}

std::uint64_t Hands::press_switch(std::uint8_t line, std::uint64_t at_us, std::uint32_t hold_ms) {
    const std::uint64_t up = at_us + std::uint64_t{hold_ms} * k_us_a_ms;
    close_switch(line, at_us);
    open_switch(line, up);
    return up + contact_.bounce_us;
}

void Hands::close_switch(std::uint8_t line, std::uint64_t at_us) {
    change(line, at_us, 0);
}
void Hands::open_switch(std::uint8_t line, std::uint64_t at_us) {
    change(line, at_us, 1);
}

/// A change and its bounces. They stop at the line's next change, so that the last edge is always the level
/// that stays.
void Hands::change(std::uint8_t line, std::uint64_t at_us, std::uint8_t level) {
    std::erase_if(edges_, [&](const PinEdge& e) {
        return e.line == line && e.bounce_of_us != 0 && e.bounce_of_us <= at_us && e.at_us >= at_us;
    });
    std::uint64_t until_us = at_us + contact_.bounce_us;
    for (const PinEdge& e : edges_)
        if (e.line == line && e.at_us > at_us) until_us = std::min(until_us, e.at_us - 1);
    insert({at_us, line, level});
    if (contact_.bounces == 0 || until_us < at_us + k_first_bounce_us) return;
    std::uniform_int_distribution<std::uint64_t> when(at_us + k_first_bounce_us, until_us);
    std::vector<std::uint64_t> times(2u * contact_.bounces);
    std::generate(times.begin(), times.end(), [&] { return when(random_); });
    std::sort(times.begin(), times.end());
    for (const auto at : times) {
        level ^= 1;
        insert({at, line, level, false, at_us});
    }
}

void Hands::edge(std::uint8_t line, std::uint64_t at_us, bool level) {
    insert({at_us, line, static_cast<std::uint8_t>(level ? 1 : 0)});
}

void Hands::inject(std::uint8_t line, std::uint64_t at_us, bool level) {
    insert({at_us, line, static_cast<std::uint8_t>(level ? 1 : 0), true});
}

void Hands::set_axis(std::uint8_t axis, std::uint64_t at_us, std::int16_t permille) {
    const AxisMove move{at_us, axis, std::clamp<std::int16_t>(permille, -1000, 1000)};
    const auto place =
        std::upper_bound(moves_.begin(), moves_.end(), move,
                         [](const AxisMove& a, const AxisMove& b) { return a.at_us < b.at_us; });
    moves_.insert(place, move);
}

void Hands::insert(const PinEdge& edge) {
    PinEdge kept = edge;
    kept.at_us = std::max(kept.at_us, taken_us_);
    const auto place = std::upper_bound(edges_.begin(), edges_.end(), kept,
                                        [](const PinEdge& a, const PinEdge& b) { return a.at_us < b.at_us; });
    edges_.insert(place, kept);
}

std::vector<engine::Edge> Hands::take(std::uint64_t now_us) {
    std::vector<engine::Edge> due;
    send_due(now_us);
    taken_us_ = now_us;
    while (!edges_.empty() && edges_.front().at_us <= now_us) {
        const PinEdge& edge = edges_.front();
        due.push_back({static_cast<std::uint32_t>(edge.at_us), edge.line, edge.level});
        if (edge.line < levels_.size()) {
            levels_[edge.line] = edge.level;
            is_known_[edge.line] = true;
        }
        if (noter_ && !edge.is_injected) noter_({edge.at_us, false, edge.line, edge.level});
        edges_.pop_front();
    }
    while (!trains_.empty() && trains_.front().to_us + k_between_us < now_us) trains_.erase(trains_.begin());
    return due;
}

std::vector<engine::Edge> Hands::levels(std::uint64_t now_us) const {
    std::vector<engine::Edge> edges;
    for (std::size_t line = 1; line < levels_.size(); ++line)
        if (is_known_[line])
            edges.push_back(
                {static_cast<std::uint32_t>(now_us), static_cast<std::uint8_t>(line), levels_[line]});
    return edges;
}

const std::array<std::int16_t, engine::k_axes>& Hands::axes(std::uint64_t now_us) {
    while (!moves_.empty() && moves_.front().at_us <= now_us) {
        const AxisMove& move = moves_.front();
        axes_.at(move.axis) = move.permille;
        if (noter_) noter_({move.at_us, true, move.axis, move.permille});
        moves_.pop_front();
    }
    return axes_;
}

}  // namespace fettle::sim
