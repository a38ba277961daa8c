// Teaching inputs by two presses that agree, one input or a whole remote; and the room test.
//
//  what comes          | nothing yet | pressed once          | agreed twice
//  the same press      | once        | agreed                | agreed
//  another press       | once        | once, and a mismatch  | once, and a mismatch
//  accept              | said        | said                  | an edit, next input or the end; refused when
//                      |             |                       | another input has it
//  skip, another input | next, from the start

#include <algorithm>

#include "app/desk/desk_inside.hpp"
#include "app/sim_script.hpp"
#include "app/words/infrared_words.hpp"

namespace fettle::app {

namespace {

constexpr std::int64_t k_room_test_us = 60'000'000;  // own choice: a minute

bool is_infrared(const profile::Input& input) {
    return std::holds_alternative<profile::Infrared>(input.source);
}

bool take_out(std::vector<std::string>& all, const std::string& name) {
    const auto at = std::find(all.begin(), all.end(), name);
    if (at == all.end()) return false;
    all.erase(at);
    return true;
}

bool has(const std::vector<std::string>& all, const std::string& name) {
    return std::find(all.begin(), all.end(), name) != all.end();
}

/// The rule set that most inputs of this kind go by; without one, the first.
std::string rules_for(const profile::Profile& profile, const profile::InputSource& source) {
    std::map<std::string, int> votes;
    std::string best = profile.rule_sets.empty() ? "" : profile.rule_sets.front().name;
    int most = 0;
    for (const auto& input : profile.inputs)
        if (input.source.index() == source.index() && ++votes[input.rules] > most) {
            most = votes[input.rules];
            best = input.rules;
        }
    return best;
}

std::string free_name(const profile::Profile& profile) {
    for (int i = 1;; ++i) {
        std::string name = "button" + std::to_string(i);
        if (profile::find_named(profile.inputs, name) == nullptr) return name;
    }
}

}  // namespace

void DeskKeeper::Inside::teach_begin(const order::TeachBegin& order) {
    Teaching& teaching = desk.teaching;
    const auto& inputs = desk.editing.profile.inputs;
    const bool is_there = order.input.empty() || profile::find_named(inputs, order.input) != nullptr;
    if (!is_there) return problem(Error{Errc::not_found, order.input, ""});
    const bool goes_on = teaching.is_on && teaching.replaces_remote && order.replaces_remote;
    if (goes_on) {
        if (order.input.empty() || order.input == teaching.input) return;
        if (!take_out(teaching.left, order.input) && !take_out(teaching.skipped, order.input) &&
            !take_out(teaching.taught, order.input))
            return problem(Error{Errc::not_found, order.input, ""});
        teaching.left.insert(teaching.left.begin(), teaching.input);
        teaching.input = order.input;
        return teach_again();
    }
    std::vector<std::string> left;
    for (const auto& input : inputs)
        if (order.replaces_remote && is_infrared(input)) left.push_back(input.name);
    if (order.replaces_remote && left.empty()) return warn(text(T::desk_no_remote));
    teach_end();
    teaching.is_on = true;
    teaching.replaces_remote = order.replaces_remote;
    teaching.left = std::move(left);
    if (order.replaces_remote && order.input.empty()) return teach_next();
    teaching.input = order.input;
    take_out(teaching.left, order.input);
    teach_again();
}

void DeskKeeper::Inside::teach_again() {
    Teaching& teaching = desk.teaching;
    teaching.teacher.begin_anew();
    taught_presses = teaching.teacher.presses();
    teaching.first.reset();
    teaching.source.reset();
    teaching.mismatch.reset();
    teaching.same_as.reset();
    teaching.in_the_room = InTheRoom::not_heard;
}

void DeskKeeper::Inside::teach_event(std::int64_t at_us, const engine::Event& event) {
    Teaching& teaching = desk.teaching;
    teaching.teacher.hear(link::TimedEvent{at_us, event});
    if (!teaching.is_on) return;
    if (event.kind == engine::EventKind::ir_frame) teaching.last_frame = frame_of_event(event);
    if (teaching.teacher.presses() == taught_presses) return;
    taught_presses = teaching.teacher.presses();
    const profile::InputSource pressed = *teaching.teacher.last();
    teaching.mismatch.reset();
    const bool agrees = teaching.first == pressed;
    if (teaching.first && !agrees) teaching.mismatch = {*teaching.first, pressed};
    teaching.first = pressed;
    teaching.source.reset();
    if (agrees) teaching.source = pressed;
    judge_source();
}

/// Who has it already, and whether the room has it. Inputs whose turn is still to come in a round lose their
/// old source anyway.
void DeskKeeper::Inside::judge_source() {
    Teaching& teaching = desk.teaching;
    teaching.same_as.reset();
    teaching.in_the_room = InTheRoom::not_heard;
    for (const auto& input : desk.editing.profile.inputs) {
        const bool is_free =
            input.name == teaching.input || (teaching.replaces_remote && has(teaching.left, input.name));
        if (!is_free && input.source == *teaching.first) teaching.same_as = input.name;
    }
    if (teaching.same_as) warn(text(T::desk_taught_already, *teaching.same_as));
    const auto* remote = std::get_if<profile::Infrared>(&*teaching.first);
    if (remote == nullptr) return;
    const engine::IrFrame frame = frame_of(*remote);
    if (room_addresses.count({frame.protocol, frame.address}) != 0)
        teaching.in_the_room = InTheRoom::same_address;
    if (room_codes.count({frame.protocol, engine::ir_code(frame)}) != 0)
        teaching.in_the_room = InTheRoom::same_code;
}

void DeskKeeper::Inside::teach_next() {
    Teaching& teaching = desk.teaching;
    if (!teaching.left.empty()) {
        teaching.input = teaching.left.front();
        teaching.left.erase(teaching.left.begin());
        return teach_again();
    }
    const std::size_t taught = teaching.taught.size(), all = taught + teaching.skipped.size();
    teach_end();
    done(text(T::desk_taught_round, taught, all));
}

void DeskKeeper::Inside::teach_skip() {
    Teaching& teaching = desk.teaching;
    if (!teaching.is_on) return;
    if (!teaching.replaces_remote) return teach_end();
    teaching.skipped.push_back(teaching.input);
    teach_next();
}

void DeskKeeper::Inside::teach_accept(const order::TeachAccept& order) {
    Teaching& teaching = desk.teaching;
    if (!teaching.is_on || !teaching.source) return warn(text(T::desk_press_twice));
    if (teaching.same_as) return warn(text(T::desk_taught_already, *teaching.same_as));
    const profile::Profile& profile = desk.editing.profile;
    std::string name = teaching.input;
    if (name.empty()) {
        name = order.name.empty() ? free_name(profile) : order.name;
        const profile::Input input{name, rules_for(profile, *teaching.source), *teaching.source};
        if (!change(edit::AddInput{input})) return;
    } else if (!change(edit::SetSource{name, *teaching.source})) {
        return;
    }
    const bool may_collide = teaching.in_the_room != InTheRoom::not_heard;
    const std::string words = text(may_collide ? T::desk_taught_room : T::desk_taught, name);
    if (may_collide)
        warn(words);
    else
        done(words);
    if (!teaching.replaces_remote) return teach_end();
    teaching.taught.push_back(name);
    teach_next();
}

void DeskKeeper::Inside::teach_end() {
    Teaching& teaching = desk.teaching;
    teaching.is_on = false;
    teaching.replaces_remote = false;
    teaching.input.clear();
    teaching.left.clear();
    teaching.taught.clear();
    teaching.skipped.clear();
    teach_again();
}

void DeskKeeper::Inside::room_test_begin() {
    desk.room_test = RoomTest{true, desk.device_us, desk.device_us + k_room_test_us};
    room_codes.clear();
    room_addresses.clear();
}

void DeskKeeper::Inside::room_test_end() {
    if (!desk.room_test.is_on) return;
    desk.room_test.is_on = false;
    // The end of a range is not in it, what was heard last is.
    desk.room_test.to_us = std::min(desk.room_test.to_us, desk.device_us + 1);
    done(text(T::desk_room_test_ended));
}

/// Buttons that this profile knows are the person's own, pressed while it listened.
void DeskKeeper::Inside::note_room_code(const engine::Event& event) {
    if (!desk.room_test.is_on) return;
    const engine::IrFrame frame = frame_of_event(event);
    if (engine::ir_code(frame) == 0) return;  // "still held" alone
    for (const auto& input : desk.editing.profile.inputs) {
        const auto* own = std::get_if<profile::Infrared>(&input.source);
        if (own == nullptr) continue;
        const engine::IrFrame its = frame_of(*own);
        if (its.protocol == frame.protocol && engine::ir_code(its) == engine::ir_code(frame)) return;
    }
    room_codes.insert({frame.protocol, engine::ir_code(frame)});
    if (frame.protocol != engine::Protocol::unknown) room_addresses.insert({frame.protocol, frame.address});
}

}  // namespace fettle::app
