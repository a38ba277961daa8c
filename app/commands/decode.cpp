// fettle decode: which frames a recorded train holds.

#include <fmt/format.h>

#include <iterator>

#include "app/program.hpp"
#include "app/words/infrared_words.hpp"
#include "core/base/files.hpp"
#include "core/sim/pulse_text.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_limit = 64u << 20;

Answer frame_answer(const engine::IrFrame& frame) {
    Answer answer = Answer::object();
    answer.add("protocol", protocol_name(frame.protocol));
    if (frame.protocol == engine::Protocol::unknown) {
        answer.add("signature", fmt::format("{:08x}", frame.signature));
    } else {
        // A repeat frame of the NEC family carries neither address nor command.
        const bool is_bare = frame.repeat && frame.protocol != engine::Protocol::jvc;
        answer.add("address", is_bare ? Answer() : Answer(int{frame.address}));
        answer.add("command", is_bare ? Answer() : Answer(int{frame.command}));
    }
    if (frame.protocol == engine::Protocol::sirc20) answer.add("extended", int{frame.extended});
    answer.add("repeat", frame.repeat);
    answer.add("toggle", frame.toggle == engine::k_no_toggle ? Answer() : Answer(int{frame.toggle}));
    return answer;
}

Result<std::string> content_of(const Program& program, const std::string& file) {
    if (file != "-") return read_file(file, k_limit);
    return std::string(std::istreambuf_iterator<char>(program.console.in), {});
}

}  // namespace

Exit run_decode(const Program& program, const DecodeArgs& args) {
    const auto content = content_of(program, args.file);
    if (!content) return program.could_not(content.error());
    const auto widths = sim::parse_pulse_text(*content);
    if (!widths) return program.could_not(widths.error());
    Answer answer = Answer::array();
    std::string lines;
    for (const auto& timed : sim::decode_widths_timed(*widths)) {
        answer.push(frame_answer(timed.frame));
        lines += fmt::format("{:>10.1f} ms  {}\n", static_cast<double>(timed.start_us) / 1000.0,
                             frame_words(timed.frame));
    }
    if (lines.empty()) lines = "No frame was found.\n";
    return program.answer(answer, lines);
}

}  // namespace fettle::app
