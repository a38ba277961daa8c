#pragma once
// The motion screen's parts, inside: what each of them looks at in one frame. Only motion_view*.cpp include
// it.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "app/desk/movers.hpp"
#include "app/views/views.hpp"

namespace fettle::app::motion_page {

struct Page {
    ui::Ui& ui;
    const Desk& desk;
    MotionState& state;
    const Orders& orders;
    // Copies: an order changes the profile at once, and what was looked at must stand until the frame ends.
    std::shared_ptr<const profile::Motion> motion = nullptr;  ///< that is looked at, as its variant has it
    std::shared_ptr<const profile::Motion> on_device =
        nullptr;             ///< the same on the device; nullptr: not there or not known
    bool is_pushed = false;  ///< it does the same
    std::vector<Mover> movers;
    Mover mover;                                        ///< the chosen one
    std::optional<profile::PressSource> device_source;  ///< how it ends its presses on the device
    std::vector<PointerReport> reports = {};            ///< new ones of this frame

    const profile::Profile& profile() const { return desk.editing.profile; }
    /// The motion's curve by the chosen source, and what the device does with it.
    std::shared_ptr<const MotionCurve> curve() const { return state.curves.of(*motion, mover.source); }
    std::shared_ptr<const MotionCurve> device_curve() const;
    void put(profile::Motion motion) const;
};

// --- numbers with their units, in the language of the window ---
char decimal_point(const ui::Ui& ui);
std::string time_words(const ui::Ui& ui, double us);  ///< to the ms
std::string counts_words(const ui::Ui& ui, double counts);
std::string speed_words(const ui::Ui& ui, double counts_per_s);
std::string ratio_words(const ui::Ui& ui, double ratio);
/// Pixels a count at a speed, straight between the slow and the fast moves that were measured.
double screen_ratio(const PointerAnswer& answer, double counts_per_s);
/// Lines that a text of so many letters takes at most.
int lines_for(const ui::Ui& ui, std::size_t letters);
/// The longest of them decides: whatever of them is said later has its room.
int lines_for(const ui::Ui& ui, std::initializer_list<std::string> texts);

/// "remote: up, down".
std::string mover_words(const ui::Ui& ui, const Mover& mover);

void choices(Page& page);
void curve(Page& page);
void numbers(Page& page);
void figures(Page& page);
void try_area(Page& page);
void meter(Page& page);

}  // namespace fettle::app::motion_page
