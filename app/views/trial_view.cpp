// Try and keep: what would change, the trial with its seconds, the answer, and what this device has run.
#include <algorithm>

#include "app/views/dates.hpp"
#include "app/views/views.hpp"
#include "app/words/action_words.hpp"
#include "app/words/change_words.hpp"
#include "app/words/device_words.hpp"
#include "app/words/plain_text.hpp"
#include "app/words/sentences.hpp"

namespace fettle::app {

namespace {

using ui::Look;
using ui::NoteKind;
using ui::Ui;

constexpr std::size_t k_most_changes = 30;
constexpr std::size_t k_most_runs = 20;
constexpr std::uint16_t k_more_s = 60;

void changes(Ui& ui, const Desk& desk) {
    ui.heading(ui.t(T::trial_changes));
    const auto& all = desk.editing.changes;
    if (desk.is_on_device())
        ui.note(NoteKind::good, ui.t(T::trial_same));
    else if (all.empty())
        ui.text(ui.t(T::trial_no_change));
    for (std::size_t i = 0; i < std::min(all.size(), k_most_changes); ++i)
        ui.text(change_words(all[i], ui.options().language));
    if (all.size() > k_most_changes) ui.quiet(ui.t(T::trial_more, all.size() - k_most_changes));
    if (desk.editing.compiled)
        ui.quiet(ui.t(T::trial_size, desk.editing.compiled->image.size(),
                      desk.device.hello ? int{desk.device.hello->slot_bytes} : wire::k_slot_bytes));
    if (desk.editing.compile_error)
        ui.note(NoteKind::problem,
                sentence(*desk.editing.compile_error, DeviceThen::not_involved, ui.options().language));
}

/// What check() says; true when nothing is left that stands in the way.
bool hindrances(Ui& ui, const Desk& desk, TrialState& state, const Orders& orders) {
    if (desk.editing.findings.empty()) return !desk.editing.compile_error;
    bool is_free = !desk.editing.compile_error;
    ui.group("trial.findings", ui.t(T::trial_hindered));
    ui.heading(ui.t(T::trial_hindered));
    for (const profile::Finding& finding : desk.editing.findings) {
        const bool is_lock_out = profile::is_lock_out(finding.kind);
        ui.note(is_lock_out ? NoteKind::problem : NoteKind::warning,
                plain_text(sentence(finding, ui.options().language)));
        if (is_lock_out) is_free = false;
    }
    std::set<std::string> warnings;
    for (const profile::Finding& finding : desk.editing.findings)
        if (!profile::is_lock_out(finding.kind))
            warnings.insert(std::string(profile::finding_name(finding.kind)));
    for (const std::string& name : warnings) {
        const bool is_accepted = state.accepted.contains(name);
        if (ui.toggle("trial.accept." + name, ui.t(T::trial_accept, name), is_accepted)) {
            if (is_accepted)
                state.accepted.erase(name);
            else
                state.accepted.insert(name);
        }
        if (!is_accepted) is_free = false;
    }
    if (ui.button("trial.mend", ui.t(T::trial_mend))) orders(order::Show{Screen::assign});
    ui.end_group();
    return is_free;
}

bool strangers_texts(Ui& ui, const Desk& desk, TrialState& state) {
    if (!desk.editing.is_foreign) return true;
    ui.note(NoteKind::warning, ui.t(T::trial_texts));
    for (const std::string& line : everything_it_can_send(desk.editing.profile, ui.options().language))
        ui.text(plain_text(line));
    if (ui.toggle("trial.texts", ui.t(T::trial_texts_agree), state.texts_seen))
        state.texts_seen = !state.texts_seen;
    return state.texts_seen;
}

void begin(Ui& ui, const Desk& desk, TrialState& state, const Orders& orders) {
    const bool is_free = hindrances(ui, desk, state, orders);
    const bool is_read = strangers_texts(ui, desk, state);
    const bool is_live = desk.device.state == LinkState::live;
    if (!is_live) ui.note(NoteKind::warning, ui.t(T::trial_needs_device));
    ui.group("trial.begin", ui.t(T::trial_begin));
    const int seconds = state.seconds > 0 ? state.seconds : desk.editing.profile.pace.trial_s;
    if (auto next = ui.number("trial.seconds", ui.t(T::trial_length), seconds, {20, 600, 10, "s", false}))
        state.seconds = static_cast<int>(*next);
    ui.quiet(ui.t(T::trial_how));
    const bool can = is_free && is_read && is_live && !desk.trying.is_asked;
    if (ui.button("trial.try", ui.t(T::trial_begin), Look::strong, can))
        orders(order::Try{static_cast<std::uint16_t>(seconds),
                          state.texts_seen,
                          {state.accepted.begin(), state.accepted.end()}});
    ui.end_group();
}

void sending(Ui& ui, const Desk& desk, const Orders& orders) {
    ui.large("trial.sending", ui.t(T::trial_sending, desk.device.work.done, desk.device.work.whole));
    if (ui.button("trial.cancel", ui.t(T::trial_cancel))) orders(Ask{ask::Cancel{}});
}

void running(Ui& ui, const Desk& desk, TrialState& state, const Orders& orders) {
    ui.large("trial.left", ui.t(T::trial_left, desk.trying.seconds_left));
    ui.text(ui.t(T::trial_running));
    const bool is_proven = desk.trying.is_proven;
    ui.live("trial.proof", 2,
            is_proven
                ? std::string(ui.t(T::trial_proven))
                : ui.t(T::trial_proof, proof_words(desk.device.trial.proof, desk.device.trial.proof_needed,
                                                   ui.options().language)));
    ui.group("trial.answer", ui.t(T::trial_answer));
    ui.row();
    if (ui.button("trial.keep", ui.t(T::trial_keep), Look::strong, is_proven)) orders(Ask{ask::Keep{false}});
    if (ui.button("trial.revert", ui.t(T::trial_revert))) orders(Ask{ask::Revert{}});
    if (ui.button("trial.extend", ui.t(T::trial_extend, k_more_s)))
        orders(Ask{ask::Extend{
            static_cast<std::uint16_t>(std::min(600, desk.trying.seconds_left + int{k_more_s}))}});
    const std::string question[] = {ui.t(T::trial_helper_ask)};
    if (ui.asking_button("trial.helper", ui.t(T::trial_helper), question, ui.t(T::trial_helper_yes),
                         Look::danger, !is_proven))
        orders(Ask{ask::Keep{true}});
    ui.end_row();
    ui.end_group();
    hands(ui, "trial.hand", desk, state.hands, orders);
}

const char* run_words(const Ui& ui, store::RunKind kind) {
    switch (kind) {
        case store::RunKind::seen: return ui.t(T::trial_run_seen);
        case store::RunKind::trial_began: return ui.t(T::trial_run_began);
        case store::RunKind::kept: return ui.t(T::trial_run_kept);
        case store::RunKind::reverted: return ui.t(T::trial_run_reverted);
        case store::RunKind::trial_ran_out: return ui.t(T::trial_run_out);
        case store::RunKind::released: return ui.t(T::trial_run_released);
        case store::RunKind::lost: return ui.t(T::trial_run_lost);
    }
    return "";
}

void history(Ui& ui, const Desk& desk) {
    ui.heading(ui.t(T::trial_history));
    const auto& runs = desk.people.runs;
    if (runs.empty()) ui.quiet(ui.t(T::trial_no_history));
    std::size_t shown = 0;
    for (std::size_t i = 0; i < runs.size() && shown < k_most_runs; ++i) {
        // Letting go is no profile that ran; the store has it for reports.
        if (runs[i].kind == store::RunKind::released) continue;
        ++shown;
        const std::string name = runs[i].profile_name.empty() ? ui.t(T::trial_unnamed) : runs[i].profile_name;
        ui.text(ui.t(T::trial_run, date_words(runs[i].at_ms), run_words(ui, runs[i].kind), plain_text(name)));
    }
}

}  // namespace

void trial_view(Ui& ui, const Desk& desk, TrialState& state, const Orders& orders) {
    if (desk.trying.is_running)
        running(ui, desk, state, orders);
    else if (desk.trying.is_asked)
        sending(ui, desk, orders);
    changes(ui, desk);
    if (!desk.trying.is_running && !desk.trying.is_asked) begin(ui, desk, state, orders);
    history(ui, desk);
}

}  // namespace fettle::app
