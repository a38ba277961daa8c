// fettle explain: what every input does in every mode, in plain words.

#include <fmt/format.h>

#include "app/profile_file.hpp"
#include "app/words/action_words.hpp"
#include "core/profile/fields.hpp"

namespace fettle::app {

namespace {

std::string heading(const profile::Profile& profile) {
    const auto& layout = profile.keyboard_layout;
    return fmt::format(
        "{}: {} inputs, {} modes, {} variants; its texts are typed for the keyboard layout {}{}.\n",
        profile.name.empty() ? "A profile without a name" : profile.name, profile.inputs.size(),
        profile.modes.size(), profile.variants.size() + 1, layout.layout,
        layout.variant.empty() ? "" : " " + layout.variant);
}

std::string inputs(const profile::Profile& profile) {
    std::string lines = "\nInputs\n";
    for (const auto& input : profile.inputs)
        lines += fmt::format("  {:<14} {} (rules {})\n", input.name, source_words(input.source), input.rules);
    return lines;
}

/// What a profile may hold: the field table, a line each, as parser and schema read it.
Exit explain_fields(const Program& program) {
    std::string lines;
    Answer answer = Answer::array();
    for (const auto& [path, field] : profile::all_fields()) {
        lines += fmt::format("{}\n    {}\n", path, profile::help_line(*field));
        answer.push(Answer::object()
                        .add("path", path)
                        .add("unit", field->unit)
                        .add("allowed", profile::allowed(*field))
                        .add("required", field->is_required)
                        .add("help", field->help));
    }
    return program.answer(answer, lines);
}

}  // namespace

Exit run_explain(const Program& program, const ExplainArgs& args) {
    if (args.fields) return explain_fields(program);
    if (args.file.empty()) {
        program.console.err << "Which profile? Name its file, or say --fields for what a profile may hold.\n";
        return Exit::wrong_usage;
    }
    const auto file = open_profile(args.file);
    if (!file) {
        program.console.err << all_errors(args.file);
        return Exit::could_not;
    }
    std::string lines = heading(file->profile) + inputs(file->profile);
    Answer modes = Answer::array();
    std::string mode;
    for (const Explained& one : explain(file->profile)) {
        if (one.mode != mode) lines += fmt::format("\nMode {}\n", one.mode);
        mode = one.mode;
        Answer gestures = Answer::array();
        for (const auto& gesture : one.gestures) gestures.push(gesture);
        if (one.gestures.empty()) lines += fmt::format("  {:<14} nothing\n", one.input);
        for (std::size_t i = 0; i < one.gestures.size(); ++i)
            lines += fmt::format("  {:<14} {}\n", i == 0 ? one.input : "", one.gestures[i]);
        modes.push(
            Answer::object().add("mode", one.mode).add("input", one.input).add("does", std::move(gestures)));
    }
    lines += "\nEverything that it can type or send\n";
    Answer sends = Answer::array();
    for (const auto& line : everything_it_can_send(file->profile)) {
        lines += "  " + line + "\n";
        sends.push(line);
    }
    return program.answer(Answer::object()
                              .add("name", file->profile.name)
                              .add("assignments", std::move(modes))
                              .add("can_send", std::move(sends)),
                          lines);
}

}  // namespace fettle::app
