#include "app/words/sentences.hpp"

namespace fettle::app {

using profile::FindingKind;

namespace {

T row_of(FindingKind kind) {
    switch (kind) {
        case FindingKind::mode_without_exit: return T::finding_mode_without_exit;
        case FindingKind::mode_without_way_back: return T::finding_mode_without_way_back;
        case FindingKind::mode_without_release: return T::finding_mode_without_release;
        case FindingKind::held_without_release: return T::finding_held_without_release;
        case FindingKind::gesture_assigned_twice: return T::finding_gesture_assigned_twice;
        case FindingKind::same_source_twice: return T::finding_same_source_twice;
        case FindingKind::pointer_without_click: return T::finding_pointer_without_click;
        case FindingKind::text_not_typable: return T::finding_text_not_typable;
        case FindingKind::layout_unknown: return T::finding_layout_unknown;
        case FindingKind::needs_two_buttons: return T::finding_needs_two_buttons;
        case FindingKind::nothing_assigned: return T::finding_nothing_assigned;
        case FindingKind::mode_never_reached: return T::finding_mode_never_reached;
        case FindingKind::input_does_nothing: return T::finding_input_does_nothing;
        case FindingKind::modifier_held_long: return T::finding_modifier_held_long;
        case FindingKind::modifier_repeated: return T::finding_modifier_repeated;
        case FindingKind::erasing_repeated: return T::finding_erasing_repeated;
        case FindingKind::password_in_text: return T::finding_password_in_text;
        case FindingKind::shorter_than_remote: return T::finding_shorter_than_remote;
        case FindingKind::delay_shorter_than_remote: return T::finding_delay_shorter_than_remote;
        case FindingKind::holdover_shorter_than_remote: return T::finding_holdover_shorter_than_remote;
        case FindingKind::variant_without_way_back: return T::finding_variant_without_way_back;
    }
    return T::error_something;
}

}  // namespace

std::string sentence(const profile::Finding& f, Language language) {
    const auto subject = [&](std::size_t i) -> std::string {
        return i < f.subjects.size() ? f.subjects[i] : std::string("?");
    };
    return text_in(language, row_of(f.kind), subject(0), subject(1), subject(2), subject(3));
}

}  // namespace fettle::app
