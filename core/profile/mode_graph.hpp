#pragma once
// Which modes lead where, by presses that can be made: the graph that check() reads. Modes are numbered as in
// the document, the first is 0. A person has two hands: one may hold an input while the other presses; more
// at once is not counted on.

#include "core/profile/workable.hpp"

namespace fettle::profile {

/// A mode that lasts as long as a press of `holder`, entered from mode `from`.
struct HeldMode {
    int mode = 0;
    int from = 0;
    const Press* holder = nullptr;
};

class ModeGraph {
public:
    /// The profile must outlive the graph. variant: 0 the profile as it stands.
    ModeGraph(const Profile& profile, int variant);
    ModeGraph(const ModeGraph&) = delete;
    ModeGraph& operator=(const ModeGraph&) = delete;

    int size() const { return static_cast<int>(presses_.size()); }
    /// What can be pressed in a mode.
    const std::vector<const Press*>& presses(int mode) const { return presses_.at(at(mode)); }
    /// The same while its holder is down: another input, and not another button of the same remote.
    std::vector<const Press*> presses(const HeldMode& held) const;
    /// Held modes that can be entered from modes that stay.
    const std::vector<HeldMode>& held_modes() const { return held_; }

    /// Modes that stay, and that some presses in `mode`, with one input held at most, lead to.
    const std::vector<int>& exits(int mode) const { return exits_.at(at(mode)); }
    /// Modes that stay and are reached from `mode` so, itself included.
    std::vector<bool> reached_from(int mode) const;
    /// Reached from the first mode, to stay.
    bool is_stayed_in(int mode) const { return stayed_in_.at(at(mode)); }
    /// Reached from the first mode, to stay or while something is held.
    bool is_reached(int mode) const { return reached_.at(at(mode)); }
    /// Is there a press of mouse buttons in `mode`, or while a mode is held from there?
    bool can_click(int mode) const { return clicks_.at(at(mode)); }

private:
    static std::size_t at(int mode) { return static_cast<std::size_t>(mode); }
    void find_exits(const Profile& profile, int mode);
    void add_exit(const Profile& profile, int from, const Press& press, int in);
    int target_of(const Profile& profile, const Press& press, int in) const;

    std::vector<Press> all_;
    std::vector<std::vector<const Press*>> presses_;
    std::vector<HeldMode> held_from_any_;
    std::vector<HeldMode> held_;
    std::vector<std::vector<int>> exits_;
    std::vector<bool> clicks_, stayed_in_, reached_;
};

}  // namespace fettle::profile
