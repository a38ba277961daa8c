#pragma once
// What is fed with bytes of a stranger. A target reads its input as a tape: what happens, one step after the
// other. It throws Broken where a promise does not hold; the sanitizers see to the rest.

#include <cstddef>
#include <cstdint>
#include <span>
#include <stdexcept>
#include <vector>

namespace fettle::fuzz {

struct Broken : std::runtime_error {
    using std::runtime_error::runtime_error;
};

inline void must(bool holds, const char* promise) {
    if (!holds) throw Broken(promise);
}

using Input = std::span<const std::uint8_t>;

/// HID report descriptors of anybody (core/link/scan.hpp).
void run_descriptor(Input input);
/// The device's own side: reports, bytes, images and time, whatever the host sends (core/wire/device.hpp).
void run_device(Input input);
/// Both framings, over ports that give what they like (core/link/framed_link.hpp, core/wire/frame.hpp).
void run_frames(Input input);
/// A session with a device that answers what it likes (core/link/session.hpp).
void run_hello(Input input);
/// Every body that is read, of requests and of answers (core/wire/request.hpp, reply.hpp, message.hpp).
void run_messages(Input input);
/// A subscription, up to the roll that is drawn (core/link/session.hpp, core/trace/roll.hpp).
void run_telemetry(Input input);

struct Target {
    const char* name;
    void (*run)(Input input);
};
constexpr Target k_targets[] = {
    {"descriptor", run_descriptor}, {"device", run_device},     {"frames", run_frames},
    {"hello", run_hello},           {"messages", run_messages}, {"telemetry", run_telemetry},
};

}  // namespace fettle::fuzz
