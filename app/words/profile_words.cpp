#include <fmt/format.h>

#include <algorithm>

#include "app/words/action_words.hpp"
#include "core/profile/keys.hpp"

namespace fettle::app {

using namespace profile;

namespace {

bool sends_something(const Action& action) {
    return std::holds_alternative<Chord>(action) || std::holds_alternative<Consumer>(action) ||
           std::holds_alternative<TypeText>(action) || std::holds_alternative<Latch>(action);
}

const Assignment* assignment_of(const Mode& mode, const std::string& input) {
    const auto at = std::find_if(mode.assignments.begin(), mode.assignments.end(),
                                 [&](const Assignment& a) { return a.input == input; });
    return at == mode.assignments.end() ? nullptr : &*at;
}

void add_once(std::vector<std::string>& lines, std::string line) {
    if (std::find(lines.begin(), lines.end(), line) == lines.end()) lines.push_back(std::move(line));
}

std::string grid_words(const Grid& grid, Language language) {
    std::string cells;
    for (const auto& row : grid.rows)
        for (const Cell& cell : row) {
            if (std::holds_alternative<std::monostate>(cell)) continue;
            cells += cells.empty() ? "" : "  ";
            cells += std::holds_alternative<Stroke>(cell) ? stroke_words(std::get<Stroke>(cell), language)
                     : std::get<std::string>(cell) == " " ? text_in(language, T::grid_space)
                                                          : std::get<std::string>(cell);
        }
    return cells;
}

}  // namespace

std::vector<std::string> everything_it_can_send(const Profile& profile, Language language) {
    std::vector<std::string> lines;
    for (const Mode& mode : profile.modes)
        for (const Assignment& one : mode.assignments)
            for (const auto& action : {one.short_press, one.long_press, one.double_press})
                if (action && sends_something(*action))
                    add_once(lines, action_words(*action, profile, language));
    // Texts that no press types are in the file all the same.
    for (const Text& text : profile.texts)
        add_once(lines, action_words(TypeText{text.name}, profile, language));
    if (!profile.grid.rows.empty())
        lines.push_back(text_in(language, T::grid_types, grid_words(profile.grid, language)));
    return lines;
}

std::vector<Explained> explain(const Profile& profile, Language language) {
    std::vector<Explained> all;
    for (const Mode& mode : profile.modes)
        for (const Input& input : profile.inputs) {
            Explained one{mode.name, input.name, {}};
            if (const Assignment* assigned = assignment_of(mode, input.name)) {
                const auto add = [&](T gesture, const std::optional<Action>& action) {
                    if (action)
                        one.gestures.push_back(
                            text_in(language, gesture, action_words(*action, profile, language)));
                };
                add(T::gesture_short, assigned->short_press);
                add(T::gesture_long, assigned->long_press);
                add(T::gesture_double, assigned->double_press);
            }
            all.push_back(std::move(one));
        }
    return all;
}

}  // namespace fettle::app
