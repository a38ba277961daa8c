#pragma once
// Finds a device and opens a session with it. Where nothing is attached, or when asked for, the simulated
// one.

#include <memory>
#include <optional>
#include <string>

#include "app/device_world.hpp"
#include "core/base/clock.hpp"
#include "core/base/result.hpp"
#include "core/link/session.hpp"
#include "core/sim/journal.hpp"

namespace fettle::app {

/// A session with one device, and what must be done when it is over.
/// The simulated device stays powered between two runs: what happened to it is kept in a journal in the state
/// folder, and the time between the runs passes for it too (up to 15 minutes; after that it lost its power).
class DeviceDoor {
public:
    /// which: as choose_device() takes it. world: nullptr: nothing real is ever attached. state_folder: where
    /// the journal lives; "" keeps nothing. Errors: those of choose_device, of the look (only where a real
    /// device was named: else missed() says it), of the opening, and of Session::open and read_file; foreign
    /// where what answers is no device of ours. clock: outlives the door.
    static Result<DeviceDoor> open(const std::string& which, DeviceWorld* world,
                                   const std::string& state_folder, const Clock& clock);

    DeviceDoor(DeviceDoor&&) = default;
    DeviceDoor& operator=(DeviceDoor&&) = default;
    ~DeviceDoor() = default;

    link::Session& session() { return *session_; }
    /// The simulated device, or nullptr when the device is a real one.
    sim::SimDevice* simulated() { return device_.get(); }

    /// The simulated device's journal could not be understood: it was put aside as
    /// `simulated-device.damaged`, and the device starts with an erased storage.
    bool was_damaged() const { return was_damaged_; }

    /// The simulated device is used though nobody named it.
    bool stands_in() const { return stands_in_; }
    /// Why it stands in, beyond that nothing is attached: the look failed, or what is attached runs something
    /// else.
    const std::optional<Error>& missed() const { return missed_; }

    /// Closes the session; the simulated device's journal is saved. Errors: those of save_file.
    Status close(const Clock& clock);

private:
    DeviceDoor() = default;
    static Result<DeviceDoor> open_simulated(const std::string& state_folder, const Clock& clock);
    static Result<DeviceDoor> open_real(const link::Attached& device, DeviceWorld& world);

    std::optional<Error> missed_;
    bool stands_in_ = false;
    bool was_damaged_ = false;
    std::string journal_path_;
    std::unique_ptr<sim::Journal> journal_;
    std::shared_ptr<sim::SimDevice> device_;
    std::unique_ptr<link::Session> session_;
};

/// The simulated one as a list shows it.
link::Attached simulated_device();

}  // namespace fettle::app
