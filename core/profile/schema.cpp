// The schema and the list of all fields: two walks over empty records, so that neither can forget a field.
#include "core/profile/describe.hpp"
#include "core/profile/document.hpp"
#include "core/profile/keys.hpp"

namespace fettle::profile {

namespace {

Tree words(const char* text) {
    return Tree{std::string(text)};
}
Tree object(TreeObject members) {
    return Tree{std::move(members)};
}
Tree names(const auto& all) {
    TreeList list;
    for (const auto& name : all) list.push_back(Tree{std::string(name)});
    return Tree{std::move(list)};
}

/// JSON Schema's words for a value by itself; records and lists are made by the walk.
TreeObject value_schema(const Field& f) {
    TreeObject schema;
    const auto put = [&](const char* key, Tree tree) { schema.emplace_back(key, std::move(tree)); };
    switch (f.kind) {
        case FieldKind::number: {
            put("type", words("integer"));
            TreeObject range{{"minimum", Tree{f.least}}, {"maximum", Tree{f.most}}};
            if (f.step > 1) range.emplace_back("multipleOf", Tree{f.step});
            if (f.zero_is_off)
                put("anyOf", Tree{TreeList{object({{"const", Tree{int64_t{0}}}}), object(std::move(range))}});
            else
                schema.insert(schema.end(), range.begin(), range.end());
            if (!f.is_required) put("default", Tree{f.fallback});
            break;
        }
        case FieldKind::flag:
            put("type", words("boolean"));
            put("default", Tree{f.fallback != 0});
            break;
        case FieldKind::name:
            put("type", words("string"));
            put("pattern", words("^[A-Za-z0-9][A-Za-z0-9_.-]*$"));
            put("maxLength", Tree{f.most});
            break;
        case FieldKind::label:
            put("type", words("string"));
            put("pattern", words("^[ -~]*$"));
            put("maxLength", Tree{f.most});
            break;
        case FieldKind::reference:
        case FieldKind::text:
            put("type", words("string"));
            if (f.least > 0) put("minLength", Tree{f.least});
            put("maxLength", Tree{f.most});
            break;
        case FieldKind::hex:
            put("type", words("string"));
            put("pattern", words("^[0-9a-f]{16}$"));
            break;
        case FieldKind::choice:
            put("enum", names(f.choices));
            if (!f.is_required) put("default", words(f.choices.names[f.fallback]));
            break;
        case FieldKind::bits:
            put("type", words("array"));
            put("items", object({{"enum", names(f.choices)}}));
            put("uniqueItems", Tree{true});
            if (f.least > 0) put("minItems", Tree{int64_t{1}});
            break;
        case FieldKind::key: return {{"$ref", words("#/$defs/key")}};
        case FieldKind::consumer: return {{"$ref", words("#/$defs/consumer")}};
        case FieldKind::numbers:
            put("type", words("array"));
            put("items",
                object({{"type", words("integer")}, {"minimum", Tree{f.least}}, {"maximum", Tree{f.most}}}));
            put("minItems", Tree{f.fallback});
            put("maxItems", Tree{f.step});
            break;
        case FieldKind::object:
        case FieldKind::list: break;
    }
    return schema;
}

Tree usages(const std::vector<NamedUsage>& table, const char* pattern) {
    std::vector<std::string> all;
    for (const NamedUsage& row : table) all.emplace_back(row.name);
    return object(
        {{"anyOf", Tree{TreeList{object({{"enum", names(all)}}),
                                 object({{"type", words("string")}, {"pattern", words(pattern)}})}}}});
}

/// Collects the properties of one record.
class SchemaWalk {
public:
    void number(const Field& f, const auto&) { add(f, value_schema(f)); }
    void format_version(const Field& f) {
        add(f, {{"type", words("integer")}, {"const", Tree{int64_t{k_format_version}}}});
    }
    void flag(const Field& f, bool) { add(f, value_schema(f)); }
    void text(const Field& f, const std::string&) { add(f, value_schema(f)); }
    void hex(const Field& f, const ProfileId&) { add(f, value_schema(f)); }
    void choice(const Field& f, const auto&) {
        TreeObject schema = value_schema(f);
        // Straight directions share the table of all eight.
        if (&f == &field::k_straight)
            schema[0].second = names(std::vector<std::string>{"up", "right", "down", "left"});
        add(f, std::move(schema));
    }
    void bits(const Field& f, uint8_t) { add(f, value_schema(f)); }
    void key(const Field& f, uint8_t) { add(f, value_schema(f)); }
    void consumer(const Field& f, uint16_t) { add(f, value_schema(f)); }
    void numbers(const Field& f, const auto&) { add(f, value_schema(f)); }
    void object(const Field& f, const auto& record) { add(f, schema_of(record)); }
    template <class Record>
    void list(const Field& f, const std::vector<Record>&) {
        add(f, list_of(f, item_schema(Record{})));
    }
    void optional(const Field& f, const auto&) { add(f, {{"$ref", words("#/$defs/action")}}); }
    template <class... Records>
    void one_of(const Field& f, const std::variant<Records...>&) {
        std::size_t index = 0;
        (alternative<Records>(f, index++), ...);
    }
    void pieces(const Field& f, const Field& piece, const auto&) {
        add(f, list_of(f, any_of({value_schema(piece), {{"$ref", words("#/$defs/stroke")}}})));
    }
    void rows(const Field& f, const Field& row, const Field& cell, const auto&) {
        TreeObject null{{"type", words("null")}};
        const TreeObject cells =
            any_of({std::move(null), value_schema(cell), {{"$ref", words("#/$defs/stroke")}}});
        add(f, list_of(f, list_of(row, cells)));
    }

    template <class Record>
    static TreeObject schema_of(const Record& record) {
        SchemaWalk walk;
        describe(walk, record);
        return walk.finish();
    }

private:
    static TreeObject any_of(std::vector<TreeObject> all) {
        TreeList list;
        for (TreeObject& one : all) list.push_back(Tree{std::move(one)});
        return {{"anyOf", Tree{std::move(list)}}};
    }
    static TreeObject list_of(const Field& f, TreeObject item) {
        return {{"type", words("array")},
                {"items", Tree{std::move(item)}},
                {"minItems", Tree{f.least}},
                {"maxItems", Tree{f.most}}};
    }
    template <class Record>
    static TreeObject item_schema(const Record& record) {
        if constexpr (std::same_as<Record, RuleSet>) return {{"$ref", words("#/$defs/rule_set")}};
        if constexpr (std::same_as<Record, Motion>) return {{"$ref", words("#/$defs/motion")}};
        return schema_of(record);
    }
    template <class Record>
    void alternative(const Field& f, std::size_t index) {
        SchemaWalk walk;
        walk.properties_ = properties_;
        walk.required_ = required_;
        walk.add(f, {{"const", words(f.choices.names[index])}});
        const Record record{};
        describe(walk, record);
        alternatives_.push_back(Tree{walk.finish()});
    }
    TreeObject finish() {
        if (!alternatives_.empty())
            return {{"type", words("object")}, {"oneOf", Tree{std::move(alternatives_)}}};
        TreeObject schema{{"type", words("object")}, {"properties", Tree{std::move(properties_)}}};
        if (!required_.empty()) schema.emplace_back("required", Tree{std::move(required_)});
        schema.emplace_back("additionalProperties", Tree{false});
        return schema;
    }
    void add(const Field& f, TreeObject schema) {
        std::string help = f.help;
        if (*f.unit != '\0') help += std::string(" Unit: ") + f.unit + ".";
        schema.emplace_back("description", Tree{std::move(help)});
        properties_.emplace_back(f.key, Tree{std::move(schema)});
        if (f.is_required) required_.push_back(Tree{std::string(f.key)});
    }

    TreeObject properties_;
    TreeList required_;
    TreeList alternatives_;
};

/// Lists fields with their paths.
class FieldWalk {
public:
    FieldWalk(std::vector<PlacedField>& to, std::string path) : to_(to), path_(std::move(path)) {}

    void number(const Field& f, const auto&) { add(f); }
    void format_version(const Field& f) { add(f); }
    void flag(const Field& f, bool) { add(f); }
    void text(const Field& f, const std::string&) { add(f); }
    void hex(const Field& f, const ProfileId&) { add(f); }
    void choice(const Field& f, const auto&) { add(f); }
    void bits(const Field& f, uint8_t) { add(f); }
    void key(const Field& f, uint8_t) { add(f); }
    void consumer(const Field& f, uint16_t) { add(f); }
    void numbers(const Field& f, const auto&) { add(f); }
    void object(const Field& f, const auto& record) { below(add(f), record); }
    template <class Record>
    void list(const Field& f, const std::vector<Record>&) {
        below(add(f) + "/*", Record{});
    }
    template <class Record>
    void optional(const Field& f, const std::optional<Record>&) {
        below(add(f), Record{});
    }
    template <class... Records>
    void one_of(const Field& f, const std::variant<Records...>&) {
        add(f);
        std::size_t index = 0;
        (below(path_ + "/" + f.key + "=" + f.choices.names[index++], Records{}), ...);
    }
    void pieces(const Field& f, const Field&, const auto&) { below(add(f) + "/*", Stroke{}); }
    void rows(const Field& f, const Field&, const Field&, const auto&) { below(add(f) + "/*/*", Stroke{}); }

private:
    std::string add(const Field& f) {
        to_.push_back({path_ + "/" + f.key, &f});
        return to_.back().path;
    }
    void below(std::string path, const auto& record) {
        FieldWalk walk(to_, std::move(path));
        describe(walk, record);
    }

    std::vector<PlacedField>& to_;
    std::string path_;
};

}  // namespace

std::vector<PlacedField> all_fields() {
    std::vector<PlacedField> all;
    FieldWalk walk(all, "");
    const Profile profile;
    describe(walk, profile);
    return all;
}

std::string schema_json() {
    TreeObject root{{"$schema", words("https://json-schema.org/draft/2020-12/schema")},
                    {"title", words("Fettle profile")}};
    for (auto& member : SchemaWalk::schema_of(Profile{})) root.push_back(std::move(member));
    TreeObject stroke = SchemaWalk::schema_of(Stroke{});
    stroke.emplace_back("required", Tree{TreeList{words("key")}});
    root.emplace_back(
        "$defs", object({{"rule_set", Tree{SchemaWalk::schema_of(RuleSet{})}},
                         {"motion", Tree{SchemaWalk::schema_of(Motion{})}},
                         {"stroke", Tree{std::move(stroke)}},
                         {"action", Tree{SchemaWalk::schema_of(Action{})}},
                         {"key", usages(key_table(), "^usage_(0[4-9a-f]|[1-9][0-9a-f]|a[0-4])$")},
                         {"consumer", usages(consumer_table(),
                                             "^usage_(00[1-9a-f]|0[1-9a-f][0-9a-f]|[123][0-9a-f]{2})$")}}));
    return write_json(Tree{std::move(root)});
}

}  // namespace fettle::profile
