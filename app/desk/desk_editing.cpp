// The profile on the desk: edits, undo, redo, and what follows from every change.

#include "app/desk/desk_inside.hpp"
#include "app/desk/edit_words.hpp"

namespace fettle::app {

namespace {

/// Edits of one field that follow one another within this are one step. Own choice.
constexpr std::int64_t k_one_step_ms = 2000;

/// Edits that make or take away something stand alone.
bool may_join(const edit::Edit& edit) {
    return std::holds_alternative<edit::SetAction>(edit) ||
           std::holds_alternative<edit::SetModeLabel>(edit) ||
           std::holds_alternative<edit::SetVariantLabel>(edit) ||
           std::holds_alternative<edit::PutRuleSet>(edit) || std::holds_alternative<edit::PutMotion>(edit) ||
           std::holds_alternative<edit::PutRepeat>(edit) || std::holds_alternative<edit::PutText>(edit) ||
           std::holds_alternative<edit::SetPace>(edit);
}

/// What counts and names the profile, not what it does.
bool is_bookkeeping(const profile::Change& change) {
    return change.path == "version" || change.path == "id";
}

std::vector<profile::Change> changes_between(const profile::Profile& a, const profile::Profile& b) {
    auto changes = profile::diff(a, b);
    std::erase_if(changes, is_bookkeeping);
    return changes;
}

/// The same values are touched, none comes or goes whole.
bool touch_the_same(const std::vector<profile::Change>& a, const std::vector<profile::Change>& b) {
    const auto is_same = [](const profile::Change& x, const profile::Change& y) {
        return x.path == y.path && x.kind == profile::ChangeKind::changed &&
               y.kind == profile::ChangeKind::changed;
    };
    return a.size() == b.size() && std::equal(a.begin(), a.end(), b.begin(), is_same);
}

class NoLayout final : public profile::StrokeSource {
public:
    std::optional<std::vector<profile::Stroke>> strokes_for(std::string_view) const override {
        return std::nullopt;
    }
    std::optional<std::string> text_for(profile::Stroke) const override { return std::nullopt; }
};

}  // namespace

const profile::StrokeSource& strokes_of(const Editing& editing) {
    static const NoLayout none;
    if (editing.layout) return *editing.layout;
    return none;
}

bool DeskKeeper::Inside::change(const edit::Edit& edit) {
    Editing& editing = desk.editing;
    auto after = edit::apply(editing.profile, edit);
    if (!after) {
        problem(after.error());
        return false;
    }
    if (*after == editing.profile) return true;
    if (desk.is_on_device() && after->version == editing.profile.version)
        after->version = after->version == 0xFFFF ? 1 : after->version + 1;
    if (!joins_last_step(edit, *after)) {
        settle();
        editing.undo.push_back({edit, editing.profile});
    }
    Editing::Step& step = editing.undo.back();
    step.edit = edit;
    const std::string note = edit_words(edit, step.before, desk.options.language);
    editing.profile = std::move(*after);
    // A number that went up and down again: nothing is left to take back.
    if (changes_between(step.before, editing.profile).empty()) {
        editing.profile = std::move(step.before);
        editing.undo.pop_back();
        group_is_open = false;
    } else {
        group_is_open = true;
    }
    editing.redo.clear();
    saving.is_stepping = false;
    note_change(note);
    look_again();
    return true;
}

bool DeskKeeper::Inside::joins_last_step(const edit::Edit& edit, const profile::Profile& after) const {
    const Editing& editing = desk.editing;
    const bool is_soon = group_is_open && now_ms() - last_edit_ms < k_one_step_ms && !editing.undo.empty();
    if (!is_soon || !may_join(edit) || editing.undo.back().edit.index() != edit.index()) return false;
    return touch_the_same(changes_between(editing.undo.back().before, editing.profile),
                          changes_between(editing.profile, after));
}

void DeskKeeper::Inside::undo() {
    step_to(desk.editing.undo, desk.editing.redo, text(T::edit_undone, desk.undo_words()));
}

void DeskKeeper::Inside::redo() {
    step_to(desk.editing.redo, desk.editing.undo, text(T::edit_redone, desk.redo_words()));
}

void DeskKeeper::Inside::step_to(std::vector<Editing::Step>& from, std::vector<Editing::Step>& to,
                                 std::string note) {
    if (from.empty()) return;
    if (!saving.is_stepping) settle();
    saving.is_stepping = true;
    group_is_open = false;
    Editing::Step step = std::move(from.back());
    from.pop_back();
    std::swap(step.before, desk.editing.profile);
    to.push_back(std::move(step));
    note_change(std::move(note));
    look_again();
}

void DeskKeeper::Inside::look_again() {
    Editing& editing = desk.editing;
    if (!layout_of || *layout_of != editing.profile.keyboard_layout) {
        layout_of = editing.profile.keyboard_layout;
        editing.layout.reset();
        if (auto layout = profile::XkbLayout::load(*layout_of)) editing.layout = std::move(*layout);
    }
    editing.findings = profile::check(editing.profile, editing.layout.get());
    compile_again();
    count_changes();
}

void DeskKeeper::Inside::compile_again() {
    Editing& editing = desk.editing;
    const auto limits = desk.device.hello ? profile::limits_of(*desk.device.hello) : profile::Limits{};
    auto compiled = profile::compile(editing.profile, strokes_of(editing), limits);
    editing.compiled.reset();
    editing.compile_error.reset();
    if (compiled)
        editing.compiled = std::move(*compiled);
    else
        editing.compile_error = compiled.error();
    know_edited();
}

void DeskKeeper::Inside::count_changes() {
    Editing& editing = desk.editing;
    const profile::Profile* from = editing.on_device ? &*editing.on_device : opened ? &*opened : nullptr;
    editing.changes =
        from == nullptr ? std::vector<profile::Change>{} : changes_between(*from, editing.profile);
}

void DeskKeeper::Inside::set_editing(OpenedProfile fresh) {
    Editing& editing = desk.editing;
    editing.profile = std::move(fresh.profile);
    editing.entry.reset();
    latest_revision.reset();
    if (fresh.entry.id != 0) {
        editing.entry = fresh.entry.id;
        latest_revision = fresh.entry.latest_revision;
    }
    editing.undo.clear();
    editing.redo.clear();
    editing.is_foreign = fresh.is_foreign;
    editing.is_saved = true;
    opened = editing.profile;
    saving = {};
    group_is_open = false;
    desk.people.person.reset();
    if (fresh.entry.person != 0) desk.people.person = fresh.entry.person;
    desk.trying.refused.clear();
    desk.trying.needs_texts_seen = false;
    teach_end();
    look_again();
}

}  // namespace fettle::app
