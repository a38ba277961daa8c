#include "core/sim/pulse_text.hpp"

#include <algorithm>
#include <charconv>

#include "core/engine/infrared.hpp"

namespace fettle::sim {

namespace {
constexpr std::uint32_t k_most_us = 0xFFFFFF;
constexpr std::uint32_t k_saturated_us = 0xFFFF;
constexpr std::uint32_t k_tick_us = 1000;
constexpr std::string_view k_blank = " \t\r\v\f";

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(k_blank);
    if (first == std::string_view::npos) return {};
    return text.substr(first, text.find_last_not_of(k_blank) - first + 1);
}

/// Text from outside, fit to stand in an error: short, printable.
std::string quoted(std::string_view text) {
    constexpr std::size_t k_most = 40;
    std::string result = "\"";
    for (char c : text.substr(0, k_most)) result += c >= ' ' && c < 0x7F ? c : '?';
    return result + (text.size() > k_most ? "...\"" : "\"");
}

Unexpected line_error(Errc code, std::size_t line, std::string_view text, const char* allowed) {
    return fail(code, "line " + std::to_string(line), quoted(text) + ": " + allowed);
}

Result<PulseWidth> parse_line(std::string_view text, std::size_t line) {
    const auto name_end = std::min(text.find_first_of(k_blank), text.size());
    const auto name = text.substr(0, name_end);
    if (name != "pulse" && name != "space") {
        return line_error(Errc::syntax, line, text, "a line is pulse N or space N, N in us");
    }
    const auto number = trimmed(text.substr(name_end));
    std::uint32_t us = 0;
    const char* const end = number.data() + number.size();
    const auto [stop, error] = std::from_chars(number.data(), end, us);
    if (error == std::errc::invalid_argument || (error == std::errc{} && stop != end)) {
        return line_error(Errc::syntax, line, text, "after the word stands one whole number of us");
    }
    if (error != std::errc{} || us == 0 || us > k_most_us) {
        return line_error(Errc::out_of_range, line, text, "a width is 1 to 16777215 us");
    }
    return PulseWidth{name == "pulse", us};
}

void append(std::vector<PulseWidth>& widths, PulseWidth next) {
    if (widths.empty() || widths.back().is_mark != next.is_mark) {
        widths.push_back(next);
    } else {
        const std::uint64_t sum = std::uint64_t{widths.back().width_us} + next.width_us;
        widths.back().width_us = static_cast<std::uint32_t>(std::min<std::uint64_t>(sum, UINT32_MAX));
    }
}

std::uint16_t saturated(std::uint32_t us) {
    return static_cast<std::uint16_t>(std::min(us, k_saturated_us));
}

/// Feeds one decoder and stamps what it says.
class Feeder {
public:
    Feeder() {
        infrared_.reset();
        quiet(engine::k_ir_gap_us);
    }
    void mark(std::uint32_t us) {
        if (quiet_us_ >= engine::k_ir_gap_us) start_us_ = now_us_;
        engine::IrFrame frame;
        if (infrared_.width(true, saturated(us), frame)) note(frame);
        now_us_ += us;
        end_us_ = now_us_;
        quiet_us_ = 0;
    }
    void space(std::uint32_t us) {
        quiet(us);
        engine::IrFrame frame;
        if (infrared_.width(false, saturated(us), frame)) note(frame);
        now_us_ += us;
    }
    void quiet(std::uint32_t us) {
        engine::IrFrame frame;
        for (std::uint32_t since = k_tick_us; since <= std::min(us, k_saturated_us); since += k_tick_us) {
            if (infrared_.silence(saturated(since), frame)) note(frame);
        }
        quiet_us_ = us;
    }
    std::vector<TimedFrame> take() { return std::move(frames_); }

private:
    void note(const engine::IrFrame& frame) { frames_.push_back({frame, start_us_, end_us_}); }

    engine::Infrared infrared_;
    std::vector<TimedFrame> frames_;
    std::uint64_t now_us_ = 0;
    std::uint64_t start_us_ = 0;
    std::uint64_t end_us_ = 0;
    std::uint32_t quiet_us_ = 0;
};
}  // namespace

Result<std::vector<PulseWidth>> parse_pulse_text(std::string_view text) {
    std::vector<PulseWidth> widths;
    for (std::size_t line = 1; !text.empty(); ++line) {
        const auto end = std::min(text.find('\n'), text.size());
        const auto raw = text.substr(0, end);
        text.remove_prefix(std::min(end + 1, text.size()));
        const auto content = trimmed(raw.substr(0, raw.find('#')));
        if (content.empty()) continue;
        const auto width = parse_line(content, line);
        if (!width) return width.failure();
        append(widths, *width);
    }
    return widths;
}

std::string format_pulse_text(const std::vector<PulseWidth>& widths) {
    std::string text;
    for (const auto& width : widths) {
        text += width.is_mark ? "pulse " : "space ";
        text += std::to_string(width.width_us) + '\n';
    }
    return text;
}

std::vector<PulseWidth> to_pulse_widths(const std::vector<std::uint32_t>& marks_and_spaces) {
    std::vector<PulseWidth> widths;
    widths.reserve(marks_and_spaces.size());
    for (std::size_t i = 0; i < marks_and_spaces.size(); ++i) {
        widths.push_back({i % 2 == 0, marks_and_spaces[i]});
    }
    return widths;
}

std::vector<TimedFrame> decode_widths_timed(const std::vector<PulseWidth>& widths) {
    std::vector<PulseWidth> joined;
    for (const auto& width : widths) {
        if (width.width_us != 0) append(joined, width);
    }
    Feeder feeder;
    for (const auto& width : joined) {
        if (width.is_mark) {
            feeder.mark(width.width_us);
        } else {
            feeder.space(width.width_us);
        }
    }
    feeder.quiet(k_saturated_us);
    return feeder.take();
}

std::vector<engine::IrFrame> decode_widths(const std::vector<PulseWidth>& widths) {
    std::vector<engine::IrFrame> frames;
    for (const auto& timed : decode_widths_timed(widths)) frames.push_back(timed.frame);
    return frames;
}

}  // namespace fettle::sim
