#pragma once
// Shared by the sources of Session, and by nobody else.

#include <cstdint>
#include <vector>

namespace fettle::link {

/// Of a body that Session::receive let through: at most k_body_max.
inline std::uint8_t size_of(const std::vector<std::uint8_t>& body) {
    return static_cast<std::uint8_t>(body.size());
}

/// How far the device's clock went, of which only the low 32 bits are known (it wraps every 71.6 minutes):
/// what is nearest to the time that passed for the host meanwhile. us.
inline std::int64_t device_step_us(std::uint32_t step_us, std::int64_t passed_us) {
    constexpr std::int64_t k_wrap_us = std::int64_t{1} << 32;
    const std::int64_t nearest = static_cast<std::int32_t>(step_us);
    const std::int64_t wraps = (passed_us - nearest + k_wrap_us / 2) / k_wrap_us;
    return nearest + (wraps > 0 ? wraps : 0) * k_wrap_us;
}

}  // namespace fettle::link
