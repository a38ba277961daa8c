#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "app/views/hands.hpp"
#include "app/views/teach_state.hpp"
#include "app/views/trial_state.hpp"

namespace fettle::app {

/// The pages of the first fitting, in order.
enum class FittingPage : std::uint8_t {
    welcome,
    help,
    hurt,
    device,
    teach,
    assign,
    motion,
    presses,
    trial,
    done
};
inline constexpr int k_fitting_pages = 10;

struct FittingState {
    FittingPage page = FittingPage::welcome;
    std::optional<bool> can_reach_help, hurts;
    std::string input;  ///< that is being assigned
    TeachState teach;
    TrialState trial;
    HandsState hands;
};

}  // namespace fettle::app
