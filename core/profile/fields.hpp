#pragma once
// What is known about every value of a profile document: key, unit, range, default, help. The table
// (field_table.hpp) is read by the parser, the checks, the schema, the help texts and the screens' controls;
// describe.hpp says which fields make up which record. Nothing else states a range or a default.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace fettle::profile {

enum class FieldKind : uint8_t {
    number,  ///< whole number, least to most in steps of `step`
    flag,    ///< true or false
    name,    ///< identifier: letters, digits, _ . -; starts with a letter or digit; least to most characters
    reference,  ///< name of something else in the profile, or empty where it may be left out
    label,      ///< printable ASCII, what the device's display shows
    text,       ///< any UTF-8, length in code points
    hex,        ///< lower-case hexadecimal digits, exactly `most`
    choice,     ///< one of `choices`
    bits,       ///< list of some of `choices`, each once
    key,        ///< name of a keyboard usage (keys.hpp)
    consumer,   ///< name of a consumer usage (keys.hpp)
    object,     ///< a record inside
    list,       ///< least to most records
    numbers,    ///< list of numbers: `fallback` to `step` of them, each least to most
};

/// A list of names without an owner: static storage.
struct Choices {
    const char* const* names = nullptr;
    int count = 0;
    const char* const* begin() const { return names; }
    const char* const* end() const { return names + count; }
};

/// key: as it stands in the document, unit included. unit: as people read it, "" if none.
/// choice: fallback is the index into `choices`; least is the enumerator's value of the first one.
struct Field {
    const char* key;
    FieldKind kind;
    const char* unit;
    int64_t least;
    int64_t most;
    int64_t fallback;
    int64_t step;
    Choices choices;
    bool is_required;
    const char* help;
    bool zero_is_off = false;  ///< 0 is allowed too
    bool is_quiet = false;     ///< not written where it has its default
};

/// A field and where it stands: the keys above it, list elements as "*", alternatives as "do=move".
struct PlacedField {
    std::string path;
    const Field* field;
};
/// Every field of the document, in the order of the document.
std::vector<PlacedField> all_fields();

/// What may stand there, in words: "0 to 5000 ms", "one of: nec, rc5". For error details and help.
std::string allowed(const Field& field);

/// One line a field: key, allowed values, default, help.
std::string help_line(const Field& field);

bool is_name(std::string_view text);   ///< as FieldKind::name has it, 1 to 32 characters
bool is_label(std::string_view text);  ///< printable ASCII only
/// Index into the choices, -1 if it is none of them.
int choice_of(const Field& field, std::string_view name);
/// Range and step of a number.
bool is_in_range(const Field& field, int64_t value);

}  // namespace fettle::profile
