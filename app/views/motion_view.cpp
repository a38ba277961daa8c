// Motion: how a held direction becomes counts. Which one is looked at; its parts are in motion_view_*.cpp.
#include <algorithm>
#include <cmath>

#include "app/plot/axis.hpp"
#include "app/views/motion_page.hpp"

namespace fettle::app {

const std::string& CalmText::say(std::int64_t now_ms, int lit_ms, std::string text) {
    if (!has_any_ || (text != shown_ && now_ms - since_ms_ >= lit_ms)) {
        shown_ = std::move(text);
        since_ms_ = now_ms;
        has_any_ = true;
    }
    return shown_;
}

namespace motion_page {

using ui::Ui;

std::shared_ptr<const MotionCurve> Page::device_curve() const {
    if (on_device == nullptr || is_pushed || !device_source) return nullptr;
    return state.curves.of(*on_device, *device_source);
}

void Page::put(profile::Motion changed) const {
    orders(edit::Edit{edit::PutMotion{std::move(changed), state.variant}});
}

char decimal_point(const Ui& ui) {
    return ui.options().language == Language::german ? ',' : '.';
}

namespace {

std::string words(const Ui& ui, const std::string& unit, double value, double step) {
    return plot::value_words({.range = {}, .unit = unit, .decimal_point = decimal_point(ui)}, value, step);
}

/// A round step for a value whose first three digits matter.
double fine_step(double value) {
    const double big = std::abs(value);
    return big >= 100 ? 1 : big >= 10 ? 0.1 : 0.01;
}

}  // namespace

std::string time_words(const Ui& ui, double us) {
    const plot::Axis axis{.range = {}, .quantity = plot::Quantity::time, .decimal_point = decimal_point(ui)};
    return plot::value_words(axis, us, us >= 10e6 ? 100e3 : us >= 1e6 ? 10e3 : 1000);
}

std::string counts_words(const Ui& ui, double counts) {
    return words(ui, ui.t(T::motion_unit_counts), counts, 1);
}

std::string speed_words(const Ui& ui, double counts_per_s) {
    return words(ui, ui.t(T::motion_unit_counts_per_s), counts_per_s, 1);
}

std::string ratio_words(const Ui& ui, double ratio) {
    return words(ui, "", ratio, fine_step(ratio));
}

int lines_for(const Ui& ui, std::size_t letters) {
    // Half an em a letter is generous for a proportional face; a line's last word may not fit.
    const float per_line = std::max(6.0f, ui.width() / (0.5f * ui.line_height()) - 8);
    return 1 + static_cast<int>(static_cast<float>(letters) / per_line);
}

int lines_for(const Ui& ui, std::initializer_list<std::string> texts) {
    std::size_t most = 0;
    for (const std::string& text : texts) most = std::max(most, text.size());
    return lines_for(ui, most);
}

namespace {

std::string joined(const std::vector<std::string>& names) {
    std::string all;
    for (const std::string& name : names) all += (all.empty() ? "" : ", ") + name;
    return all;
}

}  // namespace

std::string mover_words(const Ui& ui, const Mover& mover) {
    if (mover.is_remote) return ui.t(T::motion_by_remote, joined(mover.inputs));
    if (mover.inputs.empty()) return ui.t(T::motion_by_no_switch);
    return ui.t(T::motion_by_switch, joined(mover.inputs));
}

namespace {

void motion_choice(Page& page) {
    std::vector<std::string> names;
    for (const auto& motion : page.profile().motions) names.push_back(motion.name);
    const int chosen = profile::index_of(page.profile().motions, page.motion->name);
    if (const auto next = page.ui.choice("motion.which", page.ui.t(T::motion_which), names, chosen))
        page.state.motion = names[static_cast<std::size_t>(*next)];
}

void variant_choice(Page& page) {
    const auto& variants = page.profile().variants;
    if (variants.empty()) return;
    std::vector<std::string> names{page.ui.t(T::motion_as_it_stands)};
    for (const auto& variant : variants)
        names.push_back(variant.label.empty() ? variant.name : variant.label);
    const int chosen = profile::index_of(variants, page.state.variant) + 1;
    if (const auto next = page.ui.choice("motion.variant", page.ui.t(T::motion_variant), names, chosen))
        page.state.variant = *next == 0 ? "" : variants[static_cast<std::size_t>(*next) - 1].name;
}

void variant_note(Page& page) {
    if (page.state.variant.empty()) return;
    const auto* variant = profile::find_named(page.profile().variants, page.state.variant);
    const bool is_own = profile::find_named(variant->motions, page.motion->name) != nullptr;
    page.ui.quiet(page.ui.t(is_own ? T::motion_variant_own : T::motion_variant_inherits));
    if (page.ui.button("motion.variant.drop", page.ui.t(T::motion_variant_drop), ui::Look::plain, is_own))
        page.orders(
            edit::Edit{edit::RemoveNamed{edit::Named::motion, page.motion->name, page.state.variant}});
}

std::string device_words(const Page& page) {
    const Ui& ui = page.ui;
    const auto& runs = page.desk.editing.on_device;
    if (page.desk.device.state == LinkState::absent || !runs) return ui.t(T::motion_device_none);
    std::string words = page.on_device == nullptr ? ui.t(T::motion_device_lacks)
                        : page.is_pushed          ? ui.t(T::motion_device_same)
                                                  : ui.t(T::motion_device_other);
    const std::size_t now = page.desk.variant;
    const bool is_known = now <= runs->variants.size();
    const std::string active = now == 0 || !is_known ? "" : runs->variants[now - 1].name;
    if (is_known && active != page.state.variant)
        words += " " + ui.t(T::motion_device_variant,
                            active.empty() ? std::string(ui.t(T::motion_as_it_stands)) : active);
    return words;
}

void device_state(Page& page) {
    const Ui& ui = page.ui;
    const std::string variant = ui.t(T::motion_device_variant, std::string(24, 'n'));
    page.ui.live("motion.device",
                 lines_for(ui, {ui.t(T::motion_device_none), ui.t(T::motion_device_other) + variant,
                                ui.t(T::motion_device_lacks) + variant}),
                 device_words(page));
}

}  // namespace

void choices(Page& page) {
    Ui& ui = page.ui;
    ui.group("motion.choices", ui.t(T::motion_which));
    ui.row();
    motion_choice(page);
    variant_choice(page);
    std::vector<std::string> sources;
    for (const Mover& mover : page.movers) sources.push_back(mover_words(ui, mover));
    if (const auto next = ui.choice("motion.source", ui.t(T::motion_worked_by), sources, page.state.source))
        page.state.source = *next;
    ui.end_row();
    variant_note(page);
    ui.end_group();
    device_state(page);
}

namespace {

/// Nothing to look at: a first motion can be made.
void no_motion(Ui& ui, const Orders& orders) {
    ui.text(ui.t(T::motion_none));
    if (ui.button("motion.add", ui.t(T::motion_add), ui::Look::strong))
        orders(edit::Edit{edit::PutMotion{{ui.t(T::motion_first_name), profile::Travel{}}, ""}});
}

std::shared_ptr<const profile::Motion> copy_of(const profile::Motion* motion) {
    return motion == nullptr ? nullptr : std::make_shared<const profile::Motion>(*motion);
}

/// What is chosen may be gone: after undo, or with another profile.
Page look(Ui& ui, const Desk& desk, MotionState& state, const Orders& orders) {
    Page page{.ui = ui,
              .desk = desk,
              .state = state,
              .orders = orders,
              .movers = {},
              .mover = {},
              .device_source = {}};
    const profile::Profile& profile = desk.editing.profile;
    if (profile::find_named(profile.motions, state.motion) == nullptr)
        state.motion = profile.motions.front().name;
    if (profile::find_named(profile.variants, state.variant) == nullptr) state.variant.clear();
    page.motion = copy_of(motion_in(profile, state.variant, state.motion));
    page.movers = movers(profile, state.variant, state.motion);
    state.source = std::clamp(state.source, 0, static_cast<int>(page.movers.size()) - 1);
    page.mover = page.movers[static_cast<std::size_t>(state.source)];
    if (!desk.editing.on_device) return page;
    const profile::Profile& runs = *desk.editing.on_device;
    page.on_device = copy_of(motion_in(runs, state.variant, state.motion));
    page.device_source = page.mover.source;
    const auto* input =
        page.mover.inputs.empty() ? nullptr : profile::find_named(runs.inputs, page.mover.inputs.front());
    if (input != nullptr) page.device_source = press_source(runs, state.variant, *input);
    page.is_pushed = page.on_device != nullptr && page.on_device->family == page.motion->family &&
                     *page.device_source == page.mover.source;
    return page;
}

/// What the device sent since the last frame.
void follow(Page& page) {
    MotionTrail& trail = page.state.trail;
    const auto& runs = page.desk.editing.on_device;
    trail.follow(page.desk.roll, {runs ? &*runs : nullptr, page.motion->name});
    page.reports = trail.reports();
}

}  // namespace
}  // namespace motion_page

void motion_view(ui::Ui& ui, const Desk& desk, MotionState& state, const Orders& orders) {
    ui.heading(ui.t(T::screen_motion));
    if (desk.editing.profile.motions.empty()) {
        motion_page::no_motion(ui, orders);
        return;
    }
    motion_page::Page page = motion_page::look(ui, desk, state, orders);
    motion_page::follow(page);
    motion_page::choices(page);
    ui.column(0, 2);
    motion_page::curve(page);
    hands(ui, "motion.hands", desk, state.hands, orders);
    motion_page::try_area(page);
    ui.column(1, 2);
    motion_page::numbers(page);
    motion_page::figures(page);
    ui.end_columns();
    motion_page::meter(page);
}

}  // namespace fettle::app
