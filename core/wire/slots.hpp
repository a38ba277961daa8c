#pragma once
// Profiles in the storage, and everything that writes there: one byte at a time, one step a tick, never
// waited for.
//
// Layout, 1,024 bytes:
//    0  commit byte of slot 0: 1 to 254 in turn, the newer one wins (254 is followed by 1); 0 and 0xFF: none
//    1  key of slot 0: the commit byte's complement
//    2  commit byte of slot 1        3  key of slot 1
//    4  journal: six records of 10 bytes, written in turn so that no cell wears fast: starts u24, writes of
//       commit byte 0 u24, of commit byte 1 u24, check
//   64  slot 0, 480 bytes          544  slot 1, 480 bytes
//
// A slot counts when its commit byte is one, its key fits, and its image is whole. `begin` first makes the
// spare's commit byte 0xFF; `commit` writes the key, then the commit byte, last. A byte whose write was cut
// may read as anything, now this, now that: because of the key no such reading makes a slot count that did
// not before or will not after, and start rewrites the bytes it decided on, so that they read the same the
// next time.

#include "core/wire/image.hpp"

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
constexpr uint8_t k_journal_at = 4;
constexpr uint8_t k_journal_records = 6;
constexpr uint8_t k_journal_bytes = 10;
constexpr uint8_t k_commit_none = 0xFF;
constexpr uint8_t k_commit_last = 254;

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
    bool is_open_for(uint16_t image_size, uint32_t image_crc) const {
        return is_open_ && image_size == image_size_ && image_crc == image_crc_;
    }
    /// False: out of order (no push, a gap before offset, or past the image's end).
    bool write(uint32_t offset, const uint8_t* bytes, uint8_t count);
    /// False: out of order (no push, or not every byte was there).
    bool check(uint32_t image_crc);
    /// The spare becomes current.
    void commit();
    SlotOutcome outcome() const { return outcome_; }
    ImageVerdict verdict() const { return verdict_; }
    void end_work() { outcome_ = SlotOutcome::idle; }
    void close() { is_open_ = false; }

    uint32_t starts() const { return starts_; }
    /// Writes of the most written cell, ever (as the journal knows).
    uint32_t wear() const { return wear_[0] > wear_[1] ? wear_[0] : wear_[1]; }

private:
    enum class Work : uint8_t {
        none,
        find,        ///< start: which slot counts
        settle,      ///< start: rewrite what was decided on
        invalidate,  ///< push: the spare's commit byte
        block,       ///< push: bytes of the image
        crc,         ///< push: read back against the CRC
        records,     ///< push: sections and ranges
        key,         ///< keep: the key
        byte,        ///< keep: the commit byte
        journal,
    };
    enum class Put : uint8_t { wait, done, bad };
    struct View {
        const Eeprom* eeprom;
        uint16_t base;
    };
    static bool read_view(void* owner, uint16_t offset, uint8_t* to, uint8_t count);

    bool read(uint16_t at, uint8_t* to, uint8_t count) { return eeprom_.read(eeprom_.owner, at, to, count); }
    Put put_byte(uint16_t at, uint8_t byte, bool always);
    void find();
    void read_journal();
    void look_at(uint8_t slot);
    void settle();
    void write_bytes();
    void check_crc();
    void check_records();
    void write_commit();
    void write_journal();
    void ask(Work work);
    void finish(SlotOutcome outcome);

    Eeprom eeprom_;
    View views_[k_slots];
    uint8_t buffer_[k_block_max];  ///< block being written, or the journal's record
    uint16_t at_;                  ///< where the buffer goes
    uint8_t count_, index_;
    Work work_;
    SlotOutcome outcome_;
    ImageVerdict verdict_;
    CrcWalk walk_;
    uint8_t commits_[k_slots];
    uint8_t current_;
    uint8_t record_;     ///< journal record written last
    uint8_t candidate_;  ///< find: slot being looked at; settle: slot being rewritten
    uint8_t refused_;    ///< find: a bit for each slot that is not whole
    bool is_ready_, is_open_, is_written_, journal_due_;
    uint16_t image_size_;
    uint32_t image_crc_;
    uint16_t filled_;  ///< bytes of the image that are there, from its start
    uint32_t starts_;
    uint32_t wear_[k_slots];
};

}  // namespace wire
}  // namespace fettle
