#pragma once
// A document as a tree of plain values, in its own order: what lies between the text (json_text.hpp) and the
// model. Differences are taken here, so that they know keys and fields.

#include <cstdint>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "core/base/result.hpp"
#include "core/profile/fields.hpp"

namespace fettle::profile {

struct Tree;
struct TreeMember;
using TreeList = std::vector<Tree>;
using TreeObject = std::vector<TreeMember>;

/// field: what the table says of this value; nullptr where it has no field of its own.
struct Tree {
    std::variant<std::monostate, bool, int64_t, double, std::string, TreeList, TreeObject> value;
    const Field* field = nullptr;

    const TreeObject* object() const { return std::get_if<TreeObject>(&value); }
    const TreeList* list() const { return std::get_if<TreeList>(&value); }
    const std::string* text() const { return std::get_if<std::string>(&value); }
    /// The member of an object, nullptr if there is none.
    const Tree* find(std::string_view key) const;
    /// The same values; fields are not compared.
    bool operator==(const Tree& other) const;
};

/// A key and its value. No std::pair: that wants a complete Tree.
struct TreeMember {
    TreeMember(std::string key, Tree tree) : first(std::move(key)), second(std::move(tree)) {}
    std::string first;
    Tree second;
    bool operator==(const TreeMember& other) const { return first == other.first && second == other.second; }
};

/// "null", "true or false", "a number", "text", "a list", "an object": for error details.
const char* kind_name(const Tree& tree);

/// Largest document, bytes; larger ones are refused unread. Deepest nesting.
inline constexpr std::size_t k_document_bytes = 4u << 20;
inline constexpr int k_document_depth = 24;

/// Reads JSON. Errors: too_large; syntax (where: line and column; also for invalid UTF-8 and numbers that no
/// double holds); duplicate (where: JSON pointer); all before anything is made of the values.
Result<Tree> parse_json(std::string_view text);

/// Canonical JSON: two spaces a level, what fits on a line stays on it, line feed at the end.
std::string write_json(const Tree& tree);
/// On one line, no line feed.
std::string write_json_line(const Tree& tree);

/// One step of a JSON pointer (RFC 6901).
std::string pointer_step(std::string_view key);

}  // namespace fettle::profile
