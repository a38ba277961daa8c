// Onto the device on trial, and what becomes of it; what requests were answered; the history of the device.

#include <algorithm>

#include "app/desk/desk_inside.hpp"
#include "app/words/device_words.hpp"

namespace fettle::app {

using wire::TrialPhase;

namespace {

constexpr std::size_t k_most_runs = 200;
/// A link that goes that long after a request had no answer goes for another reason.
constexpr std::int64_t k_cut_ms = 10'000;
constexpr int k_least_trial_s = 20, k_most_trial_s = 600;  // wire/trial.hpp

bool is_running(TrialPhase phase) {
    return phase == TrialPhase::running || phase == TrialPhase::extended;
}

template <typename A>
bool is(const Told& told) {
    return told.index == Ask(A{}).index();
}

Doing doing_of(const Told& told) {
    if (is<ask::Push>(told)) return Doing::pushing;
    if (is<ask::Keep>(told)) return Doing::keeping;
    return is<ask::Revert>(told) || is<ask::Extend>(told) ? Doing::deciding : Doing::reading;
}

}  // namespace

void DeskKeeper::Inside::take_try(const order::Try& order) {
    Trying& trying = desk.trying;
    Editing& editing = desk.editing;
    trying.refused.clear();
    trying.needs_texts_seen = false;
    if (!is_live()) return problem(Error{Errc::closed, "device", ""});
    if (trying.is_running || trying.is_asked) return problem(Error{Errc::busy, "device", ""});
    if (order.trial_s < k_least_trial_s || order.trial_s > k_most_trial_s)
        return problem(text(T::desk_try_seconds));
    trying.refused = profile::refusals(editing.findings, order.accepted);
    if (!trying.refused.empty()) return tell_refused();
    if (!editing.compiled) return problem(*editing.compile_error, DeviceThen::unchanged);
    if (editing.is_foreign && !order.strangers_texts_seen) {
        trying.needs_texts_seen = true;
        return warn(text(T::desk_try_strangers));
    }
    if (editing.is_foreign && editing.entry)
        with_store(
            T::desk_work_save,
            [key = foreign_key(*editing.entry)](store::Store& its) { return its.forget_setting(key); },
            [](Inside&, const Status&) {});
    editing.is_foreign = false;
    settle();
    remember({editing.compiled->crc, editing.profile, editing.compiled->image, true, editing.entry,
              editing.is_saved ? latest_revision : std::nullopt});
    trying.is_asked = true;
    push_crc = editing.compiled->crc;
    push_ticket = station.ask(ask::Push{editing.compiled->image, order.trial_s});
}

void DeskKeeper::Inside::tell_refused() {
    const auto& refused = desk.trying.refused;
    const std::string first = sentence(refused.front(), desk.options.language);
    if (refused.size() == 1) return warn(text(T::desk_try_refused, first));
    warn(text(T::desk_try_refused_more, first, refused.size()));
}

void DeskKeeper::Inside::ask(Ask what) {
    // A Connect, too: to another device than the one that is open.
    if (std::holds_alternative<ask::Disconnect>(what) || std::holds_alternative<ask::Connect>(what))
        hangs_up = true;
    const bool is_push = std::holds_alternative<ask::Push>(what);
    const bool is_keep = std::holds_alternative<ask::Keep>(what);
    if (is_push) desk.trying.is_asked = true;
    const std::uint32_t ticket = station.ask(std::move(what));
    if (is_push) push_ticket = ticket;
    if (is_keep) keep_ticket = ticket;
}

/// Before anything of the trial is forgotten. What was asked and not answered is what was cut.
void DeskKeeper::Inside::note_cut(const wire::TrialReply& trial) {
    if (keep_ticket != 0) return note_cut(Doing::keeping, trial.image_crc);
    if (desk.trying.is_asked) return note_cut(Doing::pushing, push_crc);
    if (desk.trying.is_running) return note_cut(Doing::deciding, trial.image_crc);
    note_cut(Doing::reading, 0);
}

/// The first word on it stands: later ones come from requests that had to wait.
void DeskKeeper::Inside::note_cut(Doing doing, std::uint32_t crc) {
    const bool is_fresh = cut && now_ms() - cut->at_ms < k_cut_ms;
    if (is_fresh && cut->doing != Doing::reading) return;
    cut = Cut{doing, crc, now_ms(), device_serial()};
}

void DeskKeeper::Inside::tell_gone() {
    switch (cut ? cut->doing : Doing::reading) {
        case Doing::reading: return warn(text(T::desk_lost));
        case Doing::pushing: return problem(text(T::desk_lost_push));
        case Doing::deciding: return warn(text(T::desk_lost_trial));
        case Doing::keeping: return problem(text(T::desk_lost_keep));
    }
}

/// It is live again: what it runs says what became of what was cut.
void DeskKeeper::Inside::tell_back() {
    const auto was = std::exchange(cut, std::nullopt);
    if (!was || was->device_serial != device_serial()) return;
    const DeviceNow& now = desk.device;
    if (was->doing == Doing::reading) return done(text(T::desk_back));
    const bool is_same = now.hello->image_crc == was->crc;
    if (is_same && is_running(now.trial.phase)) return warn(text(T::desk_back_on_trial));
    if (is_same) return done(text(T::desk_back_runs));
    if (was->doing == Doing::keeping) return warn(text(T::desk_back_not_kept));
    warn(text(was->doing == Doing::pushing ? T::desk_back_push : T::desk_back_trial));
}

std::string DeskKeeper::Inside::device_serial() const {
    if (!desk.device.hello) return {};
    const auto& raw = desk.device.hello->serial;
    return {std::begin(raw), std::find(std::begin(raw), std::end(raw), 0)};
}

void DeskKeeper::Inside::hear_told() {
    while (const auto told = station.told()) take_told(*told);
}

void DeskKeeper::Inside::take_told(const Told& told) {
    const bool is_push = is<ask::Push>(told);
    const bool is_keep = is<ask::Keep>(told);
    if (is_push && told.ticket == push_ticket) desk.trying.is_asked = false;
    if (is_keep && told.ticket == keep_ticket) keep_ticket = 0;
    if (is<ask::ReadImage>(told)) {
        if (!told.error) take_image(told.image);
        return;  // not asked for by a person
    }
    if (told.error) return tell_trouble(told);
    if (is<ask::Connect>(told)) hangs_up = false;
    if (!is_live()) return;
    cut.reset();
    if (is_push && told.trial) done(text(T::desk_trial_began, told.trial->seconds_left));
    if (is<ask::Extend>(told) && told.trial) done(text(T::desk_trial_longer, told.trial->seconds_left));
    if (is<ask::Release>(told)) done(text(T::desk_released));
}

void DeskKeeper::Inside::tell_trouble(const Told& told) {
    const Error& error = *told.error;
    const Doing doing = doing_of(told);
    const bool may_be_gone =
        error.code == Errc::closed || error.code == Errc::timed_out || error.code == Errc::io;
    if (may_be_gone && doing != Doing::reading)
        note_cut(doing, doing == Doing::pushing ? push_crc : desk.device.trial.image_crc);
    if (error.code == Errc::closed && cut) return tell_gone();
    if (is<ask::Connect>(told)) return not_connected(error);
    const bool is_beside_trial = desk.trying.is_running && doing == Doing::reading;
    const DeviceThen then = is_beside_trial ? DeviceThen::on_trial : device_then(error, doing);
    const std::string words = sentence(error, then, desk.options.language);
    if (error.code != Errc::unproven) return problem(words);
    const auto& trial = desk.device.trial;
    problem(text(T::desk_still_to_show, words,
                 proof_words(trial.proof, trial.proof_needed, desk.options.language)));
}

void DeskKeeper::Inside::not_connected(const Error& error) {
    const auto& found = desk.device.found;
    const auto real = std::count_if(found.begin(), found.end(), [](const link::Attached& one) {
        return one.channel != link::ChannelKind::simulated;
    });
    const bool is_choice = error.code == Errc::not_found || error.code == Errc::duplicate;
    if (is_choice && real > 1) return warn(text(T::connect_several));
    problem(error);
}

void DeskKeeper::Inside::trial_changed(const wire::TrialReply& before, const wire::TrialReply& now,
                                       bool is_new) {
    Trying& trying = desk.trying;
    const bool is_same = before.id == now.id && before.image_crc == now.image_crc;
    trying.is_running = is_running(now.phase);
    trying.is_proven = (now.proof & now.proof_needed) == now.proof_needed;
    if (!is_same || before.seconds_left != now.seconds_left || before.phase != now.phase)
        anchor_trial(now.seconds_left);
    const bool was_running = is_same && is_running(before.phase);
    if (trying.is_running && !was_running && is_new) note_run(store::RunKind::trial_began, now.image_crc);
    if (trying.is_running || !was_running) return;
    if (now.phase == TrialPhase::kept) {
        note_run(store::RunKind::kept, now.image_crc);
        done(text(T::desk_kept));
    }
    if (now.phase == TrialPhase::reverted) {
        note_run(store::RunKind::reverted, now.image_crc);
        done(text(T::desk_reverted));
    }
    if (now.phase == TrialPhase::expired) {
        note_run(store::RunKind::trial_ran_out, now.image_crc);
        warn(text(T::desk_trial_ran_out));
    }
}

/// The device rounds up, and its answer is a little late: one second more than is shown is no news.
void DeskKeeper::Inside::anchor_trial(int seconds) {
    if (desk.trying.is_running && seconds == desk.trying.seconds_left + 1) return;
    trial_anchor_s = seconds;
    trial_anchor_us = desk.device_us;
    count_down();
}

void DeskKeeper::Inside::count_down() {
    Trying& trying = desk.trying;
    const std::int64_t passed_s = (desk.device_us - trial_anchor_us) / 1'000'000;
    const std::int64_t left = trying.is_running ? trial_anchor_s - passed_s : 0;
    trying.seconds_left = static_cast<std::uint16_t>(std::clamp<std::int64_t>(left, 0, k_most_trial_s));
}

void DeskKeeper::Inside::note_run(store::RunKind kind, std::uint32_t crc) {
    if (!desk.device.hello) return;
    store::DeviceRun run;
    run.device_serial = device_serial();
    run.image_crc = crc;
    run.kind = kind;
    if (const KnownImage* one = find_known(crc); one != nullptr && one->is_by_name) {
        run.profile = one->entry;
        run.revision = one->revision;
        run.profile_name = one->profile.name;
    }
    const auto note = [run](store::Store& its) -> Result<std::vector<store::DeviceRun>> {
        auto noted = its.note_run(run);
        if (!noted && noted.error().code == Errc::not_found) {  // the profile was removed since
            store::DeviceRun alone = run;
            alone.profile.reset();
            alone.revision.reset();
            noted = its.note_run(alone);
        }
        if (!noted) return noted.failure();
        return its.runs(run.device_serial, k_most_runs);
    };
    const bool is_kept = kind == store::RunKind::kept;
    with_store(
        T::desk_work_save, note,
        [is_kept, revision = run.revision](Inside& in, const Result<std::vector<store::DeviceRun>>& runs) {
            if (!runs) return in.problem(runs.error());
            in.desk.people.runs = *runs;
            if (is_kept && revision) in.desk.people.kept_revisions.insert(*revision);
        });
}

}  // namespace fettle::app
