#include "app/views/assign_marks.hpp"

#include <algorithm>

#include "app/words/sentences.hpp"

namespace fettle::app {

using namespace profile;

namespace {

void work_mend(Assign& a, const AssignMend& mend) {
    if (mend.edit) a.edit(*mend.edit);
    if (mend.opens_motion) a.asked.push_back(order::Show{Screen::motion});
    if (mend.teaches && mend.place) {
        a.asked.push_back(order::Show{Screen::teach});
        a.asked.push_back(order::TeachBegin{mend.place->input, false});
    } else if (mend.place) {
        a.go(*mend.place);
    }
}

bool leads_here(const Assign& a, const AssignMend& mend) {
    if (!mend.place || mend.teaches) return false;
    AssignPlace here = a.at();
    here.focus = mend.place->focus;
    here.gesture = mend.place->gesture;
    return mend.place->page != AssignPage::table && here == *mend.place;
}

}  // namespace

AssignState::Made& made_of(Assign& a) {
    const auto& editing = a.desk.editing;
    auto& made = a.state.made;
    const bool is_same_state = made && made->language == a.language() && made->findings == editing.findings &&
                               made->profile == editing.profile;
    if (!is_same_state) {
        made = AssignState::Made{editing.profile, editing.findings, a.language(), {}, {}};
        made->mends.resize(editing.findings.size());
    }
    return *made;
}

const AssignFace& face_of(Assign& a, AssignState::Made& made, const std::string& id,
                          const WhichFindings& which, const std::function<AssignFace()>& words) {
    const auto there = made.faces.find(id);
    if (there != made.faces.end()) return there->second;
    AssignFace face = words();
    const std::string count = count_words(a, which);
    if (!count.empty()) face.label += " (" + count + ")";
    const ui::NoteKind worst = worst_of(a, which);
    face.is_problem = worst == ui::NoteKind::problem;
    face.is_warning = worst == ui::NoteKind::warning;
    return made.faces.emplace(id, std::move(face)).first->second;
}

ui::NoteKind worst_of(const Assign& a, const WhichFindings& which) {
    ui::NoteKind worst = ui::NoteKind::hint;
    for (const Finding& finding : a.desk.editing.findings) {
        if (!which(finding)) continue;
        if (is_lock_out(finding.kind)) return ui::NoteKind::problem;
        worst = ui::NoteKind::warning;
    }
    return worst;
}

int count_of(const Assign& a, const WhichFindings& which) {
    const auto& all = a.desk.editing.findings;
    return static_cast<int>(std::count_if(all.begin(), all.end(), which));
}

std::string count_words(const Assign& a, const WhichFindings& which) {
    const int problems = count_of(a, [&](const Finding& f) { return which(f) && is_lock_out(f.kind); });
    const int warnings = count_of(a, which) - problems;
    std::string words;
    if (problems > 0) words = a.ui.t(T::assign_problems, problems);
    if (warnings > 0) words += (words.empty() ? "" : ", ") + a.ui.t(T::assign_warnings, warnings);
    return words;
}

void findings_part(Assign& a, const WhichFindings& which) {
    const auto& findings = a.desk.editing.findings;
    AssignState::Made& made = made_of(a);
    for (std::size_t i = 0; i < findings.size(); ++i) {
        if (!which(findings[i])) continue;
        a.ui.note(is_lock_out(findings[i].kind) ? ui::NoteKind::problem : ui::NoteKind::warning,
                  sentence(findings[i], a.language()));
        const std::string id = "assign.mend/" + std::to_string(i) + "/";
        auto& mends = made.mends[i];
        if (!mends) mends = mends_for(a.language(), a.profile(), a.layout(), findings[i]);
        a.ui.row();
        for (std::size_t m = 0; m < mends->size(); ++m)
            if (!leads_here(a, (*mends)[m]) && a.ui.button(id + std::to_string(m), (*mends)[m].label))
                work_mend(a, (*mends)[m]);
        a.ui.end_row();
    }
}

void findings_page(Assign& a) {
    const auto all = [](const Finding&) { return true; };
    a.head(a.t(T::assign_findings));
    a.complaint();
    if (a.desk.editing.findings.empty()) a.ui.note(ui::NoteKind::good, a.t(T::assign_no_findings));
    a.ui.group("assign.findings", a.t(T::assign_findings));
    findings_part(a, all);
    a.ui.end_group();
}

}  // namespace fettle::app
