#pragma once
// What is asked of a session, as a byte on a tape.

#include <cstdint>

namespace fettle::fuzz {

enum class Call : std::uint8_t {
    greet,
    info,
    read_image,
    push,
    trial,
    keep,
    revert,
    extend,
    release,
    set_mode,
    display,
    ping,
    subscribe,
    unsubscribe,
    listen,
};
constexpr std::uint8_t k_calls = 15;

}  // namespace fettle::fuzz
