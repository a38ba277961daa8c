#include "app/sim_script.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <sstream>

#include "app/words/infrared_words.hpp"
#include "core/base/files.hpp"
#include "core/profile/field_table.hpp"
#include "core/sim/pulse_text.hpp"

namespace fettle::app {

namespace {

constexpr std::uint64_t k_us_a_ms = 1000;
constexpr std::uint64_t k_rest_us = 2000000;
constexpr std::size_t k_pulse_limit = 1u << 20;
constexpr std::size_t k_script_limit = 1u << 20;
constexpr std::int64_t k_longest_ms = 24 * 3600 * 1000;

using Kind = ScriptStep::Kind;
using Words = std::vector<std::string>;

Words words_of(const std::string& line) {
    std::istringstream stream(line.substr(0, line.find('#')));
    Words words;
    for (std::string word; stream >> word;) words.push_back(word);
    return words;
}

/// Reads one line into a script; its place is told in every error.
class LineReader {
public:
    LineReader(Script& script, const profile::Profile& profile, const std::string& folder)
        : script_(script), profile_(profile), folder_(folder) {}

    Status read(const Words& words, int number) {
        words_ = &words;
        where_ = "line " + std::to_string(number);
        if (words[0] == "air") return air();
        if (words[0] == "contact") return contact();
        if (words[0] == "end" && words.size() == 2) return end();
        if (words[0] != "at" || words.size() < 4)
            return wrong("at MS press|frame|edge|pulses|axis|leds ..., air, contact or end");
        ScriptStep step;
        const auto at = number_at(1, 0, k_longest_ms);
        if (!at) return at.failure();
        step.at_us = static_cast<std::uint64_t>(*at) * k_us_a_ms;
        auto filled = fill(step);
        if (filled) script_.steps.push_back(std::move(step));
        return filled;
    }

private:
    Status wrong(const std::string& allowed) const { return fail(Errc::syntax, where_, allowed); }

    Result<std::int64_t> number_at(std::size_t index, std::int64_t least, std::int64_t most) const {
        if (index >= words_->size()) return fail(Errc::syntax, where_, "a number is missing");
        const std::string& word = (*words_)[index];
        std::int64_t value = 0;
        const auto [end, error] = std::from_chars(word.data(), word.data() + word.size(), value);
        if (error != std::errc{} || end != word.data() + word.size() || value < least || value > most)
            return fail(Errc::out_of_range, where_,
                        word + ": " + std::to_string(least) + " to " + std::to_string(most));
        return value;
    }

    Status hold(ScriptStep& step, std::size_t index) const {
        const auto ms = number_at(index, 1, k_longest_ms);
        if (!ms) return ms.failure();
        step.hold_ms = static_cast<std::uint32_t>(*ms);
        return Done{};
    }

    Status fill(ScriptStep& step) const {
        const std::string& what = (*words_)[2];
        const std::string& subject = (*words_)[3];
        if (what == "press") return press(step, subject);
        if (what == "frame") {
            step.kind = Kind::frame;
            const auto frame = parse_frame(subject);
            if (!frame) return fail(frame.error().code, where_, subject + " " + frame.error().detail);
            step.frame = *frame;
            return hold(step, 4);
        }
        if (what == "edge") return edge(step);
        if (what == "pulses") return pulses(step, subject);
        if (what == "axis") return axis(step, subject);
        if (what == "leds") return leds(step, subject);
        return wrong("press, frame, edge, pulses, axis or leds");
    }

    Status press(ScriptStep& step, const std::string& name) const {
        const auto* input = profile::find_named(profile_.inputs, name);
        if (input == nullptr) return fail(Errc::unknown_name, where_, name);
        if (std::holds_alternative<profile::Untaught>(input->source))
            return fail(Errc::unknown_name, where_, name + " is not taught yet");
        step.kind = Kind::press;
        step.input = name;
        return hold(step, 4);
    }

    Status edge(ScriptStep& step) const {
        const auto line = number_at(3, 0, engine::k_switch_lines);
        if (!line) return line.failure();
        if (words_->size() < 5 || ((*words_)[4] != "low" && (*words_)[4] != "high"))
            return wrong("low or high");
        step.kind = Kind::edge;
        step.line = static_cast<std::uint8_t>(*line);
        step.value = (*words_)[4] == "high" ? 1 : 0;
        return Done{};
    }

    Status pulses(ScriptStep& step, const std::string& file) const {
        const auto content = read_file(file.starts_with('/') ? file : folder_ + "/" + file, k_pulse_limit);
        if (!content) return content.failure();
        const auto widths = sim::parse_pulse_text(*content);
        if (!widths) return widths.failure();
        step.kind = Kind::pulses;
        for (const auto& width : *widths)
            if (width.is_mark || !step.widths.empty()) step.widths.push_back(width.width_us);
        return Done{};
    }

    Status axis(ScriptStep& step, const std::string& name) const {
        const int index = profile::choice_of(profile::field::k_axis, name);
        if (index < 0)
            return fail(Errc::unknown_name, where_, name + ": " + profile::allowed(profile::field::k_axis));
        const auto permille = number_at(4, -1000, 1000);
        if (!permille) return permille.failure();
        step.kind = Kind::axis;
        step.line = static_cast<std::uint8_t>(index);
        step.value = static_cast<std::int16_t>(*permille);
        return Done{};
    }

    Status leds(ScriptStep& step, const std::string& name) const {
        step.kind = Kind::leds;
        if (name == "num")
            step.value = engine::k_led_num;
        else if (name == "caps")
            step.value = engine::k_led_caps;
        else if (name == "scroll")
            step.value = engine::k_led_scroll;
        else if (name != "none")
            return wrong("num, caps, scroll or none");
        return Done{};
    }

    Status air() const {
        ScriptStep step;
        step.kind = Kind::air;
        step.at_us = latest();
        for (std::size_t i = 1; i + 1 < words_->size(); i += 2) {
            const auto value = number_at(i + 1, 0, 100000);
            if (!value) return value.failure();
            const auto amount = static_cast<double>(*value);
            if ((*words_)[i] == "jitter")
                step.air.edge_jitter_us = amount;
            else if ((*words_)[i] == "lost")
                step.air.lost_repeats_permille = amount;
            else if ((*words_)[i] == "noise")
                step.air.noise_per_s = amount;
            else
                return wrong("jitter US, lost PERMILLE, noise PER_SECOND");
        }
        if (words_->size() % 2 == 0) return wrong("jitter US, lost PERMILLE, noise PER_SECOND");
        script_.steps.push_back(step);
        return Done{};
    }

    Status contact() const {
        const auto us = number_at(1, 0, 1000000), times = number_at(2, 0, 50);
        if (!us) return us.failure();
        if (!times) return times.failure();
        ScriptStep step;
        step.kind = Kind::contact;
        step.at_us = latest();
        step.contact = {static_cast<std::uint32_t>(*us), static_cast<std::uint8_t>(*times)};
        script_.steps.push_back(step);
        return Done{};
    }

    Status end() const {
        const auto ms = number_at(1, 1, k_longest_ms);
        if (!ms) return ms.failure();
        script_.end_us = static_cast<std::uint64_t>(*ms) * k_us_a_ms;
        return Done{};
    }

    std::uint64_t latest() const { return script_.steps.empty() ? 0 : script_.steps.back().at_us; }

    Script& script_;
    const profile::Profile& profile_;
    const std::string& folder_;
    const Words* words_ = nullptr;
    std::string where_;
};

}  // namespace

Result<Script> parse_script(std::string_view text, const profile::Profile& profile,
                            const std::string& folder) {
    Script script;
    LineReader reader(script, profile, folder);
    std::istringstream stream{std::string(text)};
    int number = 0;
    for (std::string line; std::getline(stream, line);) {
        ++number;
        const Words words = words_of(line);
        if (words.empty()) continue;
        if (auto read = reader.read(words, number); !read) return read.failure();
    }
    if (script.end_us == 0)
        for (const auto& step : script.steps)
            script.end_us = std::max(script.end_us, step.at_us + step.hold_ms * k_us_a_ms + k_rest_us);
    return script;
}

Result<Script> load_script(const std::string& path, const profile::Profile& profile) {
    const auto text = read_file(path, k_script_limit);
    if (!text) return text.failure();
    const std::size_t slash = path.rfind('/');
    return parse_script(*text, profile, slash == std::string::npos ? "." : path.substr(0, slash));
}

engine::IrFrame frame_of(const profile::Infrared& source) {
    auto frame = engine::make_ir_frame(source.protocol, static_cast<std::uint16_t>(source.address),
                                       static_cast<std::uint16_t>(source.command));
    frame.extended = static_cast<std::uint8_t>(source.extended);
    frame.signature = source.signature;
    return frame;
}

void press_input(const profile::Input& input, std::uint64_t at_us, std::uint32_t hold_ms, sim::Hands& hands) {
    if (const auto* infrared = std::get_if<profile::Infrared>(&input.source)) {
        hands.press_remote(frame_of(*infrared), at_us, hold_ms);
    } else if (const auto* line = std::get_if<profile::Switch>(&input.source)) {
        const auto number = static_cast<std::uint8_t>(line->line);
        if (line->closed_low) {
            hands.press_switch(number, at_us, hold_ms);
        } else {
            hands.open_switch(number, at_us);
            hands.close_switch(number, at_us + hold_ms * k_us_a_ms);
        }
    } else if (const auto* axis = std::get_if<profile::Axis>(&input.source)) {
        const int full = axis->side == profile::AxisSide::positive ? 1000 : -1000;
        hands.set_axis(static_cast<std::uint8_t>(axis->axis), at_us, static_cast<std::int16_t>(full));
        hands.set_axis(static_cast<std::uint8_t>(axis->axis), at_us + hold_ms * k_us_a_ms, 0);
    }
}

void play(const Script& script, const profile::Profile& profile, std::uint64_t from_us, sim::Hands& hands) {
    for (const ScriptStep& step : script.steps) {
        const std::uint64_t at = from_us + step.at_us;
        switch (step.kind) {
            case Kind::press:
                press_input(*profile::find_named(profile.inputs, step.input), at, step.hold_ms, hands);
                break;
            case Kind::frame: hands.press_remote(step.frame, at, step.hold_ms); break;
            case Kind::edge: hands.edge(step.line, at, step.value != 0); break;
            case Kind::pulses: hands.play(0, at, step.widths); break;
            case Kind::axis: hands.set_axis(step.line, at, step.value); break;
            case Kind::air: hands.set_air(step.air); break;
            case Kind::contact: hands.set_contact(step.contact); break;
            case Kind::leds: break;
        }
    }
}

std::uint8_t lights(const Script& script, std::uint64_t at_us) {
    std::uint8_t leds = 0;
    for (const ScriptStep& step : script.steps)
        if (step.kind == Kind::leds && step.at_us <= at_us) leds = static_cast<std::uint8_t>(step.value);
    return leds;
}

}  // namespace fettle::app
