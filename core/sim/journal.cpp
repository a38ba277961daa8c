#include "core/sim/journal.hpp"

#include <algorithm>

#include "core/wire/crc.hpp"

namespace fettle::sim {

namespace {

// File: magic 8, engine build u16, seed u32, serial length u8, serial, EEPROM at start, EEPROM now, now u64,
// count u32, entries (at u64, kind u8, then size u8 and the report, or the note: at u64, number u8, value
// i16), CRC-32 u32 of all before it.
constexpr char k_magic[] = "FTLsim02";
constexpr std::size_t k_magic_bytes = 8;
constexpr std::uint32_t k_max_entries = 200000;
constexpr std::uint64_t k_tick_us = 1000;
constexpr std::uint64_t k_minute_us = 60'000'000;
constexpr std::uint64_t k_long_us = 10 * k_minute_us, k_longer_us = 60 * k_minute_us;
constexpr std::uint64_t k_max_us = 24 * 60 * k_minute_us;
constexpr std::size_t k_long_entries = 2000, k_longer_entries = 50000;

void put(std::string& to, std::uint64_t value, int bytes) {
    for (int i = 0; i < bytes; ++i) to.push_back(static_cast<char>((value >> (8 * i)) & 0xFF));
}

class Reader {
public:
    explicit Reader(std::string_view bytes) : bytes_(bytes) {}
    std::uint64_t number(int bytes) {
        std::uint64_t value = 0;
        for (int i = 0; i < bytes; ++i) {
            const auto piece = take(1);
            if (!piece.empty()) value |= std::uint64_t{static_cast<std::uint8_t>(piece[0])} << (8 * i);
        }
        return value;
    }
    std::string_view take(std::size_t count) {
        if (count > bytes_.size() - at_) {
            is_short_ = true;
            return {};
        }
        at_ += count;
        return bytes_.substr(at_ - count, count);
    }
    bool is_short() const { return is_short_; }
    bool is_at_end() const { return at_ == bytes_.size(); }

private:
    std::string_view bytes_;
    std::size_t at_ = 0;
    bool is_short_ = false;
};

std::uint32_t crc_of(std::string_view bytes) {
    return wire::crc32(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

void put_entry(std::string& to, const Journal::Entry& entry) {
    put(to, entry.at_us, 8);
    put(to, static_cast<std::uint8_t>(entry.kind), 1);
    if (entry.kind == Journal::Kind::report) {
        const std::size_t size = std::min<std::size_t>(entry.report.size(), 255);
        put(to, size, 1);
        to.append(reinterpret_cast<const char*>(entry.report.data()), size);
        return;
    }
    put(to, entry.note.at_us, 8);
    put(to, entry.note.number, 1);
    put(to, static_cast<std::uint16_t>(entry.note.value), 2);
}

/// False: no entry of this format.
bool get_entry(Reader& from, Journal::Entry& entry) {
    entry.at_us = from.number(8);
    const auto kind = from.number(1);
    if (kind > static_cast<std::uint8_t>(Journal::Kind::axis)) return false;
    entry.kind = static_cast<Journal::Kind>(kind);
    if (entry.kind == Journal::Kind::report) {
        const auto report = from.take(from.number(1));
        entry.report.assign(report.begin(), report.end());
        return !from.is_short();
    }
    entry.note.at_us = from.number(8);
    entry.note.number = static_cast<std::uint8_t>(from.number(1));
    entry.note.value = static_cast<std::int16_t>(from.number(2));
    entry.note.is_axis = entry.kind == Journal::Kind::axis;
    return !from.is_short() && (!entry.note.is_axis || entry.note.number < engine::k_axes);
}

void get_eeprom(Reader& from, Journal::Bytes& eeprom) {
    const auto bytes = from.take(eeprom.size());
    std::copy(bytes.begin(), bytes.end(), eeprom.begin());
}

void do_again(SimDevice& device, const Journal::Entry& entry) {
    const Hands::Note& note = entry.note;
    switch (entry.kind) {
        case Journal::Kind::report: device.hid_out(entry.report); return;
        case Journal::Kind::edge: device.hands().edge(note.number, note.at_us, note.value != 0); return;
        case Journal::Kind::axis: device.hands().set_axis(note.number, note.at_us, note.value); return;
    }
}

void advance_to(SimDevice& device, std::uint64_t at_us) {
    while (device.now_us() + k_tick_us <= at_us) device.advance_ms(1);
}

void record(Journal& journal, SimDevice& device) {
    device.record_to([&journal](std::uint64_t at_us, std::span<const std::uint8_t> report) {
        journal.entries.push_back({at_us, Journal::Kind::report, {report.begin(), report.end()}, {}});
    });
    // A pin is read in the course of a tick, so what it did came before it.
    device.hands().note_to([&journal, &device](const Hands::Note& note) {
        journal.entries.push_back({device.now_us() - k_tick_us,
                                   note.is_axis ? Journal::Kind::axis : Journal::Kind::edge,
                                   {},
                                   note});
    });
}

bool is_on_trial(const SimDevice& device) {
    return device.device().trial().seconds_left != 0;
}

bool is_at_rest(const SimDevice& device) {
    if (!device.device().is_ready()) return false;
    const auto state = device.device().engine().state();
    return state.mode == 0 && state.variant == 0 && state.scale_permille == 1000 && state.inputs_down == 0 &&
           state.typing == 0 && !device.device().engine().holds_anything() &&
           !device.host().view().holds_anything() && device.hands().is_quiet();
}

}  // namespace

Journal new_journal(const SimOptions& options, const EepromModel* eeprom) {
    Journal journal;
    journal.options = options;
    journal.eeprom.fill(0xFF);
    if (eeprom != nullptr) journal.eeprom = eeprom->bytes();
    journal.eeprom_now = journal.eeprom;
    return journal;
}

Journal power_cycled(const Journal& journal) {
    Journal anew;
    anew.options = journal.options;
    anew.eeprom = anew.eeprom_now = journal.eeprom_now;
    return anew;
}

Result<std::unique_ptr<SimDevice>> replay(Journal& journal) {
    if (journal.engine_build != engine::k_engine_build) return fail(Errc::version, "simulated device");
    auto device = std::make_unique<SimDevice>(journal.options, &journal.eeprom);
    for (const auto& entry : journal.entries) {
        advance_to(*device, entry.at_us);
        do_again(*device, entry);
    }
    advance_to(*device, journal.now_us);
    record(journal, *device);
    return device;
}

void note_end(Journal& journal, const SimDevice& device) {
    journal.now_us = device.now_us();
    journal.eeprom_now = device.eeprom().bytes();
}

void stop_recording(SimDevice& device) {
    device.record_to({});
    device.hands().note_to({});
}

bool should_start_anew(const Journal& journal, const SimDevice& device) {
    if (is_on_trial(device) || !device.device().is_storage_idle()) return false;
    if (journal.now_us > k_longer_us || journal.entries.size() > k_longer_entries) return true;
    if (journal.now_us <= k_long_us && journal.entries.size() <= k_long_entries) return false;
    return is_at_rest(device);
}

std::string to_bytes(const Journal& journal) {
    if (journal.entries.size() > k_max_entries || journal.now_us > k_max_us)
        return to_bytes(power_cycled(journal));
    const std::string serial = journal.options.serial.substr(0, 255);
    std::string bytes(k_magic, k_magic_bytes);
    put(bytes, journal.engine_build, 2);
    put(bytes, journal.options.seed, 4);
    put(bytes, serial.size(), 1);
    bytes += serial;
    for (const auto* eeprom : {&journal.eeprom, &journal.eeprom_now})
        bytes.append(reinterpret_cast<const char*>(eeprom->data()), eeprom->size());
    put(bytes, journal.now_us, 8);
    put(bytes, journal.entries.size(), 4);
    for (const auto& entry : journal.entries) put_entry(bytes, entry);
    put(bytes, crc_of(bytes), 4);
    return bytes;
}

Result<Journal> from_bytes(const std::string& bytes) {
    if (bytes.size() < k_magic_bytes + 4 || bytes.compare(0, k_magic_bytes, k_magic, k_magic_bytes) != 0)
        return fail(Errc::garbled, "journal", "not a journal");
    const std::string_view body = std::string_view(bytes).substr(0, bytes.size() - 4);
    Reader tail(std::string_view(bytes).substr(bytes.size() - 4));
    if (tail.number(4) != crc_of(body)) return fail(Errc::garbled, "journal", "CRC-32 differs");
    Reader reader(body.substr(k_magic_bytes));
    Journal journal;
    journal.engine_build = static_cast<std::uint16_t>(reader.number(2));
    journal.options.seed = static_cast<std::uint32_t>(reader.number(4));
    journal.options.serial = std::string(reader.take(reader.number(1)));
    get_eeprom(reader, journal.eeprom);
    get_eeprom(reader, journal.eeprom_now);
    journal.now_us = reader.number(8);
    const auto count = reader.number(4);
    if (count > k_max_entries) return fail(Errc::too_large, "journal");
    std::uint64_t last_us = 0;
    for (std::uint64_t i = 0; i < count; ++i) {
        Journal::Entry entry;
        if (!get_entry(reader, entry)) return fail(Errc::garbled, "journal", "an entry");
        if (entry.at_us < last_us || entry.at_us > journal.now_us || entry.at_us % k_tick_us != 0)
            return fail(Errc::garbled, "journal", "times");
        last_us = entry.at_us;
        journal.entries.push_back(std::move(entry));
    }
    if (reader.is_short()) return fail(Errc::garbled, "journal", "cut short");
    if (!reader.is_at_end()) return fail(Errc::garbled, "journal", "more than a journal");
    if (journal.now_us > k_max_us || journal.now_us % k_tick_us != 0)
        return fail(Errc::garbled, "journal", "times");
    return journal;
}

}  // namespace fettle::sim
