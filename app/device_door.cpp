#include "app/device_door.hpp"

#include <algorithm>
#include <cstdio>

#include "app/device_choice.hpp"
#include "core/base/files.hpp"
#include "core/link/memory_link.hpp"

namespace fettle::app {

namespace {

constexpr std::size_t k_journal_limit = 64u << 20;
constexpr std::int64_t k_longest_gap_ms = 15 * 60 * 1000;

struct Remembered {
    sim::Journal journal;
    std::int64_t saved_at_ms = 0;  ///< calendar
};

/// Journal file: calendar time of the save in ms, decimal, a newline, the journal's bytes.
Result<Remembered> parse_journal(const std::string& content) {
    const std::size_t newline = content.find('\n');
    if (newline == std::string::npos || newline > 20) return fail(Errc::garbled, "journal");
    Remembered remembered;
    for (std::size_t i = 0; i < newline; ++i) {
        if (content[i] < '0' || content[i] > '9') return fail(Errc::garbled, "journal");
        remembered.saved_at_ms = remembered.saved_at_ms * 10 + (content[i] - '0');
    }
    auto journal = sim::from_bytes(content.substr(newline + 1));
    if (!journal) return journal.failure();
    remembered.journal = std::move(*journal);
    return remembered;
}

struct Recalled {
    sim::Journal journal;
    bool was_damaged = false;
};

/// The journal to go on with: the remembered one with the time since then, or a fresh start of the same
/// EEPROM. One that cannot be understood is put aside, not written over. Errors: those of read_file, but for
/// not_found.
Result<Recalled> recall(const std::string& path, const Clock& clock) {
    auto content = read_file(path, k_journal_limit);
    if (!content && content.error().code == Errc::not_found) return Recalled{sim::new_journal({}), false};
    if (!content) return content.failure();
    auto remembered = parse_journal(*content);
    if (!remembered) {
        if (std::rename(path.c_str(), (path + ".damaged").c_str()) != 0) return fail(Errc::io, path);
        return Recalled{sim::new_journal({}), true};
    }
    const std::int64_t gap_ms = clock.calendar_ms() - remembered->saved_at_ms;
    const bool is_same_engine = remembered->journal.engine_build == engine::k_engine_build;
    if (gap_ms < 0 || gap_ms > k_longest_gap_ms || !is_same_engine)
        return Recalled{sim::power_cycled(remembered->journal), false};
    remembered->journal.now_us += static_cast<std::uint64_t>(gap_ms) * 1000;
    return Recalled{std::move(remembered->journal), false};
}

/// The simulated device is about to be used, and nobody named it.
std::optional<Error> why_not_real(const link::Sight& sight) {
    if (sight.strangers.empty()) return std::nullopt;
    const auto& stranger = sight.strangers.front();
    return Error{Errc::foreign, stranger.product.empty() ? stranger.place : stranger.product, ""};
}

}  // namespace

Result<DeviceDoor> DeviceDoor::open(const std::string& which, DeviceWorld* world,
                                    const std::string& state_folder, const Clock& clock) {
    link::Sight sight;
    std::optional<Error> missed;
    if (world != nullptr && which != "sim") {
        auto seen = world->look();
        if (seen)
            sight = std::move(*seen);
        else if (which.empty())
            missed = seen.error();
        else
            return seen.failure();
    }
    const auto chosen = choose_device(sight, which);
    if (!chosen) return chosen.failure();
    if (*chosen) return open_real(**chosen, *world);
    auto door = open_simulated(state_folder, clock);
    if (door) door->stands_in_ = world != nullptr && which.empty();
    if (door) door->missed_ = missed ? missed : why_not_real(sight);
    return door;
}

Result<DeviceDoor> DeviceDoor::open_real(const link::Attached& device, DeviceWorld& world) {
    auto opened = world.open(device);
    if (!opened) return opened.failure();
    DeviceDoor door;
    auto session = link::Session::open(std::move(*opened));
    if (!session && session.error().code == Errc::foreign)  // by the name that lists show
        return fail(Errc::foreign, device.path, session.error().detail);
    if (!session) return session.failure();
    door.session_ = std::move(*session);
    return door;
}

Result<DeviceDoor> DeviceDoor::open_simulated(const std::string& state_folder, const Clock& clock) {
    DeviceDoor door;
    Recalled recalled{sim::new_journal({}), false};
    if (!state_folder.empty()) {
        door.journal_path_ = state_folder + "/simulated-device";
        auto found = recall(door.journal_path_, clock);
        if (!found) return found.failure();
        recalled = std::move(*found);
    }
    door.was_damaged_ = recalled.was_damaged;
    door.journal_ = std::make_unique<sim::Journal>(std::move(recalled.journal));
    auto device = sim::replay(*door.journal_);
    if (!device) return device.failure();
    door.device_ = std::move(*device);
    auto session =
        link::Session::open(std::make_unique<link::MemoryLink>(door.device_, link::MemoryLink::Way::hid));
    if (!session) return session.failure();
    door.session_ = std::move(*session);
    return door;
}

Status DeviceDoor::close(const Clock& clock) {
    session_.reset();
    if (!device_ || journal_path_.empty()) return Done{};
    sim::stop_recording(*device_);
    sim::note_end(*journal_, *device_);
    if (sim::should_start_anew(*journal_, *device_)) *journal_ = sim::power_cycled(*journal_);
    const std::string folder = journal_path_.substr(0, journal_path_.rfind('/'));
    if (auto made = make_folder(folder); !made) return made;
    return save_file(journal_path_, std::to_string(clock.calendar_ms()) + "\n" + sim::to_bytes(*journal_),
                     Privacy::only_me);
}

link::Attached simulated_device() {
    return {link::ChannelKind::simulated, "sim", sim::SimOptions{}.serial, "simulated device"};
}

}  // namespace fettle::app
