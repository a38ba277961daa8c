#pragma once
// Single records of the image from and to the model. Used by image_compile.cpp and image_decompile.cpp alone.

#include <functional>
#include <optional>

#include "core/profile/model.hpp"

namespace fettle::profile {

using Bytes = std::vector<uint8_t>;

engine::RuleDef rule_def(const RuleSet& rules);
RuleSet rule_set(const engine::RuleDef& def, std::string name);

engine::InputDef input_def(const InputSource& source, uint8_t rule);
InputSource input_source(const engine::InputDef& def);

/// A motion record with its length byte.
Bytes motion_record(const Motion& motion);
/// body: past the length byte, checked by wire::load.
Motion motion_of(const uint8_t* body, std::string name);

/// One stroke in a text or grid, 1 or 3 bytes.
void put_stroke(Bytes& to, const Stroke& stroke);
/// Takes one stroke at `at` and moves on; nothing for an empty cell. Bytes are checked by wire::load.
std::optional<Stroke> take_stroke(const Bytes& image, std::size_t& at);

/// Indices of what an action refers to. The names are known to be there.
struct Lookup {
    std::function<uint8_t(const std::string&)> motion, repeat, mode, text, variant;
};
engine::ActionDef action_def(const Action& action, const Lookup& lookup);

/// Names of what an action record refers to.
struct Naming {
    std::function<std::string(uint8_t)> motion, repeat, mode, text, variant;
};
/// Nothing for ActionKind::none. Kinds are known to wire::load.
std::optional<Action> action_of(const engine::ActionDef& def, const Naming& naming);

}  // namespace fettle::profile
