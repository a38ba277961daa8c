#pragma once
// Finds a device and opens a session with it. Where nothing is attached, or when asked for, the simulated
// one.

#include <memory>
#include <string>
#include <vector>

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
    /// which: "sim", or "" for what is attached (the simulated device where nothing is). The door to attached
    /// devices opens with the real links. state_folder: where the journal lives; "" keeps nothing. Errors:
    /// not_found (no such device), and those of Session::open, read_file.
    static Result<DeviceDoor> open(const std::string& which, const std::string& state_folder,
                                   const Clock& clock);

    DeviceDoor(DeviceDoor&&) = default;
    DeviceDoor& operator=(DeviceDoor&&) = default;
    ~DeviceDoor() = default;

    link::Session& session() { return *session_; }
    /// The simulated device, or nullptr when the device is a real one.
    sim::SimDevice* simulated() { return device_.get(); }

    /// The simulated device's journal could not be understood: it was put aside as
    /// `simulated-device.damaged`, and the device starts with an erased storage.
    bool was_damaged() const { return was_damaged_; }

    /// Closes the session; the simulated device's journal is saved. Errors: those of save_file.
    Status close(const Clock& clock);

private:
    DeviceDoor() = default;

    bool was_damaged_ = false;
    std::string journal_path_;
    std::unique_ptr<sim::Journal> journal_;
    std::shared_ptr<sim::SimDevice> device_;
    std::unique_ptr<link::Session> session_;
};

/// What is attached now, the simulated device last.
std::vector<link::Attached> attached_devices();

}  // namespace fettle::app
