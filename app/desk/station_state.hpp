#pragma once
// The states of a link and what moves them. Pure.

#include <cstdint>
#include <optional>

#include "app/desk/device_now.hpp"

namespace fettle::app {

enum class LinkEvent : std::uint8_t {
    found,    ///< it is wanted and attached
    missing,  ///< it is wanted and not attached, or not wanted
    opened,
    refused,  ///< opening failed
    greeted,
    heard,   ///< a sign of life
    silent,  ///< none for too long
    gone,    ///< the link is broken, or greeting failed, or it was silent in spite of being asked
    let_go,  ///< a person ends it
    closed,
};
inline constexpr int k_link_states = 6;
inline constexpr int k_link_events = 10;

/// Nothing: this event cannot happen in this state, a bug of ours.
std::optional<LinkState> next_state(LinkState state, LinkEvent event);

}  // namespace fettle::app
