// The numbers of a motion; ranges and steps are the field table's.
#include <algorithm>
#include <utility>

#include "app/views/motion_page.hpp"
#include "core/profile/curve.hpp"
#include "core/profile/field_table.hpp"

namespace fettle::app::motion_page {

namespace {

using profile::Field;
using ui::Ui;
namespace field = profile::field;

std::string unit_words(const Ui& ui, std::string_view unit) {
    if (unit == "counts") return ui.t(T::motion_unit_counts);
    if (unit == "counts/s") return ui.t(T::motion_unit_counts_per_s);
    if (unit == "permille") return ui.t(T::motion_unit_permille);
    if (unit == "events") return ui.t(T::motion_unit_events);
    if (unit == "times delta") return ui.t(T::motion_unit_times);
    return std::string(unit);
}

/// True when it was changed.
bool number(Ui& ui, const char* id, T label, const Field& of, int& value) {
    const ui::NumberRange range{.least = of.least,
                                .most = of.most,
                                .step = of.step,
                                .unit = unit_words(ui, of.unit),
                                .zero_is_off = of.zero_is_off};
    const auto next = ui.number(std::string("motion.") + id, ui.t(label), value, range);
    if (next) value = static_cast<int>(*next);
    return next.has_value();
}

bool shape_numbers(Ui& ui, profile::SpeedShape& shape) {
    bool is_changed =
        number(ui, "start", T::motion_start_speed, field::k_start_counts_per_s, shape.start_counts_per_s);
    is_changed |= number(ui, "top", T::motion_top_speed, field::k_top_counts_per_s, shape.top_counts_per_s);
    is_changed |=
        number(ui, "exponent", T::motion_exponent, field::k_exponent_permille, shape.exponent_permille);
    return is_changed;
}

/// A shape in place of points: exactly the same where there is one, else from the first to the last speed.
profile::SpeedShape shape_from(const profile::SpeedPoints& points) {
    if (const auto exact = profile::fit_travel(points.q16_counts_per_ms)) return *exact;
    const auto whole = [](std::uint32_t q16) { return static_cast<int>(profile::counts_per_s(q16) + 0.5); };
    profile::SpeedShape shape;
    shape.start_counts_per_s =
        std::min(whole(points.q16_counts_per_ms.front()), static_cast<int>(field::k_start_counts_per_s.most));
    shape.top_counts_per_s = std::clamp(whole(points.q16_counts_per_ms.back()), 1,
                                        static_cast<int>(field::k_top_counts_per_s.most));
    return shape;
}

profile::MouseKeysShape shape_from(const profile::MouseKeysMoves& moves) {
    std::vector<std::uint16_t> counts;
    for (const int one : moves.counts) counts.push_back(static_cast<std::uint16_t>(one));
    if (const auto exact = profile::fit_mouse_keys(counts)) return *exact;
    return {};
}

bool travel_numbers(Ui& ui, profile::Travel& travel) {
    bool is_changed =
        number(ui, "first_step", T::motion_first_step, field::k_first_step_counts, travel.first_step_counts);
    is_changed |= number(ui, "delay", T::motion_delay, field::k_travel_delay_ms, travel.delay_ms);
    is_changed |= number(ui, "ramp", T::motion_ramp, field::k_ramp_ms, travel.ramp_ms);
    if (auto* shape = std::get_if<profile::SpeedShape>(&travel.speed)) {
        is_changed |= shape_numbers(ui, *shape);
    } else {
        const auto points = std::get<profile::SpeedPoints>(travel.speed);
        ui.text(ui.t(T::motion_points, points.q16_counts_per_ms.size()));
        if (ui.button("motion.use_shape", ui.t(T::motion_use_shape))) {
            travel.speed = shape_from(points);
            is_changed = true;
        }
    }
    is_changed |= number(ui, "cadence_window", T::motion_cadence_window, field::k_cadence_window_ms,
                         travel.cadence_window_ms);
    is_changed |= number(ui, "cadence_gain", T::motion_cadence_gain, field::k_cadence_gain_permille,
                         travel.cadence_gain_permille);
    return is_changed;
}

bool mouse_keys_numbers(Ui& ui, profile::MouseKeys& keys) {
    bool is_changed =
        number(ui, "keys_delay", T::motion_keys_delay, field::k_mouse_keys_delay_ms, keys.delay_ms);
    is_changed |= number(ui, "keys_interval", T::motion_keys_interval, field::k_mouse_keys_interval_ms,
                         keys.interval_ms);
    if (auto* shape = std::get_if<profile::MouseKeysShape>(&keys.moves)) {
        is_changed |=
            number(ui, "keys_delta", T::motion_keys_delta, field::k_delta_counts, shape->delta_counts);
        is_changed |= number(ui, "keys_time", T::motion_keys_time, field::k_time_to_max_events,
                             shape->time_to_max_events);
        is_changed |= number(ui, "keys_speed", T::motion_keys_speed, field::k_max_speed, shape->max_speed);
        is_changed |=
            number(ui, "keys_curve", T::motion_keys_curve, field::k_curve_permille, shape->curve_permille);
        return is_changed;
    }
    const auto moves = std::get<profile::MouseKeysMoves>(keys.moves);
    ui.text(ui.t(T::motion_moves_listed, moves.counts.size()));
    if (ui.button("motion.use_shape", ui.t(T::motion_use_shape))) {
        keys.moves = shape_from(moves);
        is_changed = true;
    }
    return is_changed;
}

bool family(Ui& ui, profile::Motion& motion) {
    const bool is_travel = std::holds_alternative<profile::Travel>(motion.family);
    bool is_changed = false;
    ui.row();
    if (ui.option("motion.family.travel", ui.t(T::motion_family_travel), is_travel) && !is_travel) {
        motion.family = profile::Travel{};
        is_changed = true;
    }
    if (ui.option("motion.family.mouse_keys", ui.t(T::motion_family_mouse_keys), !is_travel) && is_travel) {
        motion.family = profile::MouseKeys{};
        is_changed = true;
    }
    ui.end_row();
    return is_changed;
}

std::string free_name(const profile::Profile& profile, const std::string& like) {
    for (int i = 2;; ++i) {
        const std::string name = like.substr(0, 28) + std::to_string(i);
        if (profile::find_named(profile.motions, name) == nullptr) return name;
    }
}

bool is_used(const profile::Profile& profile, const std::string& motion) {
    const auto all = movers(profile, "", motion);
    return !all.front().inputs.empty();
}

/// Of the profile as it stands only: a variant has no names of its own.
void housekeeping(Page& page) {
    if (!page.state.variant.empty()) return;
    Ui& ui = page.ui;
    const std::string name = page.motion->name;
    if (const auto to = ui.text_field("motion.rename", ui.t(T::motion_rename), name, 32); to && *to != name) {
        page.orders(edit::Edit{edit::Rename{edit::Named::motion, name, *to}});
        if (profile::is_name(*to) && profile::find_named(page.profile().motions, *to) == nullptr)
            page.state.motion = *to;
    }
    ui.row();
    if (ui.button("motion.copy", ui.t(T::motion_copy))) {
        profile::Motion copy = *page.motion;
        copy.name = free_name(page.profile(), name);
        page.orders(edit::Edit{edit::PutMotion{copy, ""}});
        page.state.motion = copy.name;
    }
    const bool can = !is_used(page.profile(), name);
    const std::string question[] = {ui.t(T::motion_remove_question, name)};
    if (ui.asking_button("motion.remove", ui.t(T::motion_remove), question, ui.t(T::motion_remove),
                         ui::Look::danger, can))
        page.orders(edit::Edit{edit::RemoveNamed{edit::Named::motion, name, ""}});
    ui.end_row();
    if (!can) ui.quiet(ui.t(T::motion_remove_used));
}

}  // namespace

void numbers(Page& page) {
    Ui& ui = page.ui;
    ui.group("motion.numbers", ui.t(T::motion_numbers));
    ui.heading(ui.t(T::motion_numbers));
    profile::Motion edited = *page.motion;
    bool is_changed = family(ui, edited);
    // The fields are those of the family as it stands; another one's come with the next frame.
    if (!is_changed) {
        ui.row();
        if (auto* travel = std::get_if<profile::Travel>(&edited.family))
            is_changed = travel_numbers(ui, *travel);
        else
            is_changed = mouse_keys_numbers(ui, std::get<profile::MouseKeys>(edited.family));
        ui.end_row();
    }
    if (is_changed) page.put(std::move(edited));
    housekeeping(page);
    ui.end_group();
}

}  // namespace fettle::app::motion_page
