#include "core/wire/slots.hpp"

#include "core/wire/crc.hpp"

namespace fettle {
namespace wire {

namespace {

constexpr uint8_t k_key_at = 1;
constexpr uint8_t k_mark_at = 2;

}  // namespace

bool Slots::read_view(void* owner, uint16_t offset, uint8_t* to, uint8_t count) {
    const View* view = static_cast<const View*>(owner);
    if (offset > k_slot_bytes || count > k_slot_bytes - offset) return false;
    return view->eeprom->read(view->eeprom->owner, static_cast<uint16_t>(view->base + offset), to, count);
}

FETTLE_SHARED engine::Storage Slots::storage(uint8_t slot) {
    if (slot >= k_slots) return built_in_storage();
    return engine::Storage{&views_[slot], read_view};
}

FETTLE_SHARED bool Slots::read(uint16_t at, uint8_t* to, uint8_t count) {
    return eeprom_.read(eeprom_.owner, at, to, count);
}

bool Slots::is_idle() const {
    return work_ == Work::none && !journal_due_;
}

void Slots::ask(Work work) {
    work_ = work;
    outcome_ = SlotOutcome::working;
    slot_ = spare();
    index_ = 0;
    is_begun_ = false;
}

void Slots::finish(SlotOutcome outcome) {
    work_ = Work::none;
    outcome_ = outcome;
}

void Slots::count_up(uint8_t* counter) {
    for (uint8_t i = 0; i < k_counter_bytes; ++i)
        if (++counter[i] != 0) return;
}

void Slots::wear_one(uint8_t slot) {
    count_up(journal_ + (slot == 0 ? k_counter_bytes : 2 * k_counter_bytes));
    journal_due_ = true;
    record_index_ = 0;  // a record that was begun is begun anew: its check covers the numbers of one moment
}

uint32_t Slots::wear() const {
    uint32_t most = 0;
    for (uint8_t slot = 0; slot < k_slots; ++slot) {
        const uint8_t* counter = journal_ + k_counter_bytes + slot * k_counter_bytes;
        const uint32_t writes = engine::get16(counter) | static_cast<uint32_t>(counter[2]) << 16;
        if (writes > most) most = writes;
    }
    return most;
}

void Slots::begin(uint16_t image_size, uint32_t image_crc) {
    if (is_open_ && image_size == image_size_ && image_crc == image_crc_) {
        outcome_ = SlotOutcome::done;
        return;
    }
    is_open_ = true;
    image_size_ = image_size;
    image_crc_ = image_crc;
    filled_ = 0;
    ask(Work::invalidate);
}

bool Slots::write(uint16_t offset, const uint8_t* bytes, uint8_t count) {
    if (!is_open_ || offset > filled_ || count > image_size_ - offset) return false;
    memcpy(block_, bytes, count);
    count_ = count;
    const uint16_t end = static_cast<uint16_t>(offset + count);
    is_again_ = offset < filled_;
    if (end > filled_) filled_ = end;
    ask(Work::block);
    at_ = static_cast<uint16_t>(views_[slot_].base + offset);
    return true;
}

bool Slots::check(uint32_t image_crc) {
    if (!is_open_ || image_crc != image_crc_ || filled_ != image_size_) return false;
    memset(&walk_, 0, sizeof walk_);
    ask(Work::look);
    return true;
}

void Slots::commit() {
    is_open_ = false;
    ask(Work::mark);
}

void Slots::step() {
    if (work_ == Work::none) {
        if (journal_due_) write_journal();
    } else if (work_ == Work::find) {
        find();
    } else if (work_ == Work::block) {
        write_block();
    } else if (work_ == Work::look) {
        look_at_push();
    } else {
        write_head();
    }
}

/// One byte of a slot's head.
void Slots::write_head() {
    uint8_t at = 0, byte = k_commit_none;  // invalidate
    if (work_ == Work::mark) byte = k_mark;
    if (work_ == Work::rewrite) byte = commits_[slot_];
    if (work_ == Work::key || work_ == Work::commit) byte = next_commit(newest_);
    if (work_ == Work::key) {
        at = k_key_at;
        byte = commit_key(byte);
    }
    if (work_ == Work::mark || work_ == Work::unmark || work_ == Work::clear) at = k_mark_at;
    static_assert(k_no_mark == k_commit_none, "what is not there reads as an empty cell");
    const Put put = put_byte(static_cast<uint16_t>(head(slot_) + at), byte, at == 0);
    if (put == Put::wait) return;
    if (at == 0) wear_one(slot_);
    wrote_head(put);
}

/// A mark that cannot be taken away only means one more rewrite at the next start.
void Slots::wrote_head(Put put) {
    if (work_ == Work::clear) return rewrite_next();
    if (work_ == Work::unmark) {
        current_ = slot_;
        newest_ = commits_[slot_] = next_commit(newest_);
        return finish(SlotOutcome::done);
    }
    if (work_ != Work::rewrite) commits_[slot_] = k_commit_none;
    if (put == Put::bad && work_ != Work::rewrite) return finish(SlotOutcome::verify);
    if (work_ == Work::invalidate) return finish(SlotOutcome::done);
    work_ = static_cast<Work>(static_cast<uint8_t>(work_) + 1);
}

/// Only bytes that differ are written: a cell lives for some 100,000 writes.
void Slots::write_block() {
    for (uint8_t looked_at = 0; looked_at < k_step_bytes; ++looked_at) {
        if (index_ == count_) return finish(SlotOutcome::done);
        const Put put = put_byte(static_cast<uint16_t>(at_ + index_), block_[index_], false);
        if (put == Put::wait) {
            // A host that sends other bytes for a place it had filled wears that cell once more than counted.
            if (is_begun_ && is_again_) {
                wear_one(slot_);
                is_again_ = false;
            }
            return;
        }
        if (put == Put::bad) return finish(SlotOutcome::verify);
        ++index_;
    }
}

/// One step of looking whether a slot's image is whole. size: what it must have, 0: any.
SlotOutcome Slots::look(uint8_t slot, uint16_t size) {
    const engine::Storage image = storage(slot);
    ImageHeader header;
    verdict_.tag = 0;
    verdict_.fault = read_header(image, k_slot_bytes, header);
    if (verdict_.fault == ImageFault::none && size != 0 && header.size != size)
        verdict_.fault = ImageFault::size;
    if (verdict_.fault == ImageFault::none) {
        if (!walk_.done) {
            crc_step(image, header, walk_, k_step_bytes);
            return SlotOutcome::working;
        }
        if (walk_.crc == header.crc)
            verdict_ = wire::check(image, k_slot_bytes);
        else
            verdict_.fault = ImageFault::crc;
    }
    if (verdict_.fault == ImageFault::busy) return SlotOutcome::working;
    return verdict_.fault == ImageFault::none ? SlotOutcome::done : SlotOutcome::bad_image;
}

void Slots::look_at_push() {
    const SlotOutcome outcome = look(slot_, image_size_);
    if (outcome == SlotOutcome::working) return;
    finish(outcome);
    if (outcome != SlotOutcome::done || walk_.crc == image_crc_) return;
    verdict_.fault = ImageFault::crc;
    outcome_ = SlotOutcome::bad_image;
}

Slots::Put Slots::put_byte(uint16_t at, uint8_t byte, bool always) {
    uint8_t there = 0;
    if (!read(at, &there, 1)) return Put::wait;
    const bool is_same = there == byte;
    if (is_begun_) {
        is_begun_ = false;
        return is_same ? Put::done : Put::bad;
    }
    if (!always && is_same) return Put::done;
    is_begun_ = eeprom_.write(eeprom_.owner, at, byte);
    return Put::wait;
}

void Slots::write_journal() {
    uint8_t byte = static_cast<uint8_t>(crc16(journal_, sizeof journal_) & 0xFFu);
    if (record_index_ < sizeof journal_) byte = journal_[record_index_];
    const uint8_t at = static_cast<uint8_t>(k_journal_at + record_ * k_journal_bytes + record_index_);
    if (put_byte(at, byte, false) == Put::wait) return;
    if (++record_index_ < k_journal_bytes) return;
    record_index_ = 0;
    if (++record_ == k_journal_records) record_ = 0;
    journal_due_ = false;
}

}  // namespace wire
}  // namespace fettle
