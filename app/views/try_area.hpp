#pragma once
// Where motion is tried: targets of three sizes and a pointer. The simulated computer's pointer follows the
// device's reports, the real one is the window's. Model only; drawn by motion_view_try.cpp. Unit: px of the
// area, from its upper left corner.

#include <array>
#include <cstdint>
#include <optional>
#include <span>

#include "app/desk/pointer_meter.hpp"
#include "app/ui/geometry.hpp"
#include "app/views/motion_trail.hpp"

namespace fettle::app {

enum class TargetSize : std::uint8_t { large, medium, small };
inline constexpr std::size_t k_targets = 3;
/// Diameter. Own choice: a large button, a small button, a window's corner.
inline constexpr std::array<int, k_targets> k_target_px = {96, 48, 24};

/// Of the simulated computer only, so that a bent curve can be looked at: 1 pixel a count up to 150 counts a
/// second, rising straight to 3 at 900 and more. Our own, no system's.
double simulated_gain(double counts_per_s);

class TryArea {
public:
    /// A frame of the simulated computer: its reports move the pointer, kept inside. is_accelerated: by
    /// simulated_gain. Gives what was sent and moved.
    PointerStep follow(std::span<const PointerReport> reports, ui::Point size, bool is_accelerated);
    /// A frame of a real computer. pointer: in the area's px, nothing while it is not seen; is_at_edge: it
    /// stands at the window's edge. reports: for the counts.
    PointerStep follow_real(std::span<const PointerReport> reports, std::optional<ui::Point> pointer,
                            bool is_at_edge, bool is_down, ui::Point size);
    /// Pointer to its start (simulated), counts to 0.
    void reset();

    static ui::Point centre(TargetSize target, ui::Point size);
    std::optional<TargetSize> under() const;
    ui::Point pointer() const { return pointer_; }
    bool is_pointer_seen() const { return is_seen_; }
    int hits(TargetSize target) const { return hits_[static_cast<std::size_t>(target)]; }
    int misses() const { return misses_; }
    /// A target that was hit in the last frame.
    std::optional<TargetSize> new_hit() const { return new_hit_; }

private:
    void set_size(ui::Point size);
    void press();

    ui::Point size_{0, 0}, pointer_{0, 0};
    bool is_placed_ = false, is_seen_ = false, was_down_ = false;
    std::array<int, k_targets> hits_{};
    int misses_ = 0;
    std::optional<TargetSize> new_hit_;
    std::optional<ui::Point> last_real_;
    std::int64_t last_report_us_ = -1;
};

}  // namespace fettle::app
