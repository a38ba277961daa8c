#include "app/desk/desk.hpp"

#include "app/desk/desk_inside.hpp"
#include "app/desk/edit_words.hpp"

namespace fettle::app {

namespace {

/// What an order does; those of one kind go to the source of their subject.
struct Taker {
    DeskKeeper::Inside& in;
    void operator()(const edit::Edit& e) const { in.change(e); }
    void operator()(const Ask& a) const { in.ask(a); }
    void operator()(const order::Show& o) const { in.desk.screen = o.screen; }
    void operator()(const order::Undo&) const { in.undo(); }
    void operator()(const order::Redo&) const { in.redo(); }
    void operator()(const order::Save&) const {
        if (in.store == nullptr) return in.warn(in.text(T::desk_nothing_kept));
        in.settle();
        in.done(in.text(T::desk_saved));
    }
    void operator()(const order::SetOptions& o) const {
        const bool is_other_language = in.desk.options.language != o.options.language;
        in.desk.options = o.options;
        if (is_other_language) in.show_running();
        in.save_options();
    }
    void operator()(const order::Try& o) const { in.take_try(o); }
    void operator()(const order::TakeFromDevice&) const { in.take_from_device(); }
    void operator()(const order::TeachBegin& o) const { in.teach_begin(o); }
    void operator()(const order::TeachSkip&) const { in.teach_skip(); }
    void operator()(const order::TeachAccept& o) const { in.teach_accept(o); }
    void operator()(const order::TeachEnd&) const { in.teach_end(); }
    void operator()(const order::RecordBegin& o) const { in.record_begin(o); }
    void operator()(const order::RecordEnd&) const { in.record_end(); }
    void operator()(const order::RecordSave& o) const { in.record_save(o); }
    void operator()(const order::RecordOpen& o) const { in.record_open(o); }
    void operator()(const order::RecordClose&) const {
        auto& recording = in.desk.recording;
        (recording.opened ? recording.opened : recording.done).reset();
    }
    void operator()(const order::RecordRename& o) const { in.record_rename(o); }
    void operator()(const order::RecordRemove& o) const { in.record_remove(o); }
    void operator()(const order::RecordExport& o) const { in.record_export(o); }
    void operator()(const order::RoomTestBegin&) const { in.room_test_begin(); }
    void operator()(const order::RoomTestEnd&) const { in.room_test_end(); }
    void operator()(const order::AddPerson& o) const { in.add_person(o); }
    void operator()(const order::RenamePerson& o) const { in.rename_person(o); }
    void operator()(const order::RemovePerson& o) const { in.remove_person(o); }
    void operator()(const order::OpenProfile& o) const { in.open_profile(o.id); }
    void operator()(const order::NewProfile& o) const { in.new_profile(o); }
    void operator()(const order::CopyProfile& o) const { in.copy_profile(o); }
    void operator()(const order::RenameProfile& o) const { in.rename_profile(o); }
    void operator()(const order::RemoveProfile& o) const { in.remove_profile(o); }
    void operator()(const order::CompareWith& o) const { in.compare_with(o.id); }
    void operator()(const order::RestoreRevision& o) const { in.restore_revision(o.revision); }
    void operator()(const order::ImportLook& o) const { in.import_look(o); }
    void operator()(const order::ImportAccept&) const { in.import_accept(); }
    void operator()(const order::ImportForget&) const {
        in.desk.people.looked_at.reset();
        in.desk.people.looked_at_path.clear();
    }
    void operator()(const order::ExportProfile& o) const { in.export_profile(o); }
    void operator()(const order::ExportPerson& o) const { in.export_person(o); }
    void operator()(const order::ForgetNotice&) const { in.desk.notice.reset(); }
};

/// Orders that do not wait until the store has said what was open last.
bool is_at_once(const Order& order) {
    return std::holds_alternative<Ask>(order) || std::holds_alternative<order::Show>(order) ||
           std::holds_alternative<order::ForgetNotice>(order);
}

}  // namespace

bool Desk::is_on_device() const {
    const bool is_live = device.state == LinkState::live || device.state == LinkState::stale;
    return is_live && device.hello && editing.compiled && editing.compiled->crc == device.hello->image_crc;
}

std::string Desk::undo_words() const {
    if (editing.undo.empty()) return {};
    const auto& step = editing.undo.back();
    return edit_words(step.edit, step.before, options.language);
}

std::string Desk::redo_words() const {
    if (editing.redo.empty()) return {};
    return edit_words(editing.redo.back().edit, editing.profile, options.language);
}

DeskKeeper::Inside::Inside(Desk& its_desk, Station& its_station, Worker& its_worker, store::Store* its_store,
                           const Clock& its_clock, std::vector<std::string> folders)
    : desk(its_desk),
      station(its_station),
      worker(its_worker),
      store(its_store),
      clock(its_clock),
      asset_folders(std::move(folders)) {
    forget_levels();
}

void DeskKeeper::Inside::take(Order order) {
    if (!is_started && !is_at_once(order)) return waiting.push_back(std::move(order));
    std::visit(Taker{*this}, order);
}

void DeskKeeper::Inside::refresh() {
    worker.deliver();
    while (is_started && !waiting.empty()) {
        const Order order = std::move(waiting.front());
        waiting.pop_front();
        std::visit(Taker{*this}, order);
    }
    fetch_device();
    hear();
    hear_told();
    count_down();
    if (desk.room_test.is_on && desk.device_us >= desk.room_test.to_us) room_test_end();
    copy_on();
    save_after_pause();
    desk.working = worker.running();
}

DeskKeeper::DeskKeeper(Station& station, Worker& worker, store::Store* store, const Clock& clock,
                       std::vector<std::string> asset_folders, std::string data_folder)
    : inside_(std::make_shared<Inside>(desk_, station, worker, store, clock, std::move(asset_folders))) {
    desk_.data_folder = std::move(data_folder);
    inside_->start();
}

DeskKeeper::~DeskKeeper() {
    inside_->settle();
}

void DeskKeeper::take(Order order) {
    inside_->take(std::move(order));
}

void DeskKeeper::refresh() {
    inside_->refresh();
}

}  // namespace fettle::app
