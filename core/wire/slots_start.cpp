// What a start finds in the storage: which slot counts, and how often all this was done before.

#include "core/wire/crc.hpp"
#include "core/wire/slots.hpp"

namespace fettle {
namespace wire {

namespace {

constexpr uint8_t k_no_slot = 0xFE;
constexpr uint8_t k_patience = 250;  // steps; two whole slots take 70

}  // namespace

uint8_t next_commit(uint8_t commit) {
    return commit == k_commit_last || !is_commit(commit) ? uint8_t{1} : static_cast<uint8_t>(commit + 1u);
}

bool is_newer(uint8_t a, uint8_t b) {
    const uint8_t ahead = static_cast<uint8_t>(a >= b ? a - b : a - b + k_commit_last);
    return ahead != 0 && ahead <= k_commit_last / 2;
}

void Slots::start(const Eeprom& eeprom) {
    memset(this, 0, sizeof *this);
    eeprom_ = eeprom;
    for (uint8_t slot = 0; slot < k_slots; ++slot)
        views_[slot] = View{&eeprom_, static_cast<uint16_t>(k_slots_at + slot * k_slot_bytes)};
    current_ = k_slot_built_in;
    slot_ = k_no_slot;
    work_ = Work::find;
}

void Slots::find() {
    // A storage that does not answer must not leave a person without any profile.
    if (++index_ == k_patience) return decide(k_slot_built_in);
    if (!has_heads_) {
        has_heads_ = read_heads() && read_journal();
        return;
    }
    if (slot_ == k_no_slot) return choose();
    const SlotOutcome outcome = look(slot_, 0);
    if (outcome == SlotOutcome::working) return;
    if (outcome == SlotOutcome::done) return decide(slot_);
    commits_[slot_] = k_commit_none;
    slot_ = k_no_slot;
}

bool Slots::read_heads() {
    marks_ = 0;
    for (uint8_t slot = k_slots; slot-- != 0;) {
        uint8_t raw[k_head_bytes];
        if (!read(head(slot), raw, sizeof raw)) return false;
        const bool counts = is_commit(raw[0]) && raw[1] == commit_key(raw[0]);
        commits_[slot] = counts ? raw[0] : k_commit_none;
        if (raw[2] != k_no_mark) marks_ = static_cast<uint8_t>(marks_ | 1u << slot);
    }
    return true;
}

/// The last record is the one with the largest counters: none of them ever goes back.
bool Slots::read_journal() {
    uint8_t raw[k_journal_bytes];
    for (uint8_t i = 0; i < k_journal_records;) {
        if (!read(static_cast<uint8_t>(k_journal_at + i * k_journal_bytes), raw, sizeof raw)) return false;
        ++i;
        if (raw[sizeof journal_] != (crc16(raw, sizeof journal_) & 0xFFu)) continue;
        uint8_t at = sizeof journal_ - 1;  // the highest byte first
        while (at != 0 && raw[at] == journal_[at]) --at;
        if (raw[at] < journal_[at]) continue;
        memcpy(journal_, raw, sizeof journal_);
        record_ = i == k_journal_records ? uint8_t{0} : i;
    }
    count_up(journal_);
    journal_due_ = true;
    return true;
}

void Slots::choose() {
    const bool first = is_commit(commits_[0]), second = is_commit(commits_[1]);
    const uint8_t slot = first && (!second || is_newer(commits_[0], commits_[1])) ? 0 : 1;
    if (newest_ == 0) newest_ = commits_[slot];
    if (!first && !second) return decide(k_slot_built_in);
    slot_ = slot;
    memset(&walk_, 0, sizeof walk_);
}

void Slots::decide(uint8_t slot) {
    current_ = slot;
    is_ready_ = true;
    rewrite_next();
}

/// A marked commit byte may be torn. It is written as it was read and decided on; a torn one reads the same
/// from then on.
void Slots::rewrite_next() {
    work_ = Work::none;
    for (uint8_t slot = 0; slot < k_slots; ++slot) {
        const uint8_t bit = static_cast<uint8_t>(1u << slot);
        if ((marks_ & bit) == 0) continue;
        marks_ = static_cast<uint8_t>(marks_ & ~bit);
        slot_ = slot;
        work_ = Work::rewrite;
        return;
    }
}

}  // namespace wire
}  // namespace fettle
