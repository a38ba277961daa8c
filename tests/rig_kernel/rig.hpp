#pragma once
// What the cases of the rig share: a cable with a kept profile, links and sessions over it, other processes.

#include <memory>
#include <string>
#include <vector>

#include "core/link/scan.hpp"
#include "core/link/session.hpp"
#include "tests/rig_kernel/cable.hpp"
#include "tests/sim/rig.hpp"

namespace fettle::rig {

const Clock& real_clock();

/// The device at socket 0, with the profile of tests/sim/rig.hpp kept, whatever the case before did to it:
/// plugged in, ready, every fault off.
Cable& fresh_cable(const sim::SimOptions& device = {});
/// The same at another socket, for as long as it lives.
std::unique_ptr<Cable> another_cable(int port, const sim::SimOptions& device);
/// Waits until the profile runs.
void await_ready(Cable& cable);

std::unique_ptr<link::Link> open_hid(Cable& cable);
std::unique_ptr<link::Link> open_serial(Cable& cable);
std::unique_ptr<link::Session> hid_session(Cable& cable, const link::Limits& limits = {});
std::unique_ptr<link::Session> serial_session(Cable& cable, const link::Limits& limits = {});

/// As the program sees it; nothing where it sees none at that place.
std::optional<link::Attached> attached_at(const std::string& place);

std::int64_t now_ms();

/// Reads and keeps the events of the computer's three input devices, which nobody else gets meanwhile.
class Grabbed {
public:
    explicit Grabbed(const Nodes& nodes);
    ~Grabbed();
    Grabbed(const Grabbed&) = delete;
    Grabbed& operator=(const Grabbed&) = delete;
    struct Seen {
        std::uint16_t type = 0, code = 0;
        std::int32_t value = 0;
        bool operator==(const Seen&) const = default;
    };
    enum Which : std::uint8_t { keyboard, pointer, consumer };
    /// Everything that waits now.
    std::vector<Seen> take(Which which);
    /// Waits for the next event of one, at most 5 s; SYN and MSC are left out.
    std::vector<Seen> wait(Which which, std::size_t at_least);
    int file(Which which) const { return files_[which]; }

private:
    int files_[3];
};

/// Another process of this program: run_as(role, arguments).
class Other {
public:
    Other(const std::string& role, const std::vector<std::string>& arguments);
    ~Other();
    Other(const Other&) = delete;
    Other& operator=(const Other&) = delete;
    /// Waits until it has printed a line. "": it ended.
    std::string line();
    void kill();
    int pid() const { return pid_; }

private:
    int pid_ = -1, out_ = -1;
};

/// What another process does. Roles: "push" NODE stops half-way, "hold" PLACE CLAIMS, "hold_serial" NODE.
int run_as(const std::string& role, const std::vector<std::string>& arguments);

}  // namespace fettle::rig
