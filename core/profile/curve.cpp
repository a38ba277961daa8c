#include "core/profile/curve.hpp"

#include <algorithm>
#include <cmath>

namespace fettle::profile {

namespace {

constexpr uint32_t k_top_q16 = 0xFFFFFF;
constexpr int k_least_exponent = 100;
constexpr int k_most_exponent = 5000;
constexpr int k_most_counts_per_s = 250000;
constexpr int k_most_factor = 1000;  // delta and max_speed of a MouseKeys shape

/// The first of the roundest numbers in [least, most] for which `is_match` holds, `first` before all.
template <typename IsMatch>
std::optional<int> roundest(int first, int least, int most, IsMatch is_match) {
    if (is_match(first)) return first;
    for (const int step : {1000, 500, 100, 50, 10, 1}) {
        const int start = least >= 0 ? (least + step - 1) / step * step : -(-least / step * step);
        for (int value = start; value <= most; value += step)
            if (is_match(value)) return value;
    }
    return std::nullopt;
}

/// The server's arithmetic, in its order: other orders end on other last bits, and the rounding up shows
/// them.
uint16_t mouse_keys_move(const MouseKeysShape& shape, int event) {
    const double power = 1.0 + shape.curve_permille / 1000.0;
    const double factor = shape.max_speed / std::pow(static_cast<double>(shape.time_to_max_events), power);
    const double move =
        std::ceil(shape.delta_counts * (factor * std::pow(static_cast<double>(event), power)));
    return static_cast<uint16_t>(std::min(move, static_cast<double>(shape.delta_counts) * shape.max_speed));
}

void push16(std::vector<uint8_t>& to, int value) {
    to.push_back(static_cast<uint8_t>(value & 0xFF));
    to.push_back(static_cast<uint8_t>((value >> 8) & 0xFF));
}

std::vector<uint8_t> with_length(std::vector<uint8_t> body) {
    body.insert(body.begin(), static_cast<uint8_t>(body.size()));
    return body;
}

std::vector<uint16_t> moves_of(const MouseKeys& mouse_keys) {
    if (const auto* shape = std::get_if<MouseKeysShape>(&mouse_keys.moves)) return compile_mouse_keys(*shape);
    std::vector<uint16_t> moves;
    for (const int counts : std::get<MouseKeysMoves>(mouse_keys.moves).counts)
        moves.push_back(static_cast<uint16_t>(std::clamp(counts, 0, 65535)));
    return moves;
}

}  // namespace

double counts_per_s(uint32_t q16) {
    return q16 * 1000.0 / 65536.0;
}

uint32_t q16_counts_per_ms(double counts_per_s) {
    const double q16 = std::nearbyint(counts_per_s * 65.536);
    return static_cast<uint32_t>(std::clamp(q16, 0.0, static_cast<double>(k_top_q16)));
}

SpeedTable compile_travel(const SpeedShape& shape) {
    SpeedTable points{};
    const double start = shape.start_counts_per_s, rise = shape.top_counts_per_s - start;
    const int last = engine::k_curve_points - 1;
    for (int k = 0; k <= last; ++k) {
        const double part =
            k == 0 ? 0.0 : std::pow(static_cast<double>(k) / last, shape.exponent_permille / 1000.0);
        points[static_cast<size_t>(k)] = q16_counts_per_ms(start + rise * part);
    }
    return points;
}

SpeedTable compile_travel(const Travel& travel) {
    if (const auto* shape = std::get_if<SpeedShape>(&travel.speed)) return compile_travel(*shape);
    return std::get<SpeedPoints>(travel.speed).q16_counts_per_ms;
}

std::optional<SpeedShape> fit_travel(const SpeedTable& points) {
    SpeedShape shape;
    shape.start_counts_per_s = static_cast<int>(std::lround(counts_per_s(points.front())));
    shape.top_counts_per_s = static_cast<int>(std::lround(counts_per_s(points.back())));
    const bool is_in_range = shape.start_counts_per_s <= k_most_counts_per_s && shape.top_counts_per_s >= 1 &&
                             shape.top_counts_per_s <= k_most_counts_per_s;
    if (!is_in_range) return std::nullopt;
    const auto exponent = roundest(1000, k_least_exponent, k_most_exponent, [&](int permille) {
        shape.exponent_permille = permille;
        return compile_travel(shape) == points;
    });
    if (!exponent) return std::nullopt;
    shape.exponent_permille = *exponent;
    return shape;
}

std::vector<uint16_t> compile_mouse_keys(const MouseKeysShape& shape) {
    const bool is_in_range = shape.time_to_max_events >= 1 && shape.time_to_max_events <= 60 &&
                             shape.delta_counts >= 1 && shape.max_speed >= 1 &&
                             shape.curve_permille >= -1000 && shape.curve_permille <= 1000 &&
                             static_cast<int64_t>(shape.delta_counts) * shape.max_speed <= 65535;
    if (!is_in_range) return {};
    std::vector<uint16_t> moves{static_cast<uint16_t>(shape.delta_counts)};
    for (int event = 1; event <= shape.time_to_max_events; ++event)
        moves.push_back(mouse_keys_move(shape, event));
    return moves;
}

std::optional<MouseKeysShape> fit_mouse_keys(std::span<const uint16_t> moves) {
    if (moves.size() < 2 || moves.front() == 0 || moves.back() % moves.front() != 0) return std::nullopt;
    MouseKeysShape shape;
    shape.delta_counts = moves.front();
    shape.max_speed = moves.back() / moves.front();
    shape.time_to_max_events = static_cast<int>(moves.size()) - 1;
    if (shape.delta_counts > k_most_factor || shape.max_speed > k_most_factor) return std::nullopt;
    const auto curve = roundest(500, -1000, 1000, [&](int permille) {
        shape.curve_permille = permille;
        return std::ranges::equal(compile_mouse_keys(shape), moves);
    });
    if (!curve) return std::nullopt;
    shape.curve_permille = *curve;
    return shape;
}

std::vector<uint8_t> motion_record(const Travel& travel) {
    std::vector<uint8_t> body{static_cast<uint8_t>(engine::MotionFamily::travel)};
    push16(body, travel.delay_ms);
    body.push_back(static_cast<uint8_t>(travel.first_step_counts));
    push16(body, travel.ramp_ms);
    push16(body, travel.cadence_window_ms);
    push16(body, travel.cadence_gain_permille);
    for (const uint32_t point : compile_travel(travel)) {
        push16(body, static_cast<int>(point & 0xFFFF));
        body.push_back(static_cast<uint8_t>(point >> 16));
    }
    return with_length(std::move(body));
}

std::vector<uint8_t> motion_record(const MouseKeys& mouse_keys) {
    const std::vector<uint16_t> moves = moves_of(mouse_keys);
    if (moves.size() < 2 || moves.size() > 61) return {};
    std::vector<uint8_t> body{static_cast<uint8_t>(engine::MotionFamily::mouse_keys)};
    push16(body, mouse_keys.delay_ms);
    push16(body, mouse_keys.interval_ms);
    body.push_back(static_cast<uint8_t>(moves.size() - 1));
    for (const uint16_t move : moves) push16(body, move);
    return with_length(std::move(body));
}

}  // namespace fettle::profile
