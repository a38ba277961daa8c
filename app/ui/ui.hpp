#pragma once
// What a screen is made of. A screen is a function that calls this once a frame, top to bottom; nothing is
// kept between frames but by id. Every control made here is in the registry: there is no other way to draw
// one. Ids: stable ASCII, "screen.part.thing", the same in every language; unique on a screen. Thread: the
// window's. Owner: the shell, or a test. Needs a current Dear ImGui context with a frame begun.

#include <cstdint>
#include <deque>
#include <functional>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "app/ui/control.hpp"
#include "app/ui/input.hpp"
#include "app/ui/navigator.hpp"
#include "app/ui/options.hpp"
#include "app/ui/theme.hpp"
#include "app/words/texts.hpp"

struct ImDrawList;

namespace fettle::app::ui {

enum class Look : std::uint8_t {
    plain,
    strong,  ///< the one that a screen is there for
    danger   ///< cannot be undone
};

enum class NoteKind : std::uint8_t { hint, good, warning, problem };

/// What a `hold` control tells: it is down as long as Space, Enter or the pointer holds it; `was_tapped` when
/// it was activated by number or scanning, which know no holding.
struct Held {
    bool is_down = false;
    bool was_tapped = false;
};

/// A whole number's limits and words. unit: "ms", "" if none.
struct NumberRange {
    std::int64_t least = 0, most = 100, step = 1;
    std::string unit;
    bool zero_is_off = false;  ///< 0 may stand outside least to most and reads "off"
};

/// How a cell of a table looks.
struct CellState {
    bool is_lit = false;  ///< its input is down
    bool is_empty = false;
    NoteKind mark = NoteKind::hint;  ///< warning and problem are drawn with their shape
};

/// A place to draw, worked by keyboard once it was entered: select enters, Escape or select again leaves.
struct Canvas {
    Rect rect;  ///< whole, on screen
    ImDrawList* draw = nullptr;
    bool is_focused = false;
    bool is_entered = false;
    bool was_activated = false;    ///< entered this frame
    std::vector<KeyEvent> keys;    ///< while it is entered
    std::optional<Point> pointer;  ///< while it is over the canvas
    bool pointer_down = false;
    float wheel = 0;
};

struct Overlay;

class Ui {
public:
    Ui();
    ~Ui();
    Ui(const Ui&) = delete;
    Ui& operator=(const Ui&) = delete;

    // --- the frame: called by the shell or a test, around the screen's function ---
    void begin(const Input& input, const Options& options);
    /// Ends the frame: overlays, focus ring, call list. Then `registry()` is this frame's.
    void end();
    /// Something waits that needs another frame (a queued key, an activation, a scan that moves, a lamp).
    bool wants_frame() const;

    // --- what is set ---
    const Options& options() const { return options_; }
    const Theme& theme() const { return ui::theme(options_.theme); }
    float scale() const { return static_cast<float>(options_.scale_percent) / 100.0f; }
    std::int64_t now_ms() const { return input_.now_ms; }
    const Input& input() const { return input_; }
    /// Width left for content, px.
    float width() const;
    /// A line of text, and the least height of a control: at least 44 px times no less than 1.
    float line_height() const;
    float target() const;
    float pad() const;
    /// Too narrow for things side by side: the screen stacks them.
    bool is_narrow() const;

    // --- words ---
    const char* t(T text) const { return text_in(options_.language, text); }
    template <typename... Values>
    std::string t(T text, const Values&... values) const {
        return text_in(options_.language, text, values...);
    }

    // --- only read ---
    void heading(std::string_view text);
    /// Wraps.
    void text(std::string_view text);
    void quiet(std::string_view text);
    /// Takes the room of so many lines whatever it says: for what changes by itself. id: for tests.
    void live(std::string_view id, int lines, std::string_view text);
    /// A label and a value on a row of their own.
    void fact(std::string_view id, std::string_view label, std::string_view value);
    void note(NoteKind kind, std::string_view text);
    /// One line of the largest type (seconds left).
    void large(std::string_view id, std::string_view text);
    void gap();

    // --- controls: each true, or a value, in the frame in which it was worked ---
    bool button(std::string_view id, std::string_view label, Look look = Look::plain, bool is_enabled = true);
    bool toggle(std::string_view id, std::string_view label, bool is_on, bool is_enabled = true);
    /// One of several of which one is chosen.
    bool option(std::string_view id, std::string_view label, bool is_chosen, bool is_enabled = true);
    Held hold(std::string_view id, std::string_view label, bool is_lit);
    /// Label above, value in the control; activated it opens a list over the screen.
    std::optional<int> choice(std::string_view id, std::string_view label,
                              std::span<const std::string> options, int chosen, bool is_enabled = true);
    /// Three controls: less, the value (opens digits), more.
    std::optional<std::int64_t> number(std::string_view id, std::string_view label, std::int64_t value,
                                       const NumberRange& range, bool is_enabled = true);
    /// Activated it opens an editor with the letters as controls beside the keyboard. Ended with Done.
    std::optional<std::string> text_field(std::string_view id, std::string_view label, std::string_view value,
                                          int most_characters = 64, bool is_enabled = true);
    /// Waits for one key: the next key that is pressed is given instead of working the window. Escape twice
    /// leaves. Gives the key event.
    std::optional<KeyEvent> key_catcher(std::string_view id, std::string_view label);
    /// A button that asks first; true when the answer was yes. question: whole sentences, a line each.
    bool asking_button(std::string_view id, std::string_view label, std::span<const std::string> question,
                       std::string_view yes, Look look = Look::danger, bool is_enabled = true);
    /// A cell of a table: label is the whole meaning ("up in mode far"), shown is what stands in it.
    bool cell(std::string_view id, std::string_view label, std::string_view shown, const CellState& state,
              float width_px);
    /// height_px: before scaling. description: what is to be seen, in words, for those who do not see it.
    Canvas canvas(std::string_view id, std::string_view label, std::string_view description, float height_px);

    // --- layout ---
    /// Until end_row() controls stand beside each other as far as there is room, then on the next line.
    void row();
    void end_row();
    /// Scanning goes group by group; the text of the screen names them.
    void group(std::string_view id, std::string_view label);
    void end_group();
    /// A part of the window that scrolls up and down by itself. height_px 0: all that is left.
    void panel(std::string_view id, Rect place);
    void end_panel();
    /// Side by side where there is room, one above the other where not. i: 0 to count - 1.
    void column(int i, int count);
    void end_columns();

    /// Stays true for at least options().lit_ms after `is_on` was last true.
    bool lamp(std::string_view id, bool is_on);

    // --- for the shell and tests ---
    const Registry& registry() const { return shown_; }
    Navigator& navigator() { return navigator_; }
    /// Works a control as if it had been selected. False: no such control, or it is not enabled.
    bool activate(std::string_view id);
    void focus(std::string_view id);
    bool has_overlay() const { return overlay_ != nullptr; }
    /// Keys that were pressed now and that no control wants, for shortcuts of the frame. Control held: undo
    /// ...
    bool take_key(Key key, bool control = false);

private:
    friend struct Overlay;
    /// A control that was given its place: where it stands and what was done with it this frame.
    struct Placed {
        Rect rect;
        bool is_enabled = true;
        bool is_focused = false;
        bool is_pressed = false;  ///< by pointer, held down now
        bool was_activated = false;
    };
    struct Face {
        std::string_view shown;
        Color ground, edge, text;
        bool is_centred = false;
    };
    Placed place(std::string_view id, Role role, std::string_view label, std::string_view value, float width,
                 float height, bool is_enabled, bool is_on = false);
    void add_static(std::string_view id, Role role, std::string_view label, std::string_view value,
                    Rect rect);
    /// Before an item of that width: beside the last one or on a line of its own.
    void flow(float width);
    void flowed();
    Face face(const Placed& placed, std::string_view shown, Look look, bool is_on) const;
    void draw_face(const Placed& placed, const Face& face);
    void draw_check(const Placed& placed, const Face& face, bool is_round, bool is_on);
    /// Label above a control that `body` makes; both flow as one.
    void labelled(std::string_view label, float width, const std::function<void()>& body);
    Point text_size(std::string_view text, float wrap) const;
    float fit(std::string_view text, float most) const;
    void number_controls();
    void draw_ring();
    void draw_call_list_numbers();
    void take_keys();
    /// True when it worked a control: what comes after waits for the next frame.
    bool take_one(const KeyEvent& key);
    bool take_navigation(const KeyEvent& key);
    bool select();
    bool is_overlaid() const { return overlay_ != nullptr && !in_overlay_; }
    void draw_overlay();
    void close_overlay();

    Options options_;
    Input input_;
    Registry building_, shown_;
    Navigator navigator_;
    std::deque<KeyEvent> keys_;
    std::vector<KeyEvent> frame_keys_;  ///< not wanted by a control
    std::vector<KeyEvent> entered_keys_;
    std::string activated_;  ///< the control that is worked this frame
    std::string entered_;    ///< canvas or key catcher that takes the keys
    std::string held_;       ///< hold control that a key keeps down
    std::string tapped_;     ///< hold control that was activated without a key of its own
    std::map<std::string, std::int64_t, std::less<>> lamps_;
    std::string group_, panel_;
    std::unique_ptr<Overlay> overlay_;
    bool in_overlay_ = false;
    bool in_row_ = false, row_is_empty_ = true;
    int columns_ = 0;
    int statics_ = 0;
};

}  // namespace fettle::app::ui
