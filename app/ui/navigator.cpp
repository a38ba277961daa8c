#include "app/ui/navigator.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace fettle::app::ui {

namespace {

bool can_focus(const Control& control) {
    return is_worked(control.role) && control.is_enabled;
}

int index_of(const Registry& registry, const std::string& id) {
    for (std::size_t i = 0; i < registry.controls.size(); ++i)
        if (registry.controls[i].id == id) return static_cast<int>(i);
    return -1;
}

/// How far `to` lies that way from `from`: less is nearer; nothing: not that way.
std::optional<float> distance(const Rect& from, const Rect& to, Way way) {
    const Point a = from.centre();
    const Point b = to.centre();
    const bool is_sideways = way == Way::left || way == Way::right;
    const float along = is_sideways ? (way == Way::right ? b.x - a.x : a.x - b.x)
                                    : (way == Way::down ? b.y - a.y : a.y - b.y);
    if (along < 1.0f) return std::nullopt;
    // Overlapping in the other direction counts as straight ahead; what begins on the same line does not
    // count as below or above.
    const float overlap = is_sideways ? std::min(from.bottom(), to.bottom()) - std::max(from.y, to.y)
                                      : std::min(from.right(), to.right()) - std::max(from.x, to.x);
    if (is_sideways && overlap <= 0) return std::nullopt;
    const float across = overlap > 0 ? 0.0f : -overlap;
    return along + 2.0f * across;
}

}  // namespace

bool Navigator::take_moved() {
    const bool moved = has_moved_;
    has_moved_ = false;
    return moved;
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
    const Control* best = nullptr;
    float least = 0;
    bool best_is_near = false;
    for (const Control& control : registry.controls) {
        if (!can_focus(control) || control.id == focus_) continue;
        // A panel's own controls first, scrolled away or not; another panel's only where they are seen.
        const bool is_near = control.panel == from->panel;
        if (!is_near && !control.is_in_view) continue;
        const auto far = distance(from->rect, control.rect, way);
        if (!far || (best_is_near && !is_near)) continue;
        if (best == nullptr || (is_near && !best_is_near) || *far < least) {
            best = &control;
            least = *far;
            best_is_near = is_near;
        }
    }
    if (best != nullptr) return set_focus(best->id);
    // Nothing lies that way: up and down go on in order, so that everything is reached.
    if (way == Way::down) step(registry, false);
    if (way == Way::up) step(registry, true);
}

void Navigator::settle(const Registry& registry) {
    if (focus_.empty()) return;
    const Control* control = registry.find(focus_);
    if (control != nullptr && can_focus(*control)) return;
    if (control == nullptr) {
        focus_.clear();
        return;
    }
    step(registry, false);
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
