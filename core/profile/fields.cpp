#include "core/profile/fields.hpp"

namespace fettle::profile {

namespace {

bool is_alnum(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
}

std::string with_unit(const Field& field) {
    return *field.unit != '\0' ? std::string(" ") + field.unit : std::string();
}

std::string range(const Field& field) {
    std::string text = std::to_string(field.least) + " to " + std::to_string(field.most) + with_unit(field);
    if (field.kind == FieldKind::number && field.step > 1)
        text += " in steps of " + std::to_string(field.step);
    if (field.zero_is_off) text = "0 (off), or " + text;
    return text;
}

std::string listed(const Choices& choices) {
    std::string text;
    for (const char* name : choices) text += (text.empty() ? "" : ", ") + std::string(name);
    return text;
}

std::string length(const Field& field) {
    return std::to_string(field.least) + " to " + std::to_string(field.most);
}

}  // namespace

bool is_name(std::string_view text) {
    if (text.empty() || text.size() > 32 || !is_alnum(text.front())) return false;
    for (const char c : text)
        if (!is_alnum(c) && c != '_' && c != '.' && c != '-') return false;
    return true;
}

bool is_label(std::string_view text) {
    for (const char c : text)
        if (c < 0x20 || c > 0x7E) return false;
    return true;
}

int choice_of(const Field& field, std::string_view name) {
    for (int i = 0; i < field.choices.count; ++i)
        if (name == field.choices.names[i]) return i;
    return -1;
}

bool is_in_range(const Field& field, int64_t value) {
    if (field.zero_is_off && value == 0) return true;
    const bool on_step = field.kind != FieldKind::number || value % field.step == 0;
    return value >= field.least && value <= field.most && on_step;
}

std::string allowed(const Field& field) {
    switch (field.kind) {
        case FieldKind::number: return range(field);
        case FieldKind::flag: return "true or false";
        case FieldKind::name: return "1 to 32 letters, digits, _ . - (a letter or digit first)";
        case FieldKind::reference: return "the name of something in this profile";
        case FieldKind::label: return "up to " + std::to_string(field.most) + " printable ASCII characters";
        case FieldKind::text: return "text of " + length(field) + " characters";
        case FieldKind::hex: return std::to_string(field.most) + " digits 0 to 9, a to f";
        case FieldKind::choice: return "one of: " + listed(field.choices);
        case FieldKind::bits:
            return (field.least > 0 ? "one or more of: " : "some of: ") + listed(field.choices);
        case FieldKind::key: return "the name of a key, or usage_ and two digits 0 to 9, a to f (04 to a4)";
        case FieldKind::consumer:
            return "the name of a consumer usage, or usage_ and three digits 0 to 9, a to f (001 to 3ff)";
        case FieldKind::object: return "an object";
        case FieldKind::list: return "a list of " + length(field);
        case FieldKind::numbers:
            return "a list of " + std::to_string(field.fallback) + " to " + std::to_string(field.step) +
                   " numbers, each " + range(field);
    }
    return {};
}

std::string help_line(const Field& field) {
    std::string text = std::string(field.key) + ": " + allowed(field);
    if (field.kind == FieldKind::number && !field.is_required)
        text += "; default " + std::to_string(field.fallback);
    if (field.kind == FieldKind::choice && !field.is_required)
        text += std::string("; default ") + field.choices.names[field.fallback];
    if (field.kind == FieldKind::flag) text += field.fallback != 0 ? "; default true" : "; default false";
    return text + ". " + field.help;
}

}  // namespace fettle::profile
