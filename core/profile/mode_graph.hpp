#pragma once
// Which modes lead where: the graph that check() reads. Modes are numbered as in the document, the first is
// 0.

#include <functional>
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

class ModeGraph {
public:
    explicit ModeGraph(const Profile& profile);

    /// Modes that a press in `mode` leads to, while-held ones included (they lead back by themselves).
    const std::vector<int>& exits(int mode) const { return exits_.at(static_cast<std::size_t>(mode)); }
    /// Modes reached from `mode` by any number of presses, itself included.
    std::vector<bool> reached_from(int mode) const;
    /// True when the mode is only ever entered while an input is held: letting go leaves it.
    bool is_only_held(int mode) const;
    int size() const { return static_cast<int>(exits_.size()); }

private:
    std::vector<std::vector<int>> exits_;
    std::vector<bool> entered_to_stay_;
};

}  // namespace fettle::profile
