// What a start finds in the storage: which slot counts, and how often all this was done before.

#include "core/wire/crc.hpp"
#include "core/wire/slots.hpp"

namespace fettle {
namespace wire {

using engine::get16;

namespace {

constexpr uint8_t k_no_slot = 0xFE;
constexpr uint8_t k_patience = 250;  // steps; two whole slots take 70

uint32_t get24(const uint8_t* from) {
    return get16(from) | static_cast<uint32_t>(from[2]) << 16;
}

}  // namespace

uint8_t next_commit(uint8_t commit) {
    return commit == k_commit_last || !is_commit(commit) ? uint8_t{1} : static_cast<uint8_t>(commit + 1u);
}

bool is_newer(uint8_t a, uint8_t b) {
    const int ahead = a >= b ? a - b : a - b + k_commit_last;
    return ahead != 0 && ahead <= k_commit_last / 2;
}

void Slots::start(const Eeprom& eeprom) {
    memset(this, 0, sizeof *this);
    eeprom_ = eeprom;
    for (uint8_t slot = 0; slot < k_slots; ++slot)
        views_[slot] = View{&eeprom_, static_cast<uint16_t>(k_slots_at + slot * k_slot_bytes)};
    current_ = k_slot_built_in;
    candidate_ = k_no_slot;
    work_ = Work::find;
}

void Slots::find() {
    // A storage that does not answer must not leave a person without any profile.
    if (++index_ == k_patience) return decide(k_slot_built_in);
    if (!has_heads_) {
        has_heads_ = read_heads() && read_journal();
        return;
    }
    if (candidate_ == k_no_slot)
        choose();
    else
        look_at_candidate();
}

bool Slots::read_heads() {
    marks_ = 0;
    for (uint8_t slot = 0; slot < k_slots; ++slot) {
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
    uint32_t most = 0;
    record_ = 0;
    for (uint8_t i = 0; i < k_journal_records; ++i) {
        uint8_t raw[k_journal_bytes];
        if (!read(static_cast<uint16_t>(k_journal_at + i * k_journal_bytes), raw, sizeof raw)) return false;
        const uint16_t check = crc16(raw, k_journal_bytes - 1);
        if (raw[k_journal_bytes - 1] != (check & 0xFFu)) continue;
        const uint32_t starts = get24(raw), wear0 = get24(raw + 3), wear1 = get24(raw + 6);
        if (starts + wear0 + wear1 < most) continue;
        most = starts + wear0 + wear1;
        starts_ = starts;
        wear_[0] = wear0;
        wear_[1] = wear1;
        record_ = static_cast<uint8_t>((i + 1) % k_journal_records);
    }
    if (starts_ < 0xFFFFFF) ++starts_;
    journal_due_ = true;
    return true;
}

void Slots::choose() {
    const bool first = is_commit(commits_[0]), second = is_commit(commits_[1]);
    if (newest_ == 0 && first && second) newest_ = commits_[is_newer(commits_[0], commits_[1]) ? 0 : 1];
    if (newest_ == 0 && first != second) newest_ = commits_[first ? 0 : 1];
    if (!first && !second) return decide(k_slot_built_in);
    candidate_ = first && (!second || is_newer(commits_[0], commits_[1])) ? 0 : 1;
    walk_ = CrcWalk{0, 0, false};
    ImageHeader header;
    const ImageFault fault = read_header(storage(candidate_), k_slot_bytes, header);
    image_size_ = header.size;
    image_crc_ = header.crc;
    if (fault == ImageFault::none) return;
    if (fault != ImageFault::busy) commits_[candidate_] = k_commit_none;
    candidate_ = k_no_slot;
}

void Slots::look_at_candidate() {
    ImageHeader header = {};
    header.size = image_size_;
    if (!crc_step(storage(candidate_), header, walk_, k_step_bytes) || !walk_.done) return;
    ImageVerdict verdict = {ImageFault::crc, 0};
    if (walk_.crc == image_crc_) verdict = wire::check(storage(candidate_), k_slot_bytes);
    if (verdict.fault == ImageFault::busy) return;
    if (verdict.fault == ImageFault::none) return decide(candidate_);
    commits_[candidate_] = k_commit_none;
    candidate_ = k_no_slot;
}

void Slots::decide(uint8_t slot) {
    current_ = slot;
    candidate_ = 0;
    index_ = 0;
    is_ready_ = true;
    work_ = marks_ != 0 ? Work::settle : Work::none;
}

/// A marked commit byte may be torn. It is written as it was read and decided on; a torn one reads the same
/// from then on.
void Slots::settle() {
    const uint8_t bit = static_cast<uint8_t>(1u << candidate_);
    if ((marks_ & bit) != 0) {
        const Put commit =
            index_ == 0 ? put_byte(head(candidate_), commits_[candidate_], true, is_begun_) : Put::done;
        if (commit == Put::wait) return;
        if (index_ == 0) wear_one(candidate_);
        index_ = 1;
        if (put_byte(static_cast<uint16_t>(head(candidate_) + 2u), k_no_mark, false, is_begun_) == Put::wait)
            return;
        marks_ = static_cast<uint8_t>(marks_ & ~bit);
    }
    index_ = 0;
    if (++candidate_ < k_slots) return;
    work_ = Work::none;
}

}  // namespace wire
}  // namespace fettle
