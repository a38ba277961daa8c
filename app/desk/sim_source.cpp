#include "app/desk/sim_source.hpp"

#include <chrono>
#include <cstdio>
#include <thread>

#include "core/base/files.hpp"
#include "core/engine/bytes.hpp"
#include "core/link/memory_link.hpp"
#include "core/wire/crc.hpp"

namespace fettle::app {

namespace {

constexpr const char* k_hid_path = "sim";
constexpr const char* k_serial_path = "sim:serial";

// The file: this line, the storage, CRC-32 of both (low byte first).
constexpr std::string_view k_head = "fettle eeprom 1\n";
constexpr std::size_t k_crc_bytes = 4;
constexpr std::size_t k_file_bytes = k_head.size() + wire::k_eeprom_bytes + k_crc_bytes;

std::uint32_t crc_of(std::string_view bytes) {
    return wire::crc32(reinterpret_cast<const std::uint8_t*>(bytes.data()), bytes.size());
}

std::optional<std::array<std::uint8_t, wire::k_eeprom_bytes>> parse(std::string_view file) {
    if (file.size() != k_file_bytes || !file.starts_with(k_head)) return std::nullopt;
    const auto body = file.substr(0, k_file_bytes - k_crc_bytes);
    const auto* crc = reinterpret_cast<const std::uint8_t*>(file.data() + body.size());
    if (engine::get32(crc) != crc_of(body)) return std::nullopt;
    std::array<std::uint8_t, wire::k_eeprom_bytes> eeprom{};
    std::copy_n(body.begin() + k_head.size(), eeprom.size(), eeprom.begin());
    return eeprom;
}

std::string to_file(const std::array<std::uint8_t, wire::k_eeprom_bytes>& eeprom) {
    std::string file(k_head);
    file.append(eeprom.begin(), eeprom.end());
    std::uint8_t crc[k_crc_bytes];
    engine::put32(crc, crc_of(file));
    file.append(crc, crc + k_crc_bytes);
    return file;
}

}  // namespace

std::shared_ptr<Pace> real_pace(const Clock& clock) {
    return std::make_shared<Pace>(
        clock, [](std::uint32_t ms) { std::this_thread::sleep_for(std::chrono::milliseconds(ms)); });
}

SimSource::SimSource(std::string state_folder, std::shared_ptr<Pace> pace, const sim::SimOptions& options)
    : folder_(std::move(state_folder)), pace_(std::move(pace)), options_(options) {
    if (!folder_.empty()) path_ = folder_ + "/simulated-eeprom";
    const auto recalled = recall();
    device_ = std::make_shared<sim::SimDevice>(options_, recalled ? &*recalled : nullptr);
    saved_ = device_->eeprom().bytes();
}

SimSource::~SimSource() {
    static_cast<void>(save());  // tend() told of what goes wrong while somebody could hear it
}

/// Nothing: no file, or trouble_ says why.
std::optional<SimSource::Eeprom> SimSource::recall() {
    if (path_.empty()) return std::nullopt;
    const auto file = read_file(path_, k_file_bytes);
    if (file) {
        auto eeprom = parse(*file);
        if (eeprom) return eeprom;
    } else if (file.error().code == Errc::not_found) {
        return std::nullopt;
    } else if (file.error().code != Errc::too_large) {
        trouble_ = file.error();
        path_.clear();
        return std::nullopt;
    }
    trouble_ = Error{Errc::garbled, path_, path_ + ".damaged"};
    if (std::rename(path_.c_str(), (path_ + ".damaged").c_str()) != 0) {
        trouble_ = Error{Errc::io, path_, "damaged, and cannot be put aside"};
        path_.clear();
    }
    return std::nullopt;
}

std::vector<link::Attached> SimSource::found() {
    if (!device_->is_plugged()) return {};
    return {{link::ChannelKind::simulated, k_hid_path, options_.serial, "simulated device"},
            {link::ChannelKind::simulated, k_serial_path, options_.serial, "simulated device"}};
}

Result<std::unique_ptr<link::Link>> SimSource::open(const link::Attached& attached) {
    const bool is_serial = attached.path == k_serial_path;
    if (!is_serial && attached.path != k_hid_path) return fail(Errc::not_found, attached.path);
    if (!device_->is_plugged()) return fail(Errc::not_found, attached.path, "the cable is out");
    using Way = link::MemoryLink::Way;
    std::unique_ptr<link::Link> link =
        std::make_unique<link::MemoryLink>(device_, is_serial ? Way::serial : Way::hid);
    if (pace_) link = std::make_unique<PacedLink>(std::move(link), pace_);
    return link;
}

void SimSource::idle(std::uint32_t ms) {
    device_->advance_ms(pace_ ? pace_->behind_ms(device_->now_us()) : ms);
}

/// Only when nothing is being written: a file holds what a board would hold that lost its power then.
std::optional<Error> SimSource::tend() {
    if (auto told = std::exchange(trouble_, std::nullopt)) return told;
    if (device_->eeprom().is_writing() || !device_->device().is_storage_idle()) return std::nullopt;
    const Status saved = save();
    std::optional<Error> trouble;
    if (!saved) trouble = saved.error();
    if (trouble == last_trouble_) return std::nullopt;
    last_trouble_ = trouble;
    return trouble;
}

Status SimSource::save() {
    if (path_.empty() || device_->eeprom().bytes() == saved_) return Done{};
    if (auto made = make_folder(folder_); !made) return made;
    const Eeprom bytes = device_->eeprom().bytes();
    if (auto done = save_file(path_, to_file(bytes), Privacy::only_me); !done) return done;
    saved_ = bytes;
    return Done{};
}

}  // namespace fettle::app
