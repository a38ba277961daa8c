#pragma once
// Where the focus is and where it goes: in order (Tab), by five directions, by number, by scanning. Works on
// the registry of the frame before; pure but for its own small state. Source for the order: WCAG 2.2, 2.4.3.
// Thread: the window's.

#include <cstdint>
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

    /// In order, round the end. Where nothing has the focus: the first, or the last.
    void step(const Registry& registry, bool is_back);
    /// To the nearest control that way; stays where there is none.
    void move(const Registry& registry, Way way);
    /// The focus is on something that can be worked; else it goes to the nearest in order.
    void settle(const Registry& registry);

    // --- the call list: digits are collected until Enter, or until no longer number begins so ---
    /// Gives the id to activate.
    std::optional<std::string> digit(const Registry& registry, int digit);
    std::optional<std::string> finish_number(const Registry& registry);
    const std::string& typed() const { return typed_; }
    void forget_typed() { typed_.clear(); }

private:
    std::string focus_;
    std::string typed_;
    bool has_moved_ = false;
};

}  // namespace fettle::app::ui
