// fettle check: what in a profile could lock a person out, and what is doubtful; does it fit the board.

#include <fmt/format.h>

#include <algorithm>

#include "app/profile_file.hpp"
#include "core/profile/check.hpp"
#include "core/profile/image_compile.hpp"

namespace fettle::app {

namespace {

Answer finding_answer(const profile::Finding& finding, bool is_accepted) {
    Answer subjects = Answer::array();
    for (const auto& subject : finding.subjects) subjects.push(subject);
    Answer answer = Answer::object();
    answer.add("name", std::string(profile::finding_name(finding.kind)));
    answer.add("locks_out", profile::is_lock_out(finding.kind));
    answer.add("accepted", is_accepted);
    answer.add("where", finding.where);
    answer.add("subjects", std::move(subjects));
    answer.add("sentence", sentence(finding));
    return answer;
}

/// Names given with --accept that are no warning's.
std::optional<std::string> wrong_name(const std::vector<std::string>& accepted) {
    for (const auto& name : accepted) {
        const auto kind = profile::finding_kind(name);
        if (!kind || profile::is_lock_out(*kind)) return name;
    }
    return std::nullopt;
}

struct Sizes {
    Answer answer = Answer::object();
    std::string line;
    bool fits = false;
};

Sizes sizes_of(const ProfileFile& file) {
    Sizes sizes;
    const profile::Limits limits;
    const auto built = profile::build_image(file.profile, strokes_of(file));
    if (!built) {
        sizes.line = sentence(built.error()) + "\n";
        return sizes;
    }
    const Status fit = profile::fits(file.profile, *built, limits);
    sizes.fits = fit.has_value();
    sizes.line =
        fmt::format("Size: {} of {} bytes, {} of {} in the device's quick memory.\n", built->image.size(),
                    limits.slot_bytes, built->mirror_bytes, limits.mirror_bytes);
    if (!fit) sizes.line += sentence(fit.error()) + "\n";
    sizes.answer.add("image_bytes", static_cast<std::uint64_t>(built->image.size()))
        .add("mirror_bytes", built->mirror_bytes);
    Answer sections = Answer::array();
    for (const auto& section : built->sections)
        sections.push(Answer::object().add("name", section.name).add("bytes", section.bytes));
    sizes.answer.add("sections", std::move(sections));
    return sizes;
}

}  // namespace

Exit run_check(const Program& program, const CheckArgs& args) {
    if (const auto name = wrong_name(args.accepted_warnings)) {
        program.console.err << *name << " is not the name of a warning; lock-outs cannot be accepted.\n";
        return Exit::wrong_usage;
    }
    const auto file = open_profile(args.file);
    if (!file) {
        program.console.err << all_errors(args.file);
        return Exit::could_not;
    }
    const auto findings = profile::check(file->profile, file->layout.get());
    const auto refused = profile::refusals(findings, args.accepted_warnings);
    std::string lines;
    Answer list = Answer::array();
    for (const auto& finding : findings) {
        const bool is_accepted = std::find(refused.begin(), refused.end(), finding) == refused.end();
        const char* weight = profile::is_lock_out(finding.kind) ? "LOCKS OUT"
                             : is_accepted                      ? "accepted "
                                                                : "warning  ";
        lines += fmt::format("{}  {}\n           [{}] at {}\n", weight, sentence(finding),
                             profile::finding_name(finding.kind), finding.where);
        list.push(finding_answer(finding, is_accepted));
    }
    if (findings.empty()) lines = "Nothing in this profile locks anybody out, and nothing is doubtful.\n";
    const Sizes sizes = sizes_of(*file);
    const bool is_good = refused.empty() && sizes.fits;
    program.answer(Answer::object()
                       .add("may_be_pushed", is_good)
                       .add("findings", std::move(list))
                       .add("size", sizes.answer),
                   lines + sizes.line);
    if (is_good) return Exit::done;
    program.console.err
        << "This profile may not be pushed as it is: mend what is named, or accept a warning by its "
           "name.\n";
    return Exit::could_not;
}

}  // namespace fettle::app
