#include "app/ui/navigator.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace fettle::app::ui {

namespace {

constexpr float k_page = 0.75f;  ///< of a panel's height: how far a step scrolls

bool can_focus(const Control& control) {
    return is_worked(control.role) && control.is_enabled;
}

int index_of(const Registry& registry, const std::string& id) {
    for (std::size_t i = 0; i < registry.controls.size(); ++i)
        if (registry.controls[i].id == id) return static_cast<int>(i);
    return -1;
}

float overlap(float a, float a_end, float b, float b_end) {
    return std::min(a_end, b_end) - std::max(a, b);
}

/// They stand in one row: half of the lower one's height is shared.
bool are_in_row(const Rect& a, const Rect& b) {
    return overlap(a.y, a.bottom(), b.y, b.bottom()) > 0.5f * std::min(a.h, b.h);
}

float across(const Rect& a, const Rect& b) {
    return std::max(0.0f, -overlap(a.x, a.right(), b.x, b.right())) +
           0.01f * std::abs(a.centre().x - b.centre().x);
}

/// That way and beside: they share some of their height, or of their width.
bool lies(const Rect& from, const Rect& to, Way way) {
    const bool beside = overlap(from.y, from.bottom(), to.y, to.bottom()) > 0;
    const bool in_line = overlap(from.x, from.right(), to.x, to.right()) > 0;
    switch (way) {
        case Way::left: return beside && to.right() <= from.x + 1;
        case Way::right: return beside && to.x >= from.right() - 1;
        case Way::up: return in_line && to.bottom() <= from.y + 1;
        case Way::down: return in_line && to.y >= from.bottom() - 1;
    }
    return false;
}

float gap(const Rect& a, const Rect& b) {
    const float x = std::max(0.0f, -overlap(a.x, a.right(), b.x, b.right()));
    const float y = std::max(0.0f, -overlap(a.y, a.bottom(), b.y, b.bottom()));
    return x + y + 0.01f * (std::abs(a.centre().x - b.centre().x) + std::abs(a.centre().y - b.centre().y));
}

/// The next row that way, and in it what is nearest to straight on.
const Control* in_next_row(const Registry& registry, const Control& from, bool is_down) {
    const auto is_beyond = [&](const Control& to) {
        const bool is_that_way = is_down ? to.rect.centre().y > from.rect.centre().y + 1
                                         : to.rect.centre().y < from.rect.centre().y - 1;
        return can_focus(to) && to.panel == from.panel && to.id != from.id && is_that_way &&
               !are_in_row(from.rect, to.rect);
    };
    const Control* nearest = nullptr;
    for (const Control& to : registry.controls) {
        if (!is_beyond(to)) continue;
        if (nearest == nullptr || (is_down ? to.rect.centre().y < nearest->rect.centre().y
                                           : to.rect.centre().y > nearest->rect.centre().y))
            nearest = &to;
    }
    if (nearest == nullptr) return nullptr;
    const Control* best = nearest;
    for (const Control& to : registry.controls)
        if (is_beyond(to) && are_in_row(nearest->rect, to.rect) &&
            across(from.rect, to.rect) < across(from.rect, best->rect))
            best = &to;
    return best;
}

}  // namespace

bool Navigator::take_moved() {
    const bool moved = has_moved_;
    has_moved_ = false;
    return moved;
}

std::optional<Navigator::Scroll> Navigator::take_scroll() {
    auto wish = std::move(scroll_);
    scroll_.reset();
    return wish;
}

void Navigator::step(const Registry& registry, bool is_back) {
    const int count = static_cast<int>(registry.controls.size());
    const int at = index_of(registry, focus_);
    int i = at >= 0 ? at : (is_back ? count : -1);
    for (int tried = 0; tried < count; ++tried) {
        i += is_back ? -1 : 1;
        if (i >= count) i = 0;
        if (i < 0) i = count - 1;
        if (!can_focus(registry.controls[static_cast<std::size_t>(i)])) continue;
        set_focus(registry.controls[static_cast<std::size_t>(i)].id);
        return;
    }
}

void Navigator::move(const Registry& registry, Way way) {
    const Control* from = registry.find(focus_);
    if (from == nullptr) return step(registry, way == Way::up || way == Way::left);
    const Control here = *from;
    switch (way) {
        case Way::up:
        case Way::down:
            if (!move_up_or_down(registry, here, way == Way::down)) (void)leave_panel(registry, here, way);
            return;
        case Way::left:
        case Way::right:
            if (move_sideways(registry, here, way == Way::right)) return;
            if (!leave_panel(registry, here, way)) go_on(registry, here, way == Way::left);
            return;
    }
}

bool Navigator::move_up_or_down(const Registry& registry, const Control& from, bool is_down) {
    const Control* to = in_next_row(registry, from, is_down);
    const Panel* panel = registry.find_panel(from.panel);
    if (panel != nullptr) {
        const float page = k_page * panel->rect.h;
        const bool can = is_down ? panel->scroll < panel->most_scroll - 1 : panel->scroll > 1;
        const float beyond = to == nullptr ? 1e9f
                             : is_down     ? to->rect.bottom() - panel->rect.bottom()
                                           : panel->rect.y - to->rect.y;
        // What lies between would never be seen.
        if (can && beyond > page) {
            scroll_ = Scroll{panel->id, is_down ? page : -page};
            return true;
        }
    }
    if (to != nullptr) set_focus(to->id);
    return to != nullptr;
}

bool Navigator::move_sideways(const Registry& registry, const Control& from, bool is_right) {
    const Control* best = nullptr;
    const auto far = [&](const Control& to) {
        const float along = is_right ? to.rect.x - from.rect.x : from.rect.x - to.rect.x;
        return along + 0.1f * std::abs(to.rect.centre().y - from.rect.centre().y);
    };
    for (const Control& to : registry.controls) {
        if (!can_focus(to) || to.panel != from.panel || to.id == from.id) continue;
        const bool is_that_way = is_right ? to.rect.centre().x > from.rect.centre().x + 1
                                          : to.rect.centre().x < from.rect.centre().x - 1;
        if (!is_that_way || !are_in_row(from.rect, to.rect)) continue;
        if (best == nullptr || far(to) < far(*best)) best = &to;
    }
    if (best != nullptr) set_focus(best->id);
    return best != nullptr;
}

bool Navigator::leave_panel(const Registry& registry, const Control& from, Way way) {
    const Panel* here = registry.find_panel(from.panel);
    if (here == nullptr) return false;
    const Control* best = nullptr;
    for (const Control& to : registry.controls) {
        if (!can_focus(to) || to.panel == from.panel) continue;
        const Panel* there = registry.find_panel(to.panel);
        if (there == nullptr || !lies(here->rect, there->rect, way)) continue;
        // What is seen first; what is scrolled away where nothing else lies there.
        const bool is_better =
            best == nullptr || (to.is_in_view && !best->is_in_view) ||
            (to.is_in_view == best->is_in_view && gap(from.rect, to.rect) < gap(from.rect, best->rect));
        if (is_better) best = &to;
    }
    if (best == nullptr) return false;
    set_focus(best->id);
    return true;
}

void Navigator::go_on(const Registry& registry, const Control& from, bool is_back) {
    const int count = static_cast<int>(registry.controls.size());
    const int by = is_back ? -1 : 1;
    for (int i = index_of(registry, from.id) + by; i >= 0 && i < count; i += by) {
        const Control& to = registry.controls[static_cast<std::size_t>(i)];
        if (can_focus(to) && to.panel == from.panel) return set_focus(to.id);
    }
}

void Navigator::step_panel(const Registry& registry, bool is_back) {
    const int count = static_cast<int>(registry.panels.size());
    if (count == 0) return;
    const Control* from = registry.find(focus_);
    int at = is_back ? count : -1;
    for (int i = 0; i < count && from != nullptr; ++i)
        if (registry.panels[static_cast<std::size_t>(i)].id == from->panel) at = i;
    for (int tried = 0; tried < count; ++tried) {
        at = (at + (is_back ? -1 : 1) + count) % count;
        const Panel& panel = registry.panels[static_cast<std::size_t>(at)];
        if (from != nullptr && panel.id == from->panel) continue;
        const Control* last = registry.find(last_in_[panel.id]);
        if (last != nullptr && last->panel == panel.id && can_focus(*last)) return set_focus(last->id);
        if (enter_panel(registry, panel.id)) return;
    }
}

bool Navigator::enter_panel(const Registry& registry, const std::string& panel) {
    for (const Control& control : registry.controls) {
        if (control.panel != panel || !can_focus(control)) continue;
        set_focus(control.id);
        return true;
    }
    return false;
}

void Navigator::settle(const Registry& registry) {
    const int at = index_of(registry, focus_);
    if (at >= 0) {
        const Control& control = registry.controls[static_cast<std::size_t>(at)];
        last_in_[control.panel] = focus_;
        index_ = at;
        return;
    }
    const int count = static_cast<int>(registry.controls.size());
    // What stands in its place now, else the nearest before it.
    for (int i = std::max(0, index_); i < count && !focus_.empty(); ++i)
        if (can_focus(registry.controls[static_cast<std::size_t>(i)]))
            return set_focus(registry.controls[static_cast<std::size_t>(i)].id);
    for (int i = std::min(index_, count) - 1; i >= 0 && !focus_.empty(); --i)
        if (can_focus(registry.controls[static_cast<std::size_t>(i)]))
            return set_focus(registry.controls[static_cast<std::size_t>(i)].id);
    focus_.clear();
    if (!enter_panel(registry, "content")) step(registry, false);
}

std::optional<std::string> Navigator::finish_number(const Registry& registry) {
    if (typed_.empty()) return std::nullopt;
    const int number = std::stoi(typed_);
    typed_.clear();
    for (const Control& control : registry.controls)
        if (control.number == number && can_focus(control)) return control.id;
    return std::nullopt;
}

std::optional<std::string> Navigator::digit(const Registry& registry, int digit) {
    if (typed_.size() >= 4) typed_.clear();
    typed_ += static_cast<char>('0' + digit);
    int longer = 0;
    bool is_one = false;
    for (const Control& control : registry.controls) {
        if (control.number == 0) continue;
        const std::string number = std::to_string(control.number);
        if (number == typed_) is_one = true;
        if (number.size() > typed_.size() && number.starts_with(typed_)) ++longer;
    }
    if (is_one && longer == 0) return finish_number(registry);
    if (!is_one && longer == 0) typed_.clear();
    return std::nullopt;
}

}  // namespace fettle::app::ui
