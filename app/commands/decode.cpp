// fettle decode: which frames a recorded train holds.

#include <fmt/format.h>

#include <iterator>
#include <optional>

#include "app/program.hpp"
#include "app/words/infrared_words.hpp"
#include "core/base/files.hpp"
#include "core/sim/pulse_text.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_limit = 64u << 20;

/// Repeat frames of the NEC family carry no code of their own: they say that the last button is still held.
engine::IrFrame completed(engine::IrFrame frame, const std::optional<engine::IrFrame>& last) {
    const auto is_nec = [](engine::Protocol p) {
        return p == engine::Protocol::nec || p == engine::Protocol::necx;
    };
    if (!frame.repeat || !is_nec(frame.protocol) || !last || !is_nec(last->protocol)) return frame;
    frame.protocol = last->protocol;
    frame.address = last->address;
    frame.command = last->command;
    return frame;
}

/// is_coded: the frame has an address and a command, its own or the one that it repeats.
Answer frame_answer(const engine::IrFrame& frame, bool is_coded) {
    Answer answer = Answer::object();
    answer.add("protocol", protocol_name(frame.protocol));
    answer.add("address", is_coded ? Answer(int{frame.address}) : Answer());
    answer.add("command", is_coded ? Answer(int{frame.command}) : Answer());
    if (frame.protocol == engine::Protocol::sirc20) answer.add("extended", int{frame.extended});
    if (frame.protocol == engine::Protocol::unknown)
        answer.add("signature", fmt::format("{:08x}", frame.signature));
    answer.add("repeat", frame.repeat);
    answer.add("toggle", frame.toggle == engine::k_no_toggle ? Answer() : Answer(int{frame.toggle}));
    return answer;
}

Result<std::string> content_of(const Program& program, const std::string& file) {
    if (file != "-") return read_file(file, k_limit);
    std::string content;
    for (char part[4096]; program.console.in.read(part, sizeof part), program.console.in.gcount() > 0;) {
        content.append(part, static_cast<std::size_t>(program.console.in.gcount()));
        if (content.size() > k_limit) return fail(Errc::too_large, "standard input", "64 MB at most");
    }
    return content;
}

}  // namespace

Exit run_decode(const Program& program, const DecodeArgs& args) {
    const auto content = content_of(program, args.file);
    if (!content) return program.could_not(content.error());
    const auto widths = sim::parse_pulse_text(*content);
    if (!widths) return program.could_not(widths.error());
    Answer answer = Answer::array();
    std::string lines;
    std::optional<engine::IrFrame> last;  // the last whole one
    for (const auto& timed : sim::decode_widths_timed(*widths)) {
        const engine::IrFrame frame = completed(timed.frame, last);
        const bool is_whole = !frame.repeat || frame.protocol == engine::Protocol::jvc;
        if (is_whole) last = frame;
        answer.push(frame_answer(
            frame, frame.protocol != engine::Protocol::unknown && (is_whole || last.has_value())));
        lines += fmt::format("{:>10.1f} ms  {}\n", static_cast<double>(timed.start_us) / 1000.0,
                             frame_words(frame));
    }
    if (lines.empty()) lines = "No frame was found.\n";
    return program.answer(answer, lines);
}

}  // namespace fettle::app
