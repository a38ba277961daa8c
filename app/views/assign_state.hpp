#pragma once
// What the Assign screen remembers: which of its pages is open, what stands on it, the way back, and a key
// that is being picked.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "app/desk/edits.hpp"
#include "app/words/texts.hpp"
#include "core/profile/check.hpp"

namespace fettle::app {

enum class AssignPage : std::uint8_t {
    table,
    cell,
    pick,   ///< what a gesture does, by kind
    key,    ///< a key with its modifiers
    media,  ///< a media or system key
    modes,
    mode,
    inputs,
    input,
    texts,
    text,
    grid,
    grid_cell,
    layout,
    findings
};

/// A page and what stands on it.
struct AssignPlace {
    AssignPage page = AssignPage::table;
    std::string mode, input, text;
    profile::GestureName gesture = profile::GestureName::short_press;
    int row = 0, column = 0;  ///< of the grid
    int part = 0;             ///< of the text
    std::string focus;        ///< the control that gets the focus when it is come to
    bool operator==(const AssignPlace&) const = default;
};

/// What a picked key is for.
enum class KeyFor : std::uint8_t { action, text_part, grid_cell };

struct KeyDraft {
    KeyFor what = KeyFor::action;
    profile::ChordHold hold = profile::ChordHold::tapped;  ///< of a new chord
    profile::Stroke stroke;
    std::uint16_t media = 0;
    std::string search;
    int first = 0;  ///< of the found names, the one that is shown first
    bool is_number_wrong = false;
};

/// A way to mend a finding: an edit, or the place where it is mended.
struct AssignMend {
    std::string label;
    std::optional<edit::Edit> edit;
    std::optional<AssignPlace> place;
    bool teaches = false;       ///< goes to teaching `place->input`
    bool opens_motion = false;  ///< goes to the screen of motions
};

/// What a cell of the table says, and the worst finding that concerns it.
struct AssignFace {
    std::string label, shown;
    bool is_problem = false, is_warning = false;
};

struct AssignState {
    AssignPlace at;
    std::vector<AssignPlace> before;  ///< the way back, nearest last
    std::string shown_mode;           ///< where there is room for one only
    KeyDraft key;
    bool new_text_is_for_cell = false;
    std::string complaint;  ///< why the last edit was not taken
    std::string focus_next;
    std::vector<int> layouts;  ///< of the table of layouts, as far as tried: 1 known on this system, else 0

    /// What is made of the profile and its findings, each when it is first shown, once for each state of
    /// them.
    struct Made {
        profile::Profile profile;
        std::vector<profile::Finding> findings;
        Language language = Language::english;
        std::map<std::string, AssignFace, std::less<>> faces;       ///< of the table's cells, by id
        std::vector<std::optional<std::vector<AssignMend>>> mends;  ///< as many as findings
    };
    std::optional<Made> made;
};

}  // namespace fettle::app
