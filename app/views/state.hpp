#pragma once
// What a screen remembers between frames and nobody else needs. Each screen's in a header of its own.

#include "app/views/assign_state.hpp"
#include "app/views/connect_state.hpp"
#include "app/views/fitting_state.hpp"
#include "app/views/frame_state.hpp"
#include "app/views/motion_state.hpp"
#include "app/views/people_state.hpp"
#include "app/views/presses_state.hpp"
#include "app/views/settings_state.hpp"
#include "app/views/teach_state.hpp"
#include "app/views/trial_state.hpp"

namespace fettle::app {

struct ViewState {
    FrameState frame;
    ConnectState connect;
    TeachState teach;
    AssignState assign;
    MotionState motion;
    PressesState presses;
    TrialState trial;
    PeopleState people;
    SettingsState settings;
    FittingState fitting;
};

}  // namespace fettle::app
