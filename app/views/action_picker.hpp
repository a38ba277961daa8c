#pragma once
// What a press can do, as people name it, grouped; and the fields of each kind of action.

#include <optional>
#include <string>
#include <vector>

#include "app/views/assign_parts.hpp"

namespace fettle::app {

/// What a person chooses by: finer than kinds of action, as one kind does what people call by several names.
enum class Pick : std::uint8_t {
    move,
    click,
    double_click,
    button_held,
    drag,
    jump,
    scale,
    scroll,
    key_tapped,
    key_held,
    key_repeated,
    latch,
    lock,
    media,
    text,
    grid_move,
    grid_pick,
    mode_go,
    mode_held,
    mode_next,
    variant_next,
    variant_go,
    release,
    keep,
    revert,
    extend,
    nothing
};
inline constexpr int k_picks = 27;

Pick pick_of(const std::optional<profile::Action>& action);
/// The id of its control on the page where it is chosen.
std::string pick_id(Pick pick);

/// The edits that make the gesture of `place` do that, with what it needs where the profile has none of it
/// yet (a motion, a repeat, a grid of letters). Nothing: a key, a media key or a text must be chosen first.
std::vector<edit::Edit> edits_of_pick(const profile::Profile& profile, const AssignPlace& place, Pick pick);

/// The controls of all its fields; the changed action when one was worked. May ask for other edits and pages.
std::optional<profile::Action> action_fields(Assign& a, const profile::Action& action);

}  // namespace fettle::app
