#pragma once
// Profiles in the storage, and everything that writes there: one byte at a time, one step a tick, never
// waited for.
//
// Layout, 1,024 bytes:
//    0  commit byte of slot 0: 1 to 254 in turn, the newer one wins (254 is followed by 1); 0 and 0xFF: none
//    1  key of slot 0: the commit byte's complement
//    2  mark of slot 0: 0xFF, or anything else while the commit byte is being written
//    3  to 5  the same of slot 1
//    6  journal: five records of 10 bytes, written in turn so that no cell wears fast: starts u24, writes of
//       commit byte 0 u24, of commit byte 1 u24, check
//   64  slot 0, 480 bytes          544  slot 1, 480 bytes
//
// A slot counts when its commit byte is one, its key fits, and its image is whole. A push first makes the
// spare's commit byte 0xFF. Keep writes mark, key, then the commit byte, and takes the mark away.
//
// A byte whose write was cut may read as anything, now this, now that. Because of the key no such reading
// makes a slot count that did not before or will not after. Where a mark tells of a cut, start rewrites the
// commit byte as it decided, so that it reads the same the next time; without a mark it writes none of them,
// because a cut during that write could lose a profile that was safe.

#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

/// The storage of the board: 1,024 bytes on the ATmega32U4 (two slots of 480 bytes, 64 bytes of headers).
struct Eeprom {
    void* owner;
    /// False while a write is under way (3.4 ms a byte on the board): ask again in a later tick.
    bool (*read)(void* owner, uint16_t at, uint8_t* to, uint8_t count);
    /// Begins to write one byte. False while the one before is under way.
    bool (*write)(void* owner, uint16_t at, uint8_t byte);
    bool (*is_busy)(void* owner);
};
constexpr uint16_t k_eeprom_bytes = 1024;
constexpr uint16_t k_slot_bytes = 480;
constexpr uint8_t k_slots = 2;
constexpr uint16_t k_slots_at = 64;
constexpr uint8_t k_head_bytes = 3;  ///< commit byte, key, mark
constexpr uint8_t k_journal_at = k_slots * k_head_bytes;
constexpr uint8_t k_journal_records = 5;
constexpr uint8_t k_journal_bytes = 10;
constexpr uint8_t k_commit_none = 0xFF;
constexpr uint8_t k_commit_last = 254;
constexpr uint8_t k_step_bytes = 16;  ///< read or looked at in one step
constexpr uint8_t k_no_mark = 0xFF;
constexpr uint8_t k_mark = 0x00;

inline bool is_commit(uint8_t byte) {
    return byte != 0 && byte != k_commit_none;
}
inline uint8_t commit_key(uint8_t commit) {
    return static_cast<uint8_t>(~commit);
}
/// The one that follows.
uint8_t next_commit(uint8_t commit);
/// Of two different commit bytes: is `a` the later one?
bool is_newer(uint8_t a, uint8_t b);

enum class SlotOutcome : uint8_t {
    idle,       ///< nothing was asked
    working,    ///< ask again after the next step()
    done,       ///<
    verify,     ///< the storage gave back other bytes than were written
    bad_image,  ///< verdict() says what
};

class Slots {
public:
    /// Begins to read; nothing is decided until is_ready().
    void start(const Eeprom& eeprom);
    bool is_ready() const { return is_ready_; }
    /// The slot that counts, k_slot_built_in: none.
    uint8_t current() const { return current_; }
    uint8_t spare() const { return current_ == 0 ? 1 : 0; }
    /// A slot's bytes as an image storage. Any other number: the built-in profile.
    engine::Storage storage(uint8_t slot);
    static uint16_t room(uint8_t slot) { return slot < k_slots ? k_slot_bytes : k_built_in_image_bytes; }

    /// One step of whatever is to be done: at most one byte is begun, at most 16 are read.
    void step();
    /// True when no work is under way that a push, a keep or a read would have to wait for.
    bool can_begin() const { return work_ == Work::none; }
    /// Nothing is being written or waits to be.
    bool is_idle() const;
    /// True while the storage cannot be read.
    bool is_blocked() const { return eeprom_.is_busy(eeprom_.owner); }

    // --- a push. Each of these begins work; outcome() tells when it is over, and end_work() takes note of
    // it.
    /// Opens a push (image_size: 20 to 480): the spare counts no more. The same one again goes on where it
    /// was.
    void begin(uint16_t image_size, uint32_t image_crc);
    bool is_open() const { return is_open_; }
    /// False: out of order (no push, a gap before offset, or past the image's end).
    bool write(uint16_t offset, const uint8_t* bytes, uint8_t count);
    /// False: out of order (no push, or not every byte was there).
    bool check(uint32_t image_crc);
    /// The spare becomes current.
    void commit();
    SlotOutcome outcome() const { return outcome_; }
    ImageVerdict verdict() const { return verdict_; }
    void end_work() { outcome_ = SlotOutcome::idle; }
    void close() { is_open_ = false; }

    /// Starts ever, up to 255.
    uint8_t starts() const { return (journal_[1] | journal_[2]) != 0 ? uint8_t{255} : journal_[0]; }
    /// Writes of the most written cell, ever (as the journal knows).
    uint32_t wear() const;

private:
    enum class Work : uint8_t {
        none,
        find,        ///< start: which slot counts
        block,       ///< push: bytes of the image
        look,        ///< push: read back against the CRC, then sections and ranges
        invalidate,  ///< push: the spare's commit byte
        rewrite,     ///< start after a cut keep: write what was decided,
        clear,       ///< and take the mark away
        mark,        ///< keep, in this order
        key,
        commit,
        unmark,
    };
    enum class Put : uint8_t { wait, done, bad };
    struct View {
        const Eeprom* eeprom;
        uint16_t base;
    };
    static bool read_view(void* owner, uint16_t offset, uint8_t* to, uint8_t count);
    static uint8_t head(uint8_t slot) { return static_cast<uint8_t>(slot * k_head_bytes); }

    bool read(uint16_t at, uint8_t* to, uint8_t count);
    Put put_byte(uint16_t at, uint8_t byte, bool always);
    // slots_start.cpp
    void find();
    bool read_heads();
    bool read_journal();
    void choose();
    void decide(uint8_t slot);
    void rewrite_next();
    // slots.cpp
    void write_block();
    void write_head();
    void wrote_head(Put put);
    SlotOutcome look(uint8_t slot, uint16_t size);
    void look_at_push();
    void write_journal();
    void ask(Work work);
    void finish(SlotOutcome outcome);
    void wear_one(uint8_t slot);
    static void count_up(uint8_t* counter);

    static constexpr uint8_t k_counter_bytes = 3;

    Eeprom eeprom_;
    Work work_;
    SlotOutcome outcome_;
    ImageVerdict verdict_;
    uint8_t slot_;  ///< the one that is being looked at, written or rewritten
    uint8_t current_;
    uint8_t commits_[k_slots];  ///< k_commit_none where the key does not fit
    uint8_t newest_;            ///< the newest commit byte that was read, whether its slot was whole or not
    uint8_t marks_;             ///< a bit for each slot whose keep was cut
    bool is_ready_, is_open_, is_begun_, is_again_, has_heads_, journal_due_;
    uint8_t record_, record_index_;  ///< journal: the record that is next or being written, and how far
    uint16_t image_size_;
    uint32_t image_crc_;
    uint16_t filled_;  ///< bytes of the image that are there, from its start
    uint16_t at_;      ///< where the block goes
    uint8_t count_, index_;
    CrcWalk walk_;
    /// Starts, writes of commit byte 0, of commit byte 1: 3 bytes each, low byte first. No cell lives long
    /// enough to fill them.
    uint8_t journal_[k_journal_bytes - 1];
    View views_[k_slots];
    uint8_t block_[k_block_max];
};

}  // namespace wire
}  // namespace fettle
