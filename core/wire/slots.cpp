#include "core/wire/slots.hpp"

#include "core/wire/crc.hpp"

namespace fettle {
namespace wire {

using engine::put16;

namespace {

constexpr uint8_t k_key_at = 1;
constexpr uint8_t k_mark_at = 2;

void put24(uint8_t* to, uint32_t value) {
    put16(to, static_cast<uint16_t>(value & 0xFFFFu));
    to[2] = static_cast<uint8_t>(value >> 16);
}

}  // namespace

bool Slots::read_view(void* owner, uint16_t offset, uint8_t* to, uint8_t count) {
    const View* view = static_cast<const View*>(owner);
    if (offset > k_slot_bytes || count > k_slot_bytes - offset) return false;
    return view->eeprom->read(view->eeprom->owner, static_cast<uint16_t>(view->base + offset), to, count);
}

engine::Storage Slots::storage(uint8_t slot) {
    if (slot >= k_slots) return built_in_storage();
    return engine::Storage{&views_[slot], read_view};
}

bool Slots::is_idle() const {
    return work_ == Work::none && !journal_due_;
}

void Slots::ask(Work work) {
    work_ = work;
    outcome_ = SlotOutcome::working;
    index_ = 0;
    is_begun_ = false;
}

void Slots::finish(SlotOutcome outcome) {
    work_ = Work::none;
    outcome_ = outcome;
}

void Slots::wear_one(uint8_t slot) {
    if (wear_[slot] < 0xFFFFFF) ++wear_[slot];
    journal_due_ = true;
    record_index_ = 0;  // a record that was begun is begun anew: its check covers the numbers of one moment
    is_journal_begun_ = false;
}

void Slots::begin(uint16_t image_size, uint32_t image_crc) {
    if (is_open_for(image_size, image_crc)) {
        outcome_ = SlotOutcome::done;
        return;
    }
    is_open_ = true;
    image_size_ = image_size;
    image_crc_ = image_crc;
    filled_ = 0;
    ask(Work::invalidate);
}

bool Slots::write(uint32_t offset, const uint8_t* bytes, uint8_t count) {
    if (!is_open_ || offset > filled_ || count > image_size_ - offset) return false;
    memcpy(block_, bytes, count);
    at_ = static_cast<uint16_t>(views_[spare()].base + offset);
    count_ = count;
    const uint16_t end = static_cast<uint16_t>(offset + count);
    is_again_ = offset < filled_;
    if (end > filled_) filled_ = end;
    ask(Work::block);
    return true;
}

bool Slots::check(uint32_t image_crc) {
    if (!is_open_ || image_crc != image_crc_ || filled_ != image_size_) return false;
    walk_ = CrcWalk{0, 0, false};
    ask(Work::crc);
    return true;
}

void Slots::commit() {
    is_open_ = false;
    ask(Work::mark);
}

void Slots::step() {
    if (work_ != Work::none)
        work_on();
    else if (journal_due_)
        write_journal();
}

void Slots::work_on() {
    const uint8_t next = next_commit(newest_);
    switch (work_) {
        case Work::none: break;
        case Work::find: find(); break;
        case Work::settle: settle(); break;
        case Work::invalidate: write_head(0, k_commit_none, true, Work::none); break;
        case Work::block: write_block(); break;
        case Work::crc: check_crc(); break;
        case Work::records:
            verdict_ = wire::check(storage(spare()), k_slot_bytes);
            if (verdict_.fault == ImageFault::busy) break;
            finish(verdict_.fault == ImageFault::none ? SlotOutcome::done : SlotOutcome::bad_image);
            break;
        case Work::mark: write_head(k_mark_at, k_mark, false, Work::key); break;
        case Work::key: write_head(k_key_at, commit_key(next), false, Work::commit); break;
        case Work::commit: write_head(0, next, true, Work::unmark); break;
        case Work::unmark: unmark(next); break;
    }
}

/// The commit byte stands already: a mark that cannot be taken away only means one more rewrite at the next
/// start.
void Slots::unmark(uint8_t commit) {
    const uint8_t slot = spare();
    if (put_byte(static_cast<uint16_t>(head(slot) + k_mark_at), k_no_mark, false, is_begun_) == Put::wait)
        return;
    commits_[slot] = newest_ = commit;
    current_ = slot;
    finish(SlotOutcome::done);
}

/// Writes one byte of the spare's head, then goes on with `next`.
void Slots::write_head(uint8_t at, uint8_t byte, bool always, Work next) {
    const uint8_t slot = spare();
    const Put put = put_byte(static_cast<uint16_t>(head(slot) + at), byte, always, is_begun_);
    if (put == Put::wait) return;
    if (at == 0) {
        wear_one(slot);
        commits_[slot] = k_commit_none;
    }
    if (put == Put::bad) return finish(SlotOutcome::verify);
    if (next == Work::none) return finish(SlotOutcome::done);
    work_ = next;
}

/// Only bytes that differ are written: a cell lives for some 100,000 writes.
void Slots::write_block() {
    for (uint8_t looked_at = 0; looked_at < k_step_bytes; ++looked_at) {
        if (index_ == count_) return finish(SlotOutcome::done);
        const Put put = put_byte(static_cast<uint16_t>(at_ + index_), block_[index_], false, is_begun_);
        if (put == Put::wait) {
            // A host that sends other bytes for a place it had filled wears that cell once more than counted.
            if (is_begun_ && is_again_) {
                wear_one(spare());
                is_again_ = false;
            }
            return;
        }
        if (put == Put::bad) return finish(SlotOutcome::verify);
        ++index_;
    }
}

void Slots::check_crc() {
    ImageHeader header;
    const ImageFault fault = read_header(storage(spare()), k_slot_bytes, header);
    if (fault == ImageFault::busy) return;
    verdict_ = ImageVerdict{fault, 0};
    if (fault == ImageFault::none && header.size != image_size_) verdict_.fault = ImageFault::size;
    if (verdict_.fault != ImageFault::none) return finish(SlotOutcome::bad_image);
    if (!crc_step(storage(spare()), header, walk_, k_step_bytes) || !walk_.done) return;
    if (walk_.crc == header.crc && walk_.crc == image_crc_) {
        work_ = Work::records;
        return;
    }
    verdict_.fault = ImageFault::crc;
    finish(SlotOutcome::bad_image);
}

Slots::Put Slots::put_byte(uint16_t at, uint8_t byte, bool always, bool& is_begun) {
    uint8_t there = 0;
    if (!read(at, &there, 1)) return Put::wait;
    if (is_begun) {
        is_begun = false;
        return there == byte ? Put::done : Put::bad;
    }
    if (!always && there == byte) return Put::done;
    is_begun = eeprom_.write(eeprom_.owner, at, byte);
    return Put::wait;
}

void Slots::write_journal() {
    uint8_t record[k_journal_bytes];
    put24(record, starts_);
    put24(record + 3, wear_[0]);
    put24(record + 6, wear_[1]);
    record[k_journal_bytes - 1] = static_cast<uint8_t>(crc16(record, k_journal_bytes - 1) & 0xFFu);
    const uint16_t at = static_cast<uint16_t>(k_journal_at + record_ * k_journal_bytes + record_index_);
    if (put_byte(at, record[record_index_], false, is_journal_begun_) == Put::wait) return;
    if (++record_index_ < k_journal_bytes) return;
    record_index_ = 0;
    record_ = static_cast<uint8_t>((record_ + 1) % k_journal_records);
    journal_due_ = false;
}

}  // namespace wire
}  // namespace fettle
