#pragma once
// Which of the assigned gestures a person can make at all: an input that waits to be taught, a long press
// under rules that know none, or a double press that the debounce swallows, are assigned and do nothing. What
// check() counts on, it counts on these alone. Source of the rules: engine/press.cpp, engine/remote.hpp.

#include <string>
#include <vector>

#include "core/profile/model.hpp"

namespace fettle::profile {

enum class GestureName { short_press, long_press, double_press };

/// One assigned action and where it stands.
struct Placed {
    int mode = 0;
    int assignment = 0;  ///< index in the mode
    GestureName gesture = GestureName::short_press;
    const Action* action = nullptr;
    const std::string* input = nullptr;
};

/// Every assigned action, mode by mode.
std::vector<Placed> placed_actions(const Profile& profile);
/// JSON pointer of an assigned action.
std::string pointer_to(const Placed& placed);

/// A gesture that can be made. lasts: what it holds is held as long as the input, not begun and ended at
/// once.
struct Press {
    Placed placed;
    bool is_remote = false;
    bool lasts = false;
};

/// Of all placed actions those that can be made, in their order. variant: 0 the profile as it stands.
/// The profile must outlive the answer.
std::vector<Press> workable_presses(const Profile& profile, int variant);

/// The rule set of that name as the variant has it; nullptr if there is none.
const RuleSet* rules_in(const Profile& profile, int variant, const std::string& name);

/// Can a frame of it ever be heard? A necx address whose bytes are complements is what nec sends.
bool is_hearable(const Infrared& infrared);

/// From one frame of a held button to the next, ms, rounded up. An unknown protocol: 125 ms, what the Linux
/// kernel's rc-core waits by default (Linux 6.1, drivers/media/rc).
int remote_period_ms(engine::Protocol protocol);

}  // namespace fettle::profile
