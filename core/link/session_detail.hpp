#pragma once
// Shared by the sources of Session, and by nobody else.

#include <cstdint>
#include <vector>

namespace fettle::link {

/// Of a body that Session::receive let through: at most k_body_max.
inline std::uint8_t size_of(const std::vector<std::uint8_t>& body) {
    return static_cast<std::uint8_t>(body.size());
}

}  // namespace fettle::link
