#pragma once
// One-switch scanning: a mark goes from group to group, after a press from item to item of that group; the
// press on an item works it. Pure: time and the screen are arguments. Unit of time: ms.
//
// state    event    when                               becomes
// resting  time     starts at once, never began yet    groups, first group, round 0
// resting  time     else                               resting
// resting  press    -                                  groups, first group, round 0
// groups   time     the place's time is not over       groups
// groups   time     over, not the last group           groups, next group
// groups   time     over, last group, rounds left      groups, first group, round + 1
// groups   time     over, last group, rounds used up   resting
// groups   press    group of one item                  works it; then as after working
// groups   press    else                               items, first item, round 0
// items    time     the place's time is not over       items
// items    time     over, not the last place           items, next place (after the last item: "back")
// items    time     over, "back", rounds left          items, first item, round + 1
// items    time     over, "back", rounds used up       groups, same group, round 0
// items    press    on "back"                          groups, same group, round 0
// items    press    on an item                         works it; then as after working
// any      changed  what is marked is gone             groups, first group, round 0; resting stays resting
// After working: starts at once: groups, first group, round 0. On the switch: resting.
// A screen without groups: resting. A clock that goes back: the place's time begins anew.

#include <cstdint>
#include <optional>
#include <span>

namespace fettle::app::ui {

enum class ScanState : std::uint8_t { resting, groups, items };
enum class ScanEvent : std::uint8_t { time, press, changed };

struct ScanParams {
    std::int64_t period_ms = 1500;
    std::int64_t first_ms = 2500;  ///< the first place of a round
    int rounds = 3;                ///< before it rests, or goes back to the groups; 0: goes on
    bool starts_at_once = false;
    bool operator==(const ScanParams&) const = default;
};

struct Scan {
    ScanState state = ScanState::resting;
    bool has_begun = false;  ///< ever: "at once" means once
    int group = 0;
    int item = 0;  ///< as many as the group has: "back"
    int round = 0;
    std::int64_t since_ms = 0;  ///< when this place was marked
    bool operator==(const Scan&) const = default;
};

struct ScanStep {
    Scan next;
    bool works = false;  ///< item `item` of group `group` is worked
    int group = 0, item = 0;
    bool operator==(const ScanStep&) const = default;
};

/// items: how many each group has, each at least 1.
ScanStep scan_step(const Scan& scan, ScanEvent event, std::int64_t now_ms, const ScanParams& params,
                   std::span<const int> items);
/// When time alone changes something next; nothing while it rests.
std::optional<std::int64_t> scan_due_ms(const Scan& scan, const ScanParams& params);

}  // namespace fettle::app::ui
