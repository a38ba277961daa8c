// The only file that knows the JSON library. Reading goes through its event interface, so that a key given
// twice, or nesting too deep, is refused before a value is looked at.
#include <nlohmann/json.hpp>

#include "core/base/utf8.hpp"
#include "core/profile/tree.hpp"

namespace fettle::profile {

namespace {

using Json = nlohmann::ordered_json;

constexpr std::size_t k_object_keys = 64;  // the search for keys given twice is a linear one

/// Line and column, from 1, columns in bytes.
std::string place_of(std::string_view text, std::size_t offset) {
    std::size_t line = 1, column = 1;
    for (std::size_t i = 0; i < offset && i < text.size(); ++i) {
        column = text[i] == '\n' ? 1 : column + 1;
        line += text[i] == '\n' ? 1u : 0u;
    }
    return "line " + std::to_string(line) + ", column " + std::to_string(column);
}

/// Builds the tree event by event. Each call returns false to stop; `error` says why.
class TreeBuilder {
public:
    explicit TreeBuilder(std::string_view text) : text_(text) {}

    bool null() { return add({}); }
    bool boolean(bool value) { return add(Tree{value}); }
    bool number_integer(int64_t value) { return add(Tree{value}); }
    bool number_unsigned(uint64_t value) {
        if (value > static_cast<uint64_t>(INT64_MAX)) return add(Tree{static_cast<double>(value)});
        return add(Tree{static_cast<int64_t>(value)});
    }
    bool number_float(double value, const std::string&) { return add(Tree{value}); }
    bool string(std::string& value) { return add(Tree{std::move(value)}); }
    bool binary(Json::binary_t&) { return false; }
    bool start_object(std::size_t) { return open(Tree{TreeObject{}}); }
    bool start_array(std::size_t) { return open(Tree{TreeList{}}); }
    bool end_object() { return close(); }
    bool end_array() { return close(); }
    bool key(std::string& name) {
        if (std::get<TreeObject>(stack_.back().tree.value).size() == k_object_keys) {
            error = Error{Errc::too_large, path(), "more than " + std::to_string(k_object_keys) + " keys"};
            return false;
        }
        if (stack_.back().tree.find(name) != nullptr) {
            error = Error{Errc::duplicate, path() + pointer_step(name), "this key stands twice"};
            return false;
        }
        stack_.back().key = std::move(name);
        return true;
    }
    bool parse_error(std::size_t offset, const std::string&, const Json::exception& what) {
        // 406: a number that no double holds (nlohmann-json, out_of_range).
        const char* why = what.id == 406 ? "a number too large to be read" : "not well-formed JSON";
        error = Error{Errc::syntax, place_of(text_, offset == 0 ? 0 : offset - 1), why};
        return false;
    }

    Tree result;
    Error error;

private:
    struct Level {
        Tree tree;
        std::string key;
    };

    std::string path() const {
        std::string path;
        for (std::size_t i = 0; i + 1 < stack_.size(); ++i) {
            const TreeList* list = stack_[i].tree.list();
            path += list != nullptr ? "/" + std::to_string(list->size()) : pointer_step(stack_[i].key);
        }
        return path;
    }
    bool add(Tree tree) {
        if (stack_.empty()) {
            result = std::move(tree);
            return true;
        }
        Level& top = stack_.back();
        if (TreeList* list = std::get_if<TreeList>(&top.tree.value))
            list->push_back(std::move(tree));
        else
            std::get<TreeObject>(top.tree.value).emplace_back(std::move(top.key), std::move(tree));
        return true;
    }
    bool open(Tree tree) {
        if (stack_.size() == static_cast<std::size_t>(k_document_depth)) {
            error = Error{Errc::too_large, path(), "nested deeper than " + std::to_string(k_document_depth)};
            return false;
        }
        stack_.push_back(Level{std::move(tree), {}});
        return true;
    }
    bool close() {
        Tree tree = std::move(stack_.back().tree);
        stack_.pop_back();
        return add(std::move(tree));
    }

    std::string_view text_;
    std::vector<Level> stack_;
};

Json to_json(const Tree& tree) {
    if (const bool* flag = std::get_if<bool>(&tree.value)) return *flag;
    if (const int64_t* number = std::get_if<int64_t>(&tree.value)) return *number;
    if (const double* number = std::get_if<double>(&tree.value)) return *number;
    if (const std::string* text = tree.text()) return *text;
    if (const TreeList* list = tree.list()) {
        Json array = Json::array();
        for (const Tree& one : *list) array.push_back(to_json(one));
        return array;
    }
    if (const TreeObject* members = tree.object()) {
        Json object = Json::object();
        for (const auto& [key, child] : *members) object[key] = to_json(child);
        return object;
    }
    return nullptr;
}

std::string on_one_line(const Json& json) {
    // Bytes that are no UTF-8 (a half-edited profile) become replacement characters, never an exception.
    if (!json.is_structured()) return json.dump(-1, ' ', false, Json::error_handler_t::replace);
    std::string text = json.is_array() ? "[" : "{";
    const char* comma = "";
    for (const auto& item : json.items()) {
        text += comma;
        comma = ", ";
        if (json.is_object()) text += on_one_line(Json(item.key())) + ": ";
        text += on_one_line(item.value());
    }
    return text + (json.is_array() ? "]" : "}");
}

constexpr std::size_t k_line_bytes = 110;

void layout(const Json& json, std::size_t indent, std::size_t used, std::string& out) {
    std::string line = on_one_line(json);
    const bool fits = indent + used + line.size() + 1 <= k_line_bytes && indent > 0;
    if (!json.is_structured() || json.empty() || fits) {
        out += line;
        return;
    }
    out += json.is_array() ? "[\n" : "{\n";
    bool is_first = true;
    for (const auto& item : json.items()) {
        if (!is_first) out += ",\n";
        is_first = false;
        const std::string key = json.is_object() ? on_one_line(Json(item.key())) + ": " : "";
        out.append(indent + 2, ' ');
        out += key;
        layout(item.value(), indent + 2, key.size(), out);
    }
    out += '\n';
    out.append(indent, ' ');
    out += json.is_array() ? ']' : '}';
}

}  // namespace

Result<Tree> parse_json(std::string_view text) {
    if (text.size() > k_document_bytes)
        return fail(
            Errc::too_large, "",
            std::to_string(text.size()) + " bytes; allowed up to " + std::to_string(k_document_bytes));
    const std::size_t bad = first_bad_utf8(text);
    if (bad != k_all_utf8) return fail(Errc::syntax, place_of(text, bad), "not UTF-8");
    TreeBuilder builder(text);
    if (!Json::sax_parse(text.begin(), text.end(), &builder)) return Unexpected{builder.error};
    return std::move(builder.result);
}

std::string write_json(const Tree& tree) {
    std::string out;
    layout(to_json(tree), 0, 0, out);
    return out + '\n';
}

std::string write_json_line(const Tree& tree) {
    return on_one_line(to_json(tree));
}

}  // namespace fettle::profile
