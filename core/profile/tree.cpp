#include "core/profile/tree.hpp"

namespace fettle::profile {

const Tree* Tree::find(std::string_view key) const {
    const TreeObject* members = object();
    if (members == nullptr) return nullptr;
    for (const auto& [name, child] : *members)
        if (name == key) return &child;
    return nullptr;
}

bool Tree::operator==(const Tree& other) const {
    return value == other.value;
}

const char* kind_name(const Tree& tree) {
    static const char* const k_names[] = {"null", "true or false", "a number", "a number",
                                          "text", "a list",        "an object"};
    return k_names[tree.value.index()];
}

std::string pointer_step(std::string_view key) {
    std::string step = "/";
    for (const char c : key) {
        if (c == '~')
            step += "~0";
        else if (c == '/')
            step += "~1";
        else
            step += c;
    }
    return step;
}

}  // namespace fettle::profile
