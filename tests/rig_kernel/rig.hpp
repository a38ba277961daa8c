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
/// Lets device time pass until it is so, at most 5 s of real time.
bool becomes(Cable& cable, const std::function<bool(sim::SimDevice&)>& so);
/// Lets so much device time pass and then waits until the computer has every report.
void settle(Cable& cable, std::uint32_t ms);
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
        std::int64_t at_us = 0;  ///< the kernel's
    };
    enum Which : std::uint8_t { keyboard, pointer, consumer };
    /// Everything that waits now. SYN, MSC and the kernel's own key repeat are left out; SYN_DROPPED is not.
    std::vector<Seen> take(Which which) const;
    /// Waits until there are so many, at most 5 s for each.
    std::vector<Seen> wait(Which which, std::size_t at_least) const;
    /// True: the kernel holds the key or button down.
    bool is_down(Which which, unsigned code) const;
    void set_led(unsigned led, bool is_on) const;

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
