// The states of a link.
//
//            found    missing  opened    refused  greeted  heard  silent  gone     let_go   closed
//   absent   opening  absent   -         -        -        -      -       -        absent   -
//   opening  opening  absent   greeting  opening  -        -      -       -        absent   -
//   greeting -        -        -         -        live     -      -       closing  closing  -
//   live     -        -        -         -        -        live   stale   closing  closing  -
//   stale    -        -        -         -        -        live   stale   closing  closing  -
//   closing  -        -        -         -        -        -      -       closing  closing  absent
//
// After `closed` the station looks at once whether it is still wanted and attached, and opens again.

#include "app/desk/station_state.hpp"

namespace fettle::app {

namespace {

using State = std::optional<LinkState>;
constexpr std::int64_t k_beat_limit_ms = 1000;

State from_absent(LinkEvent event) {
    switch (event) {
        case LinkEvent::found: return LinkState::opening;
        case LinkEvent::missing:
        case LinkEvent::let_go: return LinkState::absent;
        case LinkEvent::opened:
        case LinkEvent::refused:
        case LinkEvent::greeted:
        case LinkEvent::heard:
        case LinkEvent::silent:
        case LinkEvent::gone:
        case LinkEvent::closed: return std::nullopt;
    }
    return std::nullopt;
}

State from_opening(LinkEvent event) {
    switch (event) {
        case LinkEvent::opened: return LinkState::greeting;
        case LinkEvent::found:
        case LinkEvent::refused: return LinkState::opening;
        case LinkEvent::missing:
        case LinkEvent::let_go: return LinkState::absent;
        case LinkEvent::greeted:
        case LinkEvent::heard:
        case LinkEvent::silent:
        case LinkEvent::gone:
        case LinkEvent::closed: return std::nullopt;
    }
    return std::nullopt;
}

/// live and stale, and greeting but for what it is for.
State from_open(LinkEvent event) {
    switch (event) {
        case LinkEvent::heard: return LinkState::live;
        case LinkEvent::silent: return LinkState::stale;
        case LinkEvent::gone:
        case LinkEvent::let_go: return LinkState::closing;
        case LinkEvent::found:
        case LinkEvent::missing:
        case LinkEvent::opened:
        case LinkEvent::refused:
        case LinkEvent::greeted:
        case LinkEvent::closed: return std::nullopt;
    }
    return std::nullopt;
}

State from_greeting(LinkEvent event) {
    if (event == LinkEvent::greeted) return LinkState::live;
    if (event == LinkEvent::heard || event == LinkEvent::silent) return std::nullopt;
    return from_open(event);
}

State from_closing(LinkEvent event) {
    if (event == LinkEvent::closed) return LinkState::absent;
    if (event == LinkEvent::gone || event == LinkEvent::let_go) return LinkState::closing;
    return std::nullopt;
}

}  // namespace

std::optional<LinkState> next_state(LinkState state, LinkEvent event) {
    switch (state) {
        case LinkState::absent: return from_absent(event);
        case LinkState::opening: return from_opening(event);
        case LinkState::greeting: return from_greeting(event);
        case LinkState::live:
        case LinkState::stale: return from_open(event);
        case LinkState::closing: return from_closing(event);
    }
    return std::nullopt;
}

LinkState seen_state(const DeviceNow& now, std::int64_t now_ms) {
    switch (now.state) {
        case LinkState::opening:
        case LinkState::greeting:
        case LinkState::live: return now_ms - now.beat_ms > k_beat_limit_ms ? LinkState::stale : now.state;
        case LinkState::absent:
        case LinkState::stale:
        case LinkState::closing: return now.state;
    }
    return now.state;
}

}  // namespace fettle::app
