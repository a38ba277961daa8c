#include "core/sim/journal.hpp"

#include <algorithm>
#include <cstring>

#include "core/wire/crc.hpp"

namespace fettle::sim {

namespace {

// File: magic 8, engine build u16, seed u32, serial length u8, serial, EEPROM, now u64, count u32,
// entries (at u64, size u8, report), CRC-32 u32 of all before it.
constexpr char k_magic[] = "FTLsim01";
constexpr std::size_t k_magic_bytes = 8;
constexpr std::uint32_t k_max_entries = 200000;

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

private:
    std::string_view bytes_;
    std::size_t at_ = 0;
    bool is_short_ = false;
};

std::uint32_t crc_of(std::string_view bytes) {
    return wire::crc32(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

}  // namespace

Journal new_journal(const SimOptions& options, const EepromModel* eeprom) {
    Journal journal;
    journal.options = options;
    journal.eeprom.fill(0xFF);
    if (eeprom != nullptr) journal.eeprom = eeprom->bytes();
    return journal;
}

Result<std::unique_ptr<SimDevice>> replay(Journal& journal) {
    if (journal.engine_build != engine::k_engine_build) return fail(Errc::version, "simulated device");
    auto device = std::make_unique<SimDevice>(journal.options, &journal.eeprom);
    for (const auto& entry : journal.entries) {
        device->advance_ms(static_cast<std::uint32_t>((entry.at_us - device->now_us()) / 1000));
        device->hid_out(entry.report);
    }
    device->advance_ms(static_cast<std::uint32_t>((journal.now_us - device->now_us()) / 1000));
    device->record_to([&journal](std::uint64_t at_us, std::span<const std::uint8_t> report) {
        journal.entries.push_back({at_us, {report.begin(), report.end()}});
    });
    return device;
}

std::string to_bytes(const Journal& journal) {
    std::string bytes(k_magic, k_magic_bytes);
    put(bytes, journal.engine_build, 2);
    put(bytes, journal.options.seed, 4);
    put(bytes, journal.options.serial.size(), 1);
    bytes += journal.options.serial;
    bytes.append(reinterpret_cast<const char*>(journal.eeprom.data()), journal.eeprom.size());
    put(bytes, journal.now_us, 8);
    put(bytes, journal.entries.size(), 4);
    for (const auto& entry : journal.entries) {
        put(bytes, entry.at_us, 8);
        put(bytes, entry.report.size(), 1);
        bytes.append(reinterpret_cast<const char*>(entry.report.data()), entry.report.size());
    }
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
    if (journal.engine_build != engine::k_engine_build) return fail(Errc::version, "journal");
    journal.options.seed = static_cast<std::uint32_t>(reader.number(4));
    journal.options.serial = std::string(reader.take(reader.number(1)));
    const auto eeprom = reader.take(journal.eeprom.size());
    if (eeprom.size() == journal.eeprom.size())
        std::memcpy(journal.eeprom.data(), eeprom.data(), eeprom.size());
    journal.now_us = reader.number(8);
    const auto count = reader.number(4);
    if (count > k_max_entries) return fail(Errc::too_large, "journal");
    std::uint64_t last_us = 0;
    for (std::uint64_t i = 0; i < count && !reader.is_short(); ++i) {
        Journal::Entry entry;
        entry.at_us = reader.number(8);
        const auto report = reader.take(reader.number(1));
        entry.report.assign(report.begin(), report.end());
        if (entry.at_us < last_us || entry.at_us > journal.now_us)
            return fail(Errc::garbled, "journal", "times");
        last_us = entry.at_us;
        journal.entries.push_back(std::move(entry));
    }
    if (reader.is_short()) return fail(Errc::garbled, "journal", "cut short");
    return journal;
}

}  // namespace fettle::sim
