#pragma once
// Reads a profile as a graph of modes and says what could lock a person out, and what is doubtful.
// Lock-outs are refused; warnings may be accepted by their name. Sentences for people are made in app/words.
// Only what can be pressed counts (workable.hpp), in the profile as it stands and in each variant: a finding
// that a variant alone has names it in brackets behind the mode. A mode that is held counts the inputs that
// are free while its holder is down.

#include <string>
#include <string_view>
#include <vector>

#include "core/profile/model.hpp"
#include "core/profile/strokes.hpp"

namespace fettle::profile {

enum class FindingKind {
    // lock-outs
    mode_without_exit,      ///< subject: mode. Nothing in it leads to another mode
    mode_without_way_back,  ///< subject: mode, first mode. No path leads back to the first mode
    mode_without_release,   ///< subject: mode. Release everything is not one press away
    held_without_release,  ///< subject: input, mode. A drag, latch or lock is set where nothing lets go of it
    gesture_assigned_twice,  ///< subject: input, mode
    same_source_twice,       ///< subject: input, input. One press would work both
    pointer_without_click,   ///< subject: mode. The pointer moves, and no mode reached from here clicks
    text_not_typable,        ///< subject: text or cell, what cannot be typed, layout
    layout_unknown,          ///< subject: layout. Texts cannot be checked
    needs_two_buttons,  ///< subject: input, mode. It works only while a second button of the same remote is
                        ///< held
    nothing_assigned,   ///< no input does anything in the first mode
    // warnings
    mode_never_reached,   ///< subject: mode
    input_does_nothing,   ///< subject: input
    modifier_held_long,   ///< subject: input, mode. A modifier alone is held: hosts read that as a request
    modifier_repeated,    ///< subject: input, mode
    erasing_repeated,     ///< subject: input, mode, key. Delete, Enter or Backspace repeats by itself
    password_in_text,     ///< subject: text
    shorter_than_remote,  ///< subject: rule set, field, its value, least value that works. Unit: ms
    delay_shorter_than_remote,     ///< subject: motion, its delay, least value that works. Unit: ms
    holdover_shorter_than_remote,  ///< subject: rule set, its holdover, least value that works. Unit: ms. A
                                   ///< held button is let go between two of its frames
    variant_without_way_back,  ///< subject: variant. Presses lead to it, none back to the profile as it is
};

struct Finding {
    FindingKind kind;
    std::string where;                  ///< JSON pointer into the document
    std::vector<std::string> subjects;  ///< as listed with the kind
    bool operator==(const Finding&) const = default;
};

bool is_lock_out(FindingKind kind);
/// Stable name, e.g. "mode-without-exit".
std::string_view finding_name(FindingKind kind);
/// Nothing for a name that is none.
std::optional<FindingKind> finding_kind(std::string_view name);

/// All findings, lock-outs first, each kind in the order of the document. layout: what types the texts;
/// nullptr where the profile's keyboard layout is not known on this system (then layout_unknown if the
/// profile types text).
std::vector<Finding> check(const Profile& profile, const StrokeSource* layout);

/// What stands in the way of a push: lock-outs, and warnings that are not in `accepted` (names).
std::vector<Finding> refusals(const std::vector<Finding>& findings, const std::vector<std::string>& accepted);

}  // namespace fettle::profile
