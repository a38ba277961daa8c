#pragma once
// Where the focus is and where it goes: in order (Tab), by five directions, from part to part (F6), by
// number. Works on the registry of the frame before; pure but for its own small state. Source for the order:
// WCAG 2.2, 2.4.3. Thread: the window's.

#include <cstdint>
#include <map>
#include <optional>
#include <string>

#include "app/ui/control.hpp"
#include "app/ui/options.hpp"

namespace fettle::app::ui {

enum class Way : std::uint8_t { left, right, up, down };

class Navigator {
public:
    const std::string& focus() const { return focus_; }
    void set_focus(std::string id) {
        focus_ = std::move(id);
        has_moved_ = true;
    }
    /// True once after the focus moved: its control is then scrolled into view.
    bool take_moved();
    bool has_moved() const { return has_moved_; }

    /// In order, round the end. Where nothing has the focus: the first, or the last.
    void step(const Registry& registry, bool is_back);
    /// To the nearest control that way. Up and down: where the next one lies further than a page away, or
    /// there is none, the panel scrolls instead. Left and right: at a row's end to the part of the window
    /// beside, else on in order.
    void move(const Registry& registry, Way way);
    /// To the next part of the window, where the focus was there before.
    void step_panel(const Registry& registry, bool is_back);
    /// To the first control of a part that can be worked. False: it has none.
    bool enter_panel(const Registry& registry, const std::string& panel);
    /// The focus is on something that exists: where its control went, on what stands in its place now. It
    /// stays on a control that is only not enabled any more: nothing moves under a finger.
    void settle(const Registry& registry);

    struct Scroll {
        std::string panel;
        float by_px = 0;
    };
    /// A panel that is to scroll, once.
    std::optional<Scroll> take_scroll();

    // --- the call list: digits are collected until Enter, or until no longer number begins so ---
    /// Gives the id to activate.
    std::optional<std::string> digit(const Registry& registry, int digit);
    std::optional<std::string> finish_number(const Registry& registry);
    const std::string& typed() const { return typed_; }
    void forget_typed() { typed_.clear(); }

private:
    bool move_up_or_down(const Registry& registry, const Control& from, bool is_down);
    bool move_sideways(const Registry& registry, const Control& from, bool is_right);
    bool leave_panel(const Registry& registry, const Control& from, Way way);
    void go_on(const Registry& registry, const Control& from, bool is_back);

    std::string focus_;
    std::string typed_;
    std::map<std::string, std::string> last_in_;  ///< panel: where the focus was
    std::optional<Scroll> scroll_;
    int index_ = 0;  ///< of the focus in the registry, as it was last
    bool has_moved_ = false;
};

}  // namespace fettle::app::ui
