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
#include "app/ui/scanner.hpp"
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
    float wheel = 0;  ///< while it is entered
};

/// How a part of the window scrolls.
enum class PanelKind : std::uint8_t {
    pages,  ///< room at its side for two large buttons that scroll it, there while it does not show
            ///< everything
    plain,  ///< only as the focus goes
    always  ///< as plain; worked while an overlay is open, too
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
    /// When something changes by itself next: a lamp goes out, scanning goes on. On the clock of Input.
    std::optional<std::int64_t> due_ms() const;

    // --- what is set ---
    const Options& options() const { return options_; }
    const Theme& theme() const { return ui::theme(options_.theme); }
    float scale() const { return static_cast<float>(options_.scale_percent) / 100.0f; }
    std::int64_t now_ms() const { return input_.now_ms; }
    const Input& input() const { return input_; }
    /// What the parts of the window share: all of it but the call list.
    Rect room() const { return room_; }
    /// Where an overlay may stand; until it is said, in all of room().
    void overlay_room(Rect place) { overlay_room_ = place; }
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
    /// A heading of one line, cut where it does not fit.
    void title(std::string_view text);
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
    /// One line in a place of its own, cut where it does not fit (the registry has all of it).
    void chip(std::string_view id, NoteKind kind, std::string_view text, Rect place);
    /// A place to draw that is only looked at. description: what is to be seen, in words.
    ImDrawList* picture(std::string_view id, std::string_view label, std::string_view description,
                        Rect place);
    /// Width of a chip that shows all of its text.
    float chip_width(std::string_view text) const;

    // --- controls: each true, or a value, in the frame in which it was worked ---
    bool button(std::string_view id, std::string_view label, Look look = Look::plain, bool is_enabled = true);
    bool toggle(std::string_view id, std::string_view label, bool is_on, bool is_enabled = true);
    /// A button that shows less than its whole label: a sign, a line that is cut. width_px 0: as it needs.
    bool sign_button(std::string_view id, std::string_view label, std::string_view shown, float width_px = 0,
                     bool is_enabled = true);
    /// One of several of which one is chosen.
    bool option(std::string_view id, std::string_view label, bool is_chosen, bool is_enabled = true);
    /// The same over the whole width, as high as so many lines whatever its label says; what is longer is
    /// cut.
    bool option_of_lines(std::string_view id, std::string_view label, int lines, bool is_chosen);
    /// Leaves the room that one takes: where one may come.
    void room_of_option(int lines);
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
    /// The same as signs, a line each, in a given width.
    std::optional<int> sign_choice(std::string_view id, std::string_view label,
                                   std::span<const std::string> options, int chosen, float width_px);
    bool asking_sign(std::string_view id, std::string_view label, std::string_view shown, float width_px,
                     std::span<const std::string> question, std::string_view yes);
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
    void panel(std::string_view id, Rect place, PanelKind kind = PanelKind::pages);
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
    /// For tests: told of each control that is worked, by whatever way. False: it was only looked at.
    using Probe = std::function<bool(const std::string& id)>;
    void watch(Probe probe) { probe_ = std::move(probe); }
    void focus(std::string_view id);
    /// The first control of that part, once this frame is made.
    void focus_panel(std::string_view panel) { focus_panel_ = panel; }
    /// What scanning marks, in words: "group: Undo ..."; "" when it is not on.
    std::string scan_words() const;
    const Scan& scan() const { return scan_; }
    bool has_overlay() const { return has_open_overlay(); }
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
        float right_px = 0;  ///< left free at the right
    };
    struct ScanGroup {
        std::string id, label;
        std::vector<std::string> items;
        bool operator==(const ScanGroup&) const = default;
    };
    /// The part that is being filled.
    struct OpenPanel {
        Rect place;
        float gutter = 0;
        PanelKind kind = PanelKind::plain;
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
    /// Cut at its end, with an ellipsis, so that it is no wider.
    std::string shortened(std::string_view text, float most) const;
    Color color_of(NoteKind kind) const;
    float high(std::string_view text, float wide) const;
    std::optional<KeyEvent> catch_key(const KeyEvent& key);
    void check_button_text(const Placed& placed, const Face& face, std::string_view label);
    float high_of_lines(int lines) const;
    void bring_into_view(const Rect& rect) const;
    void draw_pager(const Panel& panel, const OpenPanel& open);
    void draw_pages(const Panel& panel, const Rect& side);
    void number_controls();
    Rect seen(const Control& control) const;
    void draw_ring();
    void draw_tags();
    void draw_called();
    void draw_scan_mark();
    void draw_dashed(Rect rect, Color color, float thick);
    void draw_call_list();
    void read_scan_groups();
    void scan_event(ScanEvent event);
    ScanParams scan_params() const;
    bool take_switch(const KeyEvent& key);
    bool take_entered(const KeyEvent& key);
    bool take_digit(const KeyEvent& key);
    void keep_what_is_always();
    void take_keys();
    /// True when it worked a control: what comes after waits for the next frame.
    bool take_one(const KeyEvent& key);
    bool take_navigation(const KeyEvent& key);
    bool select();
    /// Takes over the navigator's wish to scroll. True: there was none.
    bool scroll_now();
    void page(int by);
    bool overlay_is_new() const;
    bool is_overlaid() const;
    bool has_open_overlay() const;
    void draw_overlay();
    void follow_overlay();

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
    OpenPanel open_panel_;
    Rect room_, calls_room_;
    std::optional<Rect> overlay_room_;
    std::string focus_panel_;  ///< to be entered at the end of the frame
    std::string scroll_to_;    ///< control to be shown, where the focus is or not
    std::optional<Navigator::Scroll> scroll_;
    int more_frames_ = 0;
    bool keys_wait_ = false;          ///< for the registry to be the screen's again
    std::string catcher_escape_;      ///< key catcher that has seen Escape once
    std::uint8_t catcher_alone_ = 0;  ///< modifier that is down, so far alone
    int calls_page_ = 0;
    Probe probe_;
    Scan scan_;
    std::vector<ScanGroup> scan_groups_;
    std::unique_ptr<Overlay> overlay_;
    bool in_overlay_ = false;
    bool in_row_ = false, row_is_empty_ = true;
    int columns_ = 0;
    int statics_ = 0;
};

}  // namespace fettle::app::ui
