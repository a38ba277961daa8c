// Nothing that was edited is lost: a draft at once, a revision at each pause.
//
//              | an edit, undo, redo      | 2 s without | Save, Try, another profile | saved         | failed
//  all saved   | draft -> not saved       | -           | -                          | bug           | bug
//  not saved   | same field: draft        | revision    | revision                   | all saved, if | stays;
//  the
//              | another: revision, draft |             |                            | still newest  | next
//              asks

#include "app/desk/desk_inside.hpp"
#include "core/profile/document.hpp"

namespace fettle::app {

namespace {

constexpr std::int64_t k_pause_ms = 2000;  // own choice: the same as one step of undo

}  // namespace

std::string draft_key(std::int64_t profile) {
    return "draft." + std::to_string(profile);
}

void DeskKeeper::Inside::note_change(std::string note, store::RevisionKind kind) {
    ++saving.generation;
    saving.note = std::move(note);
    saving.kind = kind;
    last_edit_ms = now_ms();
    if (store == nullptr || !desk.editing.entry) return;
    desk.editing.is_saved = false;
    save_draft();
}

void DeskKeeper::Inside::save_draft() {
    if (saving.draft_on_way || !desk.editing.entry) return;
    const std::string document = profile::write(desk.editing.profile);
    if (document.size() > store::k_setting_most_bytes) return settle();
    saving.draft_on_way = true;
    const std::uint64_t generation = saving.generation;
    const std::int64_t entry = *desk.editing.entry;
    const auto write = [key = draft_key(entry), document](store::Store& its) {
        return its.set_setting(key, document);
    };
    with_store(T::desk_work_save, write, [generation, entry](Inside& in, const Status& written) {
        if (in.desk.editing.entry != entry) return;
        in.saving.draft_on_way = false;
        in.saving.drafted = generation;
        if (!written) in.problem(written.error());
        if (in.saving.generation != generation && in.saving.generation > in.saving.posted) in.save_draft();
    });
}

void DeskKeeper::Inside::settle() {
    group_is_open = false;
    if (store == nullptr || !desk.editing.entry || saving.generation == saving.posted) return;
    saving.posted = saving.generation;
    const std::uint64_t generation = saving.generation;
    const std::int64_t entry = *desk.editing.entry;
    std::string note = saving.note;
    if (note.size() > store::k_note_most_bytes) note.clear();
    const auto save = [entry, note, kind = saving.kind,
                       document = desk.editing.profile](store::Store& its) -> Result<store::Saved> {
        auto saved = its.save(entry, document, kind, note);
        if (!saved) return saved;
        if (auto forgotten = its.forget_setting(draft_key(entry)); !forgotten) return forgotten.failure();
        return saved;
    };
    with_store(
        T::desk_work_save, save,
        [generation, entry, document = desk.editing.profile](Inside& in, const Result<store::Saved>& saved) {
            if (!saved) in.problem(saved.error());
            for (KnownImage& one : in.known)
                if (saved && one.entry == entry && one.profile == document) one.revision = saved->revision.id;
            if (in.desk.editing.entry != entry) return;
            if (!saved) {
                in.saving.posted =
                    in.saving.saved;  // asked again by Save, or at the pause after the next edit
                in.saving.failed = generation;
                return;
            }
            in.saving.saved = generation;
            in.desk.editing.is_saved = in.saving.generation == generation;
            in.latest_revision = saved->revision.id;
            in.read_people();
        });
}

void DeskKeeper::Inside::save_after_pause() {
    if (desk.editing.is_saved || now_ms() - last_edit_ms < k_pause_ms) return;
    if (saving.failed != saving.generation) settle();
}

}  // namespace fettle::app
