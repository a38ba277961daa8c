#include <fmt/format.h>

#include "app/words/sentences.hpp"

namespace fettle::app {

using profile::FindingKind;

std::string sentence(const profile::Finding& f) {
    const auto s = [&](std::size_t i) -> std::string {
        return i < f.subjects.size() ? f.subjects[i] : std::string("?");
    };
    switch (f.kind) {
        case FindingKind::mode_without_exit:
            return fmt::format("Nothing leads out of the mode {}. Give one input in it a change of mode.",
                               s(0));
        case FindingKind::mode_without_way_back:
            return fmt::format(
                "From the mode {} no way leads back to {}. Give one input a change of mode that does.", s(0),
                s(1));
        case FindingKind::mode_without_release:
            return fmt::format(
                "In the mode {} no single press releases everything. Give one input a short or long press "
                "that does.",
                s(0));
        case FindingKind::held_without_release:
            return fmt::format(
                "In the mode {} the input {} holds something that nothing there lets go of. Add release "
                "everything to that mode.",
                s(1), s(0));
        case FindingKind::gesture_assigned_twice:
            return fmt::format("The input {} is assigned twice in the mode {}. Take one of them out.", s(0),
                               s(1));
        case FindingKind::same_source_twice:
            return fmt::format(
                "One press would work both {} and {}: they listen to the same button or line. Teach one of "
                "them again.",
                s(0), s(1));
        case FindingKind::pointer_without_click:
            return fmt::format(
                "In the mode {} the pointer moves, but no mode that can be reached from it clicks. Assign a "
                "button.",
                s(0));
        case FindingKind::text_not_typable:
            return fmt::format(
                "The character {} of {} cannot be typed by the keyboard layout {}. Change the text, or "
                "choose the "
                "layout that the computer has.",
                s(1), s(0), s(2));
        case FindingKind::layout_unknown:
            return fmt::format(
                "The keyboard layout {} is not known on this system, so nobody can say what its texts would "
                "type. Choose the layout that the computer has.",
                s(0));
        case FindingKind::needs_two_buttons:
            return fmt::format(
                "In the mode {} the input {} works only while another button of the same remote is held, and "
                "a remote sends one at a time. Use a change that stays, or a switch.",
                s(1), s(0));
        case FindingKind::nothing_assigned:
            return "In the first mode no input does anything, so the device would do nothing at all. Assign "
                   "an input.";
        case FindingKind::mode_never_reached:
            return fmt::format(
                "No press leads to the mode {}. Assign a change of mode, or take the mode out.", s(0));
        case FindingKind::input_does_nothing:
            return fmt::format("The input {} does nothing in any mode. Assign it, or take it out.", s(0));
        case FindingKind::modifier_held_long:
            return fmt::format(
                "In the mode {} the input {} holds a modifier by itself; computers read one that is held "
                "long as a request of their own. A latch is safer.",
                s(1), s(0));
        case FindingKind::modifier_repeated:
            return fmt::format(
                "In the mode {} the input {} repeats a modifier by itself; computers read that as a request "
                "of their own. A latch is safer.",
                s(1), s(0));
        case FindingKind::erasing_repeated:
            return fmt::format(
                "In the mode {} the input {} goes on deleting or sending while it is held. A tap each press "
                "is safer.",
                s(1), s(0));
        case FindingKind::password_in_text:
            return fmt::format(
                "The text {} looks like a password. Whoever holds the device or this file can use it.", s(0));
        case FindingKind::shorter_than_remote:
            return fmt::format(
                "In the rules {} {} is {} ms, but a remote's button looks held for up to {} ms after one "
                "tap. Choose at least that.",
                s(0), s(1), s(2), s(3));
        case FindingKind::delay_shorter_than_remote:
            return fmt::format(
                "The motion {} begins to travel after {} ms, but a remote's button looks held for up to {} "
                "ms after one tap. Choose at least that.",
                s(0), s(1), s(2));
        case FindingKind::holdover_shorter_than_remote:
            return fmt::format(
                "In the rules {} the holdover is {} ms, but a remote that is held sends only every {} ms, so "
                "it is let go between. Choose at least that.",
                s(0), s(1), s(2));
        case FindingKind::variant_without_way_back:
            return fmt::format(
                "Presses lead to the variant {}, but none leads back to the profile as it stands. Give one "
                "input a change of variant that does.",
                s(0));
    }
    return {};
}

}  // namespace fettle::app
