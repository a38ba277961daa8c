#pragma once
// The Assign screen on a desk of its own: what it asks for is applied at once, as the desk does, and checked
// anew. No device, no store.

#include <string>
#include <vector>

#include "app/views/views.hpp"
#include "tests/ui/bench.hpp"

namespace fettle::app::test {

struct AssignWish {
    int scale_percent = 100;
    Language language = Language::english;
    ui::Point size{1280, 800};
};

class AssignRig {
public:
    explicit AssignRig(profile::Profile profile, const AssignWish& wish = {});

    const profile::Profile& profile() const { return desk.editing.profile; }
    std::optional<profile::Action> action(
        const std::string& mode, const std::string& input,
        profile::GestureName gesture = profile::GestureName::short_press) const;
    /// Opens a page without a way back.
    void open(AssignPlace place);
    void open_cell(const std::string& mode, const std::string& input,
                   profile::GestureName gesture = profile::GestureName::short_press);
    /// By the arrow keys alone, then Enter: false where no way leads there.
    bool walk(const std::string& id);
    /// Chooses line i of the list that a choice opens, by keyboard.
    bool choose(const std::string& id, int i);
    /// Puts a text into a text field, by keyboard.
    bool write(const std::string& id, const std::string& ascii);
    bool has(profile::FindingKind kind) const;

    Desk desk;
    AssignState state;
    std::vector<Order> given;
    Bench bench;

private:
    void take(Order order);
    void recheck();
};

/// Four switches a, b, c, d; modes one and two; a changes them, b releases, c clicks, d moves. check() finds
/// nothing.
profile::Profile sound_profile();
/// The same, with a fault of that kind.
profile::Profile faulty_profile(profile::FindingKind kind);

}  // namespace fettle::app::test
