// VCD: value change dump (IEEE 1364-2005, clause 18). Only changes are written; times never go back.
#include <algorithm>
#include <array>

#include "core/engine/bytes.hpp"
#include "core/trace/report_shape.hpp"
#include "core/trace/roll_export.hpp"

namespace fettle::trace {

using engine::Event;
using engine::EventKind;
using engine::PressOutcome;

namespace {

constexpr std::size_t k_inputs = engine::k_max_inputs;
constexpr std::size_t k_piece_bytes = 64 * 1024;

enum class Bit : char { off = '0', on = '1', unknown = 'x' };

/// What the wires are; the rules of roll.hpp for gaps and snapshots.
struct Wires {
    std::array<Bit, k_inputs> levels{}, presses{};
    Bit lost = Bit::off;
    int mode = -1;  ///< -1: unknown
    std::int64_t x = 0, y = 0;
    bool operator==(const Wires&) const = default;
};

Bit bit(bool is_on) {
    return is_on ? Bit::on : Bit::off;
}

/// Follows the events from the roll's first one on.
class Follower {
public:
    Follower() {
        wires_.levels.fill(Bit::unknown);
        wires_.presses.fill(Bit::unknown);
    }
    const Wires& wires() const { return wires_; }

    void take(const Event& event) {
        const std::uint8_t* d = event.data;
        if (is_gap(event) || event.kind == EventKind::lost) return close();
        if (event.kind == EventKind::mode) wires_.mode = d[0];
        if (event.kind == EventKind::level && d[0] < k_inputs) wires_.levels[d[0]] = bit(d[1] != 0);
        if (event.kind == EventKind::press && d[0] < k_inputs)
            take_press(d[0], static_cast<PressOutcome>(d[1]));
        if (event.kind == EventKind::released || event.kind == EventKind::variant)
            wires_.presses.fill(Bit::off);
        if (event.kind == EventKind::report) {
            const Movement moved = movement(event);
            wires_.x += moved.x;
            wires_.y += moved.y;
        }
        if (event.kind == EventKind::snapshot) take_snapshot(d);
    }

private:
    void close() {
        for (std::size_t i = 0; i < k_inputs; ++i)
            if (wires_.presses[i] != Bit::unknown) before_[i] = wires_.presses[i];
        is_blind_ = true;
        wires_.levels.fill(Bit::unknown);
        wires_.presses.fill(Bit::unknown);
        wires_.mode = -1;
        wires_.lost = Bit::on;
    }
    void take_press(std::size_t input, PressOutcome outcome) {
        if (outcome == PressOutcome::accepted) wires_.presses[input] = Bit::on;
        if (outcome == PressOutcome::ended || outcome == PressOutcome::hold_limit)
            wires_.presses[input] = Bit::off;
    }
    void take_snapshot(const std::uint8_t* d) {
        const std::uint32_t down = engine::get16(d + 6) | static_cast<std::uint32_t>(d[8]) << 16;
        wires_.mode = d[0];
        for (std::size_t i = 0; i < k_inputs; ++i) {
            const bool is_down = (down >> i & 1) != 0;
            wires_.levels[i] = bit(is_down);
            if (!is_blind_) continue;
            if (!is_down)
                wires_.presses[i] = Bit::off;
            else if (wires_.presses[i] == Bit::unknown)
                wires_.presses[i] = before_[i];
        }
        is_blind_ = false;
        wires_.lost = Bit::off;
    }

    Wires wires_;
    std::array<Bit, k_inputs> before_ = off();  ///< presses before the gap
    bool is_blind_ = true;

    static std::array<Bit, k_inputs> off() {
        std::array<Bit, k_inputs> all{};
        all.fill(Bit::off);
        return all;
    }
};

/// A name that every reader takes: letters, digits, `_`.
std::string plain(const std::string& name) {
    std::string made;
    for (const char c : name) {
        const bool is_plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
        made += is_plain ? c : '_';
    }
    return made;
}

std::string reference(const char* what, std::size_t input, const ExportNames& names) {
    std::string made = what + std::to_string(input);
    if (input < names.inputs.size() && !names.inputs[input].empty()) made += '_' + plain(names.inputs[input]);
    return made;
}

/// Identifier codes: one printable character each.
constexpr char k_first_level = '!';
constexpr char k_first_press = k_first_level + k_inputs;
constexpr char k_mode_code = k_first_press + k_inputs;
constexpr char k_lost_code = k_mode_code + 1;
constexpr char k_x_code = k_lost_code + 1;
constexpr char k_y_code = k_x_code + 1;
static_assert(k_y_code <= '~', "printable");

std::string binary(std::uint64_t value, int bits) {
    std::string made = "b";
    for (int i = bits; i-- > 0;) made += (value >> i & 1) != 0 ? '1' : '0';
    return made;
}

class Dump {
public:
    Dump(const Roll& roll, const ExportNames& names, const ExportSink& sink) : names_(names), sink_(sink) {
        for (std::uint8_t i = 0; i < k_inputs; ++i)
            has_input_[i] =
                roll.has_anything({LaneKind::level, i}) || roll.has_anything({LaneKind::press, i});
    }

    bool head() {
        if (!names_.title.empty()) out_ += "$comment " + comment() + " $end\n";
        out_ += "$timescale 1 us $end\n$scope module fettle $end\n";
        for (std::size_t i = 0; i < k_inputs; ++i) {
            if (!has_input_[i]) continue;
            var("wire 1", static_cast<char>(k_first_level + static_cast<char>(i)),
                reference("level_", i, names_));
            var("wire 1", static_cast<char>(k_first_press + static_cast<char>(i)),
                reference("press_", i, names_));
        }
        var("reg 8", k_mode_code, "mode");
        var("wire 1", k_lost_code, "lost");
        var("integer 64", k_x_code, "pointer_x");
        var("integer 64", k_y_code, "pointer_y");
        out_ += "$upscope $end\n$enddefinitions $end\n";
        return flush(0);
    }

    /// us: since the first event exported.
    bool put(std::int64_t us, const Wires& now) {
        if (has_begun_ && now == told_) return true;
        us = std::max(us, last_us_);
        if (!has_begun_ || us != last_us_) out_ += '#' + std::to_string(us) + '\n';
        if (!has_begun_) out_ += "$dumpvars\n";
        for (std::size_t i = 0; i < k_inputs; ++i) {
            if (!has_input_[i]) continue;
            scalar(now.levels[i], told_.levels[i], static_cast<char>(k_first_level + static_cast<char>(i)));
            scalar(now.presses[i], told_.presses[i], static_cast<char>(k_first_press + static_cast<char>(i)));
        }
        if (!has_begun_ || now.mode != told_.mode)
            vector(now.mode < 0 ? "bx" : binary(static_cast<std::uint64_t>(now.mode), 8), k_mode_code);
        scalar(now.lost, told_.lost, k_lost_code);
        if (!has_begun_ || now.x != told_.x) vector(binary(static_cast<std::uint64_t>(now.x), 64), k_x_code);
        if (!has_begun_ || now.y != told_.y) vector(binary(static_cast<std::uint64_t>(now.y), 64), k_y_code);
        if (!has_begun_) out_ += "$end\n";
        has_begun_ = true;
        told_ = now;
        last_us_ = us;
        return flush(k_piece_bytes);
    }

    /// The last time says how long it all was.
    bool end(std::int64_t us) {
        if (us > last_us_) out_ += '#' + std::to_string(us) + '\n';
        return flush(0);
    }
    bool has_begun() const { return has_begun_; }

private:
    std::string comment() const {
        std::string made;
        for (const char c : names_.title) made += c == '$' || static_cast<unsigned char>(c) < ' ' ? '_' : c;
        return made;
    }
    void var(const char* type_and_bits, char code, const std::string& name) {
        out_ += std::string("$var ") + type_and_bits + ' ' + code + ' ' + name + " $end\n";
    }
    void scalar(Bit now, Bit told, char code) {
        if (has_begun_ && now == told) return;
        out_ += static_cast<char>(now);
        out_ += code;
        out_ += '\n';
    }
    void vector(const std::string& value, char code) { out_ += value + ' ' + code + '\n'; }
    bool flush(std::size_t at_bytes) {
        if (out_.size() < at_bytes || out_.empty()) return true;
        const bool goes_on = sink_(out_);
        out_.clear();
        return goes_on;
    }

    const ExportNames& names_;
    const ExportSink& sink_;
    std::array<bool, k_inputs> has_input_{};
    std::string out_;
    Wires told_;
    std::int64_t last_us_ = 0;
    bool has_begun_ = false;
};

}  // namespace

bool export_vcd(const Roll& roll, const ExportNames& names, const ExportRange& range,
                const ExportSink& sink) {
    Dump dump(roll, names, sink);
    if (!dump.head()) return false;
    Follower follower;
    Moment moment;
    std::int64_t first_us = 0, last_us = 0;
    for (auto walk = roll.walk_between(-k_farthest_us, range.to_us); walk.next(moment);) {
        follower.take(moment.event);
        if (moment.at_us < range.from_us) continue;
        if (!dump.has_begun()) first_us = moment.at_us;
        last_us = std::max(last_us, moment.at_us - first_us);
        if (!dump.put(moment.at_us - first_us, follower.wires())) return false;
    }
    if (!dump.has_begun() && !dump.put(0, follower.wires())) return false;
    return dump.end(last_us);
}

}  // namespace fettle::trace
