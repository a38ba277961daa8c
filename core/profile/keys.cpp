#include "core/profile/keys.hpp"

#include "core/profile/field_table.hpp"
#include "core/wire/image_check.hpp"

namespace fettle::profile {

namespace {

static_assert(k_first_key == wire::k_first_usage && k_last_key == wire::k_last_usage);
static_assert(k_last_consumer == wire::k_consumer_usage_max);

constexpr std::string_view k_generic = "usage_";

std::string generic_name(unsigned usage, int digits) {
    static const char k_hex[] = "0123456789abcdef";
    std::string name(k_generic);
    for (int shift = 4 * (digits - 1); shift >= 0; shift -= 4) name += k_hex[(usage >> shift) & 0xFu];
    return name;
}

std::optional<unsigned> generic_usage(std::string_view name, size_t digits) {
    if (!name.starts_with(k_generic) || name.size() != k_generic.size() + digits) return std::nullopt;
    unsigned usage = 0;
    for (const char c : name.substr(k_generic.size())) {
        const bool is_digit = c >= '0' && c <= '9';
        if (!is_digit && (c < 'a' || c > 'f')) return std::nullopt;
        usage = usage * 16 + static_cast<unsigned>(is_digit ? c - '0' : c - 'a' + 10);
    }
    return usage;
}

const char* find_name(const std::vector<NamedUsage>& table, unsigned usage) {
    for (const NamedUsage& row : table)
        if (row.usage == usage) return row.name;
    return nullptr;
}

std::optional<unsigned> find_usage(const std::vector<NamedUsage>& table, std::string_view name) {
    for (const NamedUsage& row : table)
        if (name == row.name) return row.usage;
    return std::nullopt;
}

}  // namespace

std::string key_name(uint8_t usage) {
    const char* name = find_name(key_table(), usage);
    return name != nullptr ? name : generic_name(usage, 2);
}

std::optional<uint8_t> key_usage(std::string_view name) {
    std::optional<unsigned> usage = find_usage(key_table(), name);
    if (!usage) usage = generic_usage(name, 2);
    if (!usage || *usage < k_first_key || *usage > k_last_key) return std::nullopt;
    return static_cast<uint8_t>(*usage);
}

std::string consumer_name(uint16_t usage) {
    const char* name = find_name(consumer_table(), usage);
    return name != nullptr ? name : generic_name(usage, 3);
}

std::optional<uint16_t> consumer_usage(std::string_view name) {
    std::optional<unsigned> usage = find_usage(consumer_table(), name);
    if (!usage) usage = generic_usage(name, 3);
    if (!usage || *usage < 1 || *usage > k_last_consumer) return std::nullopt;
    return static_cast<uint16_t>(*usage);
}

std::vector<std::string> modifier_names(uint8_t modifiers) {
    std::vector<std::string> names;
    for (int bit = 0; bit < 8; ++bit)
        if ((modifiers >> bit) & 1) names.emplace_back(field::names::k_modifiers[bit]);
    return names;
}

}  // namespace fettle::profile
