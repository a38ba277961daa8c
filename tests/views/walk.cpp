#include "tests/views/walk.hpp"

#include <algorithm>
#include <set>

namespace fettle::app::test {

using ui::Control;
using ui::Key;

std::vector<std::string> worked_ids(const Bench& bench) {
    std::vector<std::string> ids;
    for (const Control& control : bench.ui.registry().controls)
        if (ui::is_worked(control.role) && control.is_enabled) ids.push_back(control.id);
    return ids;
}

namespace {

bool cover(const ui::Rect& a, const ui::Rect& b) {
    constexpr float k_touch = 0.5f;
    return a.x + k_touch < b.right() && b.x + k_touch < a.right() && a.y + k_touch < b.bottom() &&
           b.y + k_touch < a.bottom();
}

}  // namespace

std::vector<std::string> misplaced(const Bench& bench) {
    std::vector<std::string> wrong;
    const ui::Registry& registry = bench.ui.registry();
    std::set<std::string> ids;
    for (const Control& control : registry.controls) {
        const auto say = [&](const std::string& what) { wrong.push_back(control.id + ": " + what); };
        if (!ids.insert(control.id).second) say("its id is there twice");
        const ui::Panel* panel = registry.find_panel(control.panel);
        if (panel == nullptr) {
            say("in no panel: " + control.panel);
            continue;
        }
        if (control.rect.x < panel->rect.x - 0.5f || control.rect.right() > panel->rect.right() + 0.5f)
            say("wider than its panel " + control.panel);
        if (!ui::is_worked(control.role)) continue;
        // What does not scroll by itself shows all of its controls.
        static const std::set<std::string> k_whole{"always", "top", "screens", "notice"};
        const bool is_cut =
            control.rect.y < panel->rect.y || control.rect.bottom() > panel->rect.bottom() + 0.5f;
        if (k_whole.count(control.panel) > 0 && is_cut) say("not wholly seen");
        if (control.label.empty()) say("no label");
        // 44 px at 100 %. Source: WCAG 2.2, 2.5.5.
        if (control.rect.w < 43.9f || control.rect.h < 43.9f) say("smaller than 44 px");
        for (const Control& other : registry.controls)
            if (&other < &control && other.panel == control.panel && ui::is_worked(other.role) &&
                cover(other.rect, control.rect))
                say("stands over " + other.id);
    }
    return wrong;
}

namespace {

void round_by_tab(Bench& bench, bool is_back, std::set<std::string>& seen) {
    const std::size_t most = bench.ui.registry().controls.size() + 2;
    for (std::size_t i = 0; i < most; ++i) {
        bench.press(Key::tab, is_back);
        if (!seen.insert(bench.ui.navigator().focus()).second) return;
    }
}

std::vector<std::string> without(const std::vector<std::string>& all, const std::set<std::string>& seen) {
    std::vector<std::string> missed;
    for (const std::string& id : all)
        if (seen.count(id) == 0) missed.push_back(id);
    return missed;
}

/// Where a direction leads from there, by pressing it; a panel that scrolls takes a few presses.
std::string led_to(Bench& bench, const std::string& from, Key way) {
    constexpr int k_most_presses = 12;
    bench.ui.focus(from);
    bench.frame();
    bench.frame();
    for (int i = 0; i < k_most_presses && bench.ui.navigator().focus() == from; ++i) {
        bench.input.keys.push_back(key_event(way));
        bench.frame();
        bench.frame();
    }
    return bench.ui.navigator().focus();
}

using Graph = std::map<std::string, std::set<std::string>>;

std::set<std::string> reached(const Graph& graph, const std::string& from) {
    std::set<std::string> seen{from};
    std::vector<std::string> open{from};
    while (!open.empty()) {
        const std::string at = open.back();
        open.pop_back();
        const auto ways = graph.find(at);
        if (ways == graph.end()) continue;
        for (const std::string& next : ways->second)
            if (seen.insert(next).second) open.push_back(next);
    }
    return seen;
}

}  // namespace

std::vector<std::string> missed_by_tab(Bench& bench) {
    const auto all = worked_ids(bench);
    std::set<std::string> forth, back;
    round_by_tab(bench, false, forth);
    round_by_tab(bench, true, back);
    auto missed = without(all, forth);
    for (const std::string& id : without(all, back)) missed.push_back("back: " + id);
    return missed;
}

std::vector<std::string> missed_by_directions(Bench& bench) {
    const auto all = worked_ids(bench);
    if (all.empty()) return {};
    Graph ways, backwards;
    for (const std::string& from : all)
        for (const Key way : {Key::left, Key::right, Key::up, Key::down}) {
            const std::string to = led_to(bench, from, way);
            ways[from].insert(to);
            backwards[to].insert(from);
        }
    auto missed = without(all, reached(ways, all.front()));
    for (const std::string& id : without(all, reached(backwards, all.front())))
        missed.push_back("from: " + id);
    return missed;
}

}  // namespace fettle::app::test
