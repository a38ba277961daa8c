// Figures that a person can use, each beside what the device still does.
#include <fmt/format.h>

#include "app/views/motion_page.hpp"

namespace fettle::app::motion_page {

namespace {

using ui::Ui;

std::string ms_words(const Ui& ui, std::uint32_t ms) {
    return time_words(ui, ms * 1000.0);
}

std::string ms_range(const Ui& ui, std::uint32_t least, std::uint32_t most) {
    if (least == most) return ms_words(ui, least);
    return ui.t(T::motion_from_to, ms_words(ui, least), ms_words(ui, most));
}

std::string counts_range(const Ui& ui, std::int64_t least, std::int64_t most) {
    const std::string to = counts_words(ui, static_cast<double>(most));
    if (least == most) return to;
    return ui.t(T::motion_from_to, std::to_string(least), to);
}

std::string crossing_words(const Ui& ui, const profile::MotionFigures& f) {
    return f.crossing_ms ? ms_words(ui, *f.crossing_ms) : std::string(ui.t(T::motion_not_within));
}

std::string hold_words(const Ui& ui, const profile::HoldFigure& hold) {
    return ui.t(T::motion_counts_after, counts_words(ui, static_cast<double>(hold.counts)),
                std::to_string(hold.counts_after_up));
}

/// The value, and in brackets the device's where it is another one.
struct Facts {
    Ui& ui;
    const MotionCurve& edited;
    const MotionCurve* device;

    template <typename Make>
    void tell(const char* id, const std::string& label, const Make& make) const {
        std::string words = make(edited);
        if (device && device->is_compiled) {
            const std::string before = make(*device);
            if (before != words) words = ui.t(T::motion_bracket, words, before);
        }
        ui.fact(std::string("motion.fact.") + id, label, words);
    }
};

void moves(const Facts& facts) {
    const Ui& ui = facts.ui;
    facts.tell("tap", ui.t(T::motion_one_tap, ms_words(ui, profile::k_tap_ms)), [&](const MotionCurve& c) {
        return counts_words(ui, static_cast<double>(c.figures.tap_counts));
    });
    facts.tell("smallest", ui.t(T::motion_smallest), [&](const MotionCurve& c) {
        return counts_words(ui, static_cast<double>(c.figures.smallest_counts));
    });
    for (std::size_t i = 0; i < facts.edited.figures.holds.size(); ++i) {
        const std::uint32_t held = facts.edited.figures.holds[i].finger_up_ms;
        facts.tell(fmt::format("hold{}", held).c_str(), ui.t(T::motion_held_for, ms_words(ui, held)),
                   [&](const MotionCurve& c) { return hold_words(ui, c.figures.holds[i]); });
    }
    facts.tell("across", ui.t(T::motion_across, profile::k_screen_counts),
               [&](const MotionCurve& c) { return crossing_words(ui, c.figures); });
}

void stops(const Facts& facts, const std::string& id) {
    const Ui& ui = facts.ui;
    facts.tell((id + ".release").c_str(), ui.t(T::motion_stop_release), [&](const MotionCurve& c) {
        return ui.t(T::motion_after, ms_range(ui, c.least_release_ms, c.most_release_ms));
    });
    facts.tell((id + ".still").c_str(), ui.t(T::motion_stop_still), [&](const MotionCurve& c) {
        return ui.t(T::motion_after,
                    ms_range(ui, c.figures.stop.least_still_ms, c.figures.stop.most_still_ms));
    });
    facts.tell((id + ".further").c_str(), ui.t(T::motion_stop_further), [&](const MotionCurve& c) {
        return counts_range(ui, c.figures.stop.least_counts, c.figures.stop.most_counts);
    });
}

std::shared_ptr<const MotionCurve> device_curve_by(const Page& page, const profile::PressSource& source) {
    if (page.on_device == nullptr || page.is_pushed) return nullptr;
    return page.state.curves.of(*page.on_device, source);
}

}  // namespace

void figures(Page& page) {
    Ui& ui = page.ui;
    const auto edited = page.curve(), device = page.device_curve();
    if (!edited->is_compiled) return;
    ui.heading(ui.t(T::motion_figures));
    ui.quiet(ui.t(T::motion_figures_note));
    const Facts facts{ui, *edited, device.get()};
    moves(facts);
    ui.text(std::string(ui.t(T::motion_stop)) + ": " + mover_words(ui, page.mover));
    stops(facts, "stop");
    // The other kind of input beside it: what letting go costs with a remote is seen against a switch.
    for (std::size_t i = 0; i < page.movers.size(); ++i) {
        const Mover& one = page.movers[i];
        if (one.source == page.mover.source) continue;
        const auto by_it = page.state.curves.of(*page.motion, one.source);
        const auto device_by_it = device_curve_by(page, one.source);
        ui.text(std::string(ui.t(T::motion_stop)) + ": " + mover_words(ui, one));
        stops({ui, *by_it, device_by_it.get()}, "stop" + std::to_string(i));
    }
    ui.quiet(ui.t(T::motion_stop_why));
}

}  // namespace fettle::app::motion_page
