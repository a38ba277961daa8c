// Power may fail at any byte. The states are derived from one recorded write log: all writes before the cut
// are done, the one at the cut is torn (old, FF, new, or anything), none after it happened. Each state is
// started.

#include <doctest/doctest.h>

#include <map>
#include <set>

#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;

namespace {

struct Recorded {
    Bytes before;
    std::vector<Write> log;
};

std::vector<uint8_t> torn(const Write& write, bool all) {
    if (!all) return {write.before, 0xFF, write.byte, static_cast<uint8_t>(write.byte ^ 0x5A), 0x01, 0xFE};
    std::vector<uint8_t> values;
    for (int value = 0; value < 256; ++value) values.push_back(static_cast<uint8_t>(value));
    return values;
}

/// Starts a device on these cells and gives the CRC of what runs, after its content was compared with
/// `images`.
uint32_t started(const Bytes& cells, const std::map<uint32_t, Bytes>& images, Bytes* after = nullptr,
                 std::vector<Write>* log = nullptr) {
    Rig rig(false);
    rig.eeprom.cells = cells;
    rig.eeprom.write_ticks = 0;
    rig.start(80);
    rig.tick(60);  // what start rewrites, and the journal
    REQUIRE(rig.device.is_ready());
    const HelloReply hello = rig.device.hello();
    if (images.count(hello.image_crc) != 0 && hello.current_slot < k_slots) {
        const auto first = rig.eeprom.cells.begin() + k_slots_at + hello.current_slot * k_slot_bytes;
        REQUIRE(Bytes(first, first + hello.image_size) == images.at(hello.image_crc));
    }
    if (after != nullptr) *after = rig.eeprom.cells;
    if (log != nullptr) *log = rig.eeprom.log;
    return hello.image_crc;
}

/// Cuts at every write of the log and with every torn value; `lawful`: what may run then.
void cut_everywhere(const Recorded& recorded, const std::map<uint32_t, Bytes>& images,
                    const std::set<uint32_t>& lawful, bool all_values) {
    Bytes cells = recorded.before;
    for (size_t cut = 0; cut < recorded.log.size(); ++cut) {
        const Write& write = recorded.log[cut];
        const bool in_head = write.at < k_journal_at;
        for (uint8_t value : torn(write, all_values && in_head)) {
            Bytes state = cells;
            state[write.at] = value;
            Bytes after;
            const uint32_t first = started(state, images, &after);
            CAPTURE(cut);
            CAPTURE(int(write.at));
            CAPTURE(int(value));
            REQUIRE(lawful.count(first) == 1);
            // The next start, on what the first one rewrote, decides the same.
            REQUIRE(started(after, images) == first);
        }
        cells[write.at] = write.byte;
    }
}

Recorded record(Rig& rig, const std::function<void()>& act) {
    rig.tick(200);
    Recorded recorded = {rig.eeprom.cells, {}};
    rig.eeprom.log.clear();
    act();
    rig.tick(200);
    recorded.log = rig.eeprom.log;
    return recorded;
}

const std::map<uint32_t, Bytes>& known() {
    static const std::map<uint32_t, Bytes> images = [] {
        std::map<uint32_t, Bytes> made;
        for (uint16_t version = 1; version <= 4; ++version)
            made[crc_of(plain_image(version))] = plain_image(version);
        made[crc_of(full_image())] = full_image();
        return made;
    }();
    return images;
}

}  // namespace

TEST_CASE("power cut: at every byte of a push over an older profile the kept one starts, whole") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    const Recorded recorded = record(rig, [&] { rig.push(full_image()); });
    REQUIRE(recorded.log.size() > 200);
    cut_everywhere(recorded, known(), {crc_of(plain_image(2))}, true);
}

TEST_CASE("power cut: at every byte of a keep, with every torn value, the old or the new one starts, whole") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    const TrialReply trial = trial_of(rig.push(plain_image(3)));
    const Recorded recorded = record(rig, [&] { rig.keep(trial.id, trial.image_crc); });
    REQUIRE(recorded.log.size() >= 4);
    cut_everywhere(recorded, known(), {crc_of(plain_image(2)), crc_of(plain_image(3))}, true);
}

TEST_CASE("power cut: at every byte of the first push and keep, the built-in or the new one starts") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    const uint32_t built_in = rig.device.hello().image_crc;
    const Recorded recorded = record(rig, [&] { rig.install(plain_image(1)); });
    cut_everywhere(recorded, known(), {built_in, crc_of(plain_image(1))}, false);
}

TEST_CASE("power cut: at the turn from commit 254 to 1 the old or the new one starts") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    rig.tick(200);
    rig.eeprom.cells[0] = 253;
    rig.eeprom.cells[1] = commit_key(253);
    rig.eeprom.cells[3] = 254;
    rig.eeprom.cells[4] = commit_key(254);
    rig.start();
    REQUIRE(rig.device.hello().image_crc == crc_of(plain_image(2)));
    const Recorded recorded = record(rig, [&] { rig.install(plain_image(3)); });
    CHECK(rig.eeprom.cells[0] == 1);
    cut_everywhere(recorded, known(), {crc_of(plain_image(2)), crc_of(plain_image(3))}, false);
}

TEST_CASE(
    "power cut: a second cut while start rewrites after a cut keep leaves the old or the new one, whole") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    const TrialReply trial = trial_of(rig.push(plain_image(3)));
    const Recorded recorded = record(rig, [&] { rig.keep(trial.id, trial.image_crc); });
    Bytes cells = recorded.before;
    for (const Write& write : recorded.log) {
        for (uint8_t value : torn(write, false)) {
            Recorded again = {cells, {}};
            again.before[write.at] = value;
            started(again.before, known(), nullptr, &again.log);
            cut_everywhere(again, known(), {crc_of(plain_image(2)), crc_of(plain_image(3))}, false);
        }
        cells[write.at] = write.byte;
        if (write.at >= k_journal_at) break;
    }
}

TEST_CASE(
    "power cut: after a cut keep, start writes the commit byte anew as it decided, and takes the mark away") {
    Rig rig;
    rig.eeprom.write_ticks = 0;
    rig.install(plain_image(1));
    const TrialReply trial = trial_of(rig.push(plain_image(2)));
    const Recorded recorded = record(rig, [&] { rig.keep(trial.id, trial.image_crc); });
    Bytes cells = recorded.before;
    for (size_t i = 0; i < 2; ++i) cells[recorded.log[i].at] = recorded.log[i].byte;  // mark and key
    const Write& commit = recorded.log[2];
    REQUIRE(commit.at == k_head_bytes);
    for (const uint8_t value : torn(commit, false)) {
        Bytes state = cells, after;
        state[commit.at] = value;
        std::vector<Write> log;
        const uint32_t crc = started(state, known(), &after, &log);
        const uint8_t decided = crc == crc_of(plain_image(2)) ? commit.byte : k_commit_none;
        size_t written = 0;
        for (const Write& write : log)
            if (write.at == commit.at && write.byte == decided) ++written;
        CAPTURE(int(value));
        CHECK(written == 1);
        CHECK(after[commit.at] == decided);
        CHECK(after[commit.at + 2u] == k_no_mark);
    }
}

TEST_CASE("power cut: a start without a cut keep behind it writes no head byte, 20 starts in a row") {
    Rig rig;
    rig.install(plain_image(1));
    rig.install(plain_image(2));
    rig.tick(200);
    rig.eeprom.log.clear();
    for (int i = 0; i < 20; ++i) rig.start(200);
    CHECK_FALSE(rig.eeprom.log.empty());
    for (const Write& write : rig.eeprom.log) CHECK((write.at >= k_journal_at && write.at < k_slots_at));
}

TEST_CASE("power cut: during a trial, at any tick, the kept one starts") {
    Rig rig;
    rig.install(plain_image(1));
    trial_of(rig.push(plain_image(2)));
    CHECK(rig.device.hello().image_crc == crc_of(plain_image(2)));
    rig.start();
    CHECK(rig.device.hello().image_crc == crc_of(plain_image(1)));
    CHECK(rig.trial().phase == TrialPhase::none);
    CHECK(rig.ends_released());
}
