// Scanning: what there is to be marked, and what a press of the switch works.
#include <algorithm>

#include "app/ui/overlay.hpp"
#include "app/ui/ui.hpp"

namespace fettle::app::ui {

namespace {

constexpr std::size_t k_most_items = 8;  // more than that: a group is cut, own choice

bool are_in_row(const Rect& a, const Rect& b) {
    return std::min(a.bottom(), b.bottom()) - std::max(a.y, b.y) > 0.5f * std::min(a.h, b.h);
}

/// Where a long group may be cut: at the ends of rows, or after so many.
bool cuts(const Registry& registry, const std::vector<std::string>& items, const Control& next) {
    if (items.empty()) return false;
    const Control* last = registry.find(items.back());
    if (last != nullptr && are_in_row(last->rect, next.rect)) return items.size() >= 2 * k_most_items;
    return items.size() >= k_most_items / 2;
}

}  // namespace

ScanParams Ui::scan_params() const {
    ScanParams params;
    params.period_ms = std::max(400, options_.scan_period_ms);
    params.first_ms = params.period_ms + std::max(0, options_.scan_first_ms);
    params.rounds = options_.scan_rounds;
    params.starts_at_once = options_.scan_start == ScanStart::at_once;
    return params;
}

void Ui::read_scan_groups() {
    if (!options_.scans) {
        scan_groups_.clear();
        return;
    }
    struct Whole {
        std::string id, label;
        std::vector<const Control*> controls;
        bool is_content = false;
    };
    std::vector<Whole> wholes;
    for (const Control& control : shown_.controls) {
        if (!is_worked(control.role) || !control.is_enabled) continue;
        const std::string id = control.group.empty() ? "panel " + control.panel : control.group;
        auto it = std::find_if(wholes.begin(), wholes.end(), [&](const Whole& w) { return w.id == id; });
        if (it == wholes.end()) {
            Whole whole{id, control.label, {}, control.panel == "content" || control.panel == "overlay"};
            for (const Group& group : shown_.groups)
                if (group.id == id) whole.label = group.label;
            it = wholes.insert(wholes.end(), std::move(whole));
        }
        it->controls.push_back(&control);
    }
    std::stable_partition(wholes.begin(), wholes.end(), [](const Whole& w) { return w.is_content; });
    std::vector<ScanGroup> groups;
    for (const Whole& whole : wholes) {
        groups.push_back({whole.id, whole.label, {}});
        const bool is_long = whole.controls.size() > k_most_items;
        for (const Control* control : whole.controls) {
            if (is_long && cuts(shown_, groups.back().items, *control))
                groups.push_back(
                    {whole.id + " from " + control->id, whole.label + ": " + control->label, {}});
            groups.back().items.push_back(control->id);
        }
    }
    if (groups == scan_groups_) return;
    // What is marked stays marked where it still exists, wherever it stands now.
    const auto old = std::move(scan_groups_);
    scan_groups_ = std::move(groups);
    if (scan_.state == ScanState::resting) return;
    const ScanGroup& was = old[static_cast<std::size_t>(scan_.group)];
    const auto same = std::find_if(scan_groups_.begin(), scan_groups_.end(),
                                   [&](const ScanGroup& group) { return group.id == was.id; });
    if (same == scan_groups_.end()) return scan_event(ScanEvent::changed);
    const bool on_back = static_cast<std::size_t>(scan_.item) >= was.items.size();
    const std::string item =
        scan_.state == ScanState::items && !on_back ? was.items[static_cast<std::size_t>(scan_.item)] : "";
    const auto at = std::find(same->items.begin(), same->items.end(), item);
    if (!item.empty() && at == same->items.end()) return scan_event(ScanEvent::changed);
    scan_.group = static_cast<int>(same - scan_groups_.begin());
    if (scan_.state == ScanState::items) scan_.item = static_cast<int>(at - same->items.begin());
}

void Ui::scan_event(ScanEvent event) {
    std::vector<int> items;
    items.reserve(scan_groups_.size());
    for (const ScanGroup& group : scan_groups_) items.push_back(static_cast<int>(group.items.size()));
    const Scan before = scan_;
    const ScanStep step = scan_step(scan_, event, now_ms(), scan_params(), items);
    scan_ = step.next;
    if (step.works)
        (void)activate(
            scan_groups_[static_cast<std::size_t>(step.group)].items[static_cast<std::size_t>(step.item)]);
    const bool is_elsewhere =
        scan_.state != before.state || scan_.group != before.group || scan_.item != before.item;
    if (!is_elsewhere || scan_.state == ScanState::resting) return;
    const ScanGroup& group = scan_groups_[static_cast<std::size_t>(scan_.group)];
    const auto item = static_cast<std::size_t>(scan_.item);
    scroll_to_ = scan_.state == ScanState::items && item < group.items.size() ? group.items[item]
                                                                              : group.items.front();
    more_frames_ = 2;
}

std::string Ui::scan_words() const {
    if (!options_.scans) return "";
    if (scan_.state == ScanState::resting || static_cast<std::size_t>(scan_.group) >= scan_groups_.size())
        return t(T::control_scan_rests);
    const ScanGroup& group = scan_groups_[static_cast<std::size_t>(scan_.group)];
    if (scan_.state == ScanState::groups) return t(T::control_scan_group, group.label);
    const auto item = static_cast<std::size_t>(scan_.item);
    if (item >= group.items.size()) return t(T::control_scan_back);
    const Control* control = shown_.find(group.items[item]);
    return t(T::control_scan_item, control == nullptr ? group.label : control->label);
}

}  // namespace fettle::app::ui
