// The schema is read by valijson (general-purpose JSON Schema validator, Debian libvalijson-dev 1.0).
#include <doctest/doctest.h>

#include <valijson/adapters/nlohmann_json_adapter.hpp>
#include <valijson/schema.hpp>
#include <valijson/schema_parser.hpp>
#include <valijson/validator.hpp>

#include "tests/profile/broken.hpp"
#include "tests/profile/sample.hpp"

namespace fettle::profile {
namespace {

using Adapter = valijson::adapters::NlohmannJsonAdapter;

bool is_accepted(const std::string& document) {
    static const nlohmann::json k_text = nlohmann::json::parse(schema_json());
    static const auto k_schema = [] {
        auto schema = std::make_unique<valijson::Schema>();
        valijson::SchemaParser().populateSchema(Adapter(k_text), *schema);
        return schema;
    }();
    const nlohmann::json json = nlohmann::json::parse(document);
    return valijson::Validator().validate(*k_schema, Adapter(json), nullptr);
}

TEST_CASE("schema: the file in assets is what the field table makes, byte for byte") {
    CHECK(tree_file("assets/schema/profile.schema.json") == schema_json());
}

TEST_CASE("schema: the sample and the 4 demo profiles are accepted by an independent validator") {
    CHECK(is_accepted(write(sample())));
    for (const char* name : k_asset_names) {
        CAPTURE(std::string(name));
        CHECK(is_accepted(asset(name)));
    }
}

TEST_CASE("schema: the validator refuses 27 of the 37 broken documents, the rest is beyond a schema") {
    const std::string text = write(sample());
    int seen = 0, beyond = 0;
    for (const Broken& one : k_broken) {
        CAPTURE(std::string(one.what));
        CHECK(is_accepted(broken(text, one)) != one.is_seen_by_schema);
        (one.is_seen_by_schema ? seen : beyond) += 1;
    }
    CHECK(seen == 27);
    CHECK(beyond == 10);
}

/// A number of the sample (path, least, most) at its limits and one beyond: schema and parser must agree.
void check_limits(const Tree& tree, const std::string& path, std::string& document, int& count) {
    if (const TreeObject* members = tree.object())
        for (const auto& [key, child] : *members) check_limits(child, path + "/" + key, document, count);
    if (const TreeList* list = tree.list())
        for (std::size_t i = 0; i < list->size(); ++i)
            check_limits((*list)[i], path + "/" + std::to_string(i), document, count);
    if (tree.field == nullptr || tree.field->kind != FieldKind::number) return;
    const nlohmann::json original = nlohmann::json::parse(document);
    for (const int64_t value : {tree.field->least - 1, tree.field->most + 1}) {
        nlohmann::json json = original;
        json[nlohmann::json::json_pointer(path)] = value;
        const bool is_off = tree.field->zero_is_off && value == 0;
        CAPTURE(path);
        CAPTURE(value);
        CHECK(is_accepted(json.dump()) == is_off);
        CHECK(static_cast<bool>(parse(json.dump())) == is_off);
        ++count;
    }
}

TEST_CASE("schema: schema and parser refuse every number of the sample just outside its range") {
    std::string document = write(sample());
    int count = 0;
    check_limits(to_tree(sample()), "", document, count);
    CHECK(count >= 150);
}

}  // namespace
}  // namespace fettle::profile
