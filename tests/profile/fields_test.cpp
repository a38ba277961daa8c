#include "core/profile/fields.hpp"

#include <doctest/doctest.h>

#include <set>

#include "core/profile/describe.hpp"

namespace fettle::profile {
namespace {

/// Holds the defaults of the model's records against the table.
struct Defaults {
    int count = 0;
    void number(const Field& f, const auto& value) {
        if (f.is_required) return;
        CAPTURE(std::string(f.key));
        CHECK(static_cast<int64_t>(value) == f.fallback);
        CHECK(is_in_range(f, f.fallback));
        ++count;
    }
    void format_version(const Field&) {}
    void flag(const Field& f, bool value) {
        CAPTURE(std::string(f.key));
        CHECK(value == (f.fallback != 0));
        ++count;
    }
    void choice(const Field& f, const auto& value) {
        if (f.is_required) return;
        CAPTURE(std::string(f.key));
        CHECK(static_cast<int64_t>(value) - f.least == f.fallback);
        ++count;
    }
    void bits(const Field& f, uint8_t value) {
        if (f.is_required) return;
        CHECK(value == f.fallback);
        ++count;
    }
    void text(const Field&, const std::string&) {}
    void hex(const Field&, const ProfileId&) {}
    void key(const Field&, uint8_t) {}
    void consumer(const Field&, uint16_t) {}
    void numbers(const Field&, const auto&) {}
    void object(const Field&, const auto& record) { describe(*this, record); }
    template <class Record>
    void list(const Field&, const std::vector<Record>&) {
        const Record record{};
        describe(*this, record);
    }
    void optional(const Field&, const auto&) {}
    template <class... Records>
    void one_of(const Field&, const std::variant<Records...>&) {
        (alternative(Records{}), ...);
    }
    void alternative(const auto& record) { describe(*this, record); }
    void pieces(const Field&, const Field&, const auto&) {}
    void rows(const Field&, const Field&, const Field&, const auto&) {}
};

TEST_CASE("fields: every default of the table is the model's, 33 values and more, and inside its range") {
    Defaults defaults;
    const Profile profile;
    const Action action;
    describe(defaults, profile);
    describe(defaults, action);
    CHECK(defaults.count >= 33);
}

TEST_CASE("fields: every field has help; every number's unit stands at the end of its key") {
    const std::vector<PlacedField> all = all_fields();
    CHECK(all.size() > 100);
    std::set<std::string> paths;
    for (const PlacedField& placed : all) {
        const std::string& path = placed.path;
        const Field* f = placed.field;
        CAPTURE(path);
        const std::string key = f->key, unit = f->unit, help = f->help;
        CHECK(paths.insert(path).second);
        CHECK(help.size() > 5);
        CHECK(help.back() == '.');
        CHECK_FALSE(allowed(*f).empty());
        if (f->kind != FieldKind::number) continue;
        CHECK(f->least <= f->most);
        if (unit == "ms" || unit == "s" || unit == "permille") CHECK(key.ends_with("_" + unit));
        if (unit == "counts/s") CHECK(key.ends_with("_counts_per_s"));
    }
    CHECK(paths.contains("/rule_sets/*/acceptance_ms"));
    CHECK(paths.contains("/modes/*/assignments/*/long/do=jump/counts"));
    CHECK(paths.contains("/motions/*/family=travel/speed/by=points/q16_counts_per_ms"));
}

TEST_CASE("fields: what is allowed is said in words, with unit, step and off") {
    CHECK(allowed(field::k_acceptance_ms) == "0 to 5000 ms");
    CHECK(allowed(field::k_longest_hold_ms) == "500 to 600000 ms in steps of 100");
    CHECK(allowed(field::k_long_ms) == "0 (off), or 100 to 5000 ms");
    CHECK(allowed(field::k_scale_style) == "one of: while_held, toggle");
    CHECK(allowed(field::k_move_list) == "a list of 2 to 61 numbers, each 0 to 65535 counts");
    CHECK(help_line(field::k_trial_s) ==
          "trial_s: 20 to 600 s; default 60. A pushed profile runs on trial this long.");
    CHECK(help_line(field::k_closed_low) ==
          "closed_low: true or false; default true. The closed contact pulls the line low.");
}

TEST_CASE("fields: names are letters, digits, _ . - and begin with a letter or digit") {
    for (const char* good : {"a", "0", "A-b_c.9", "abcdefghijklmnopqrstuvwxyz012345"}) CHECK(is_name(good));
    for (const char* bad : {"", "-a", "_a", "a b", "a/b", "\xC3\xBC", "abcdefghijklmnopqrstuvwxyz0123456"})
        CHECK_FALSE(is_name(bad));
    CHECK(is_label(" ~Far!"));
    CHECK_FALSE(is_label("tab\t"));
    CHECK_FALSE(is_label("\x7F"));
}

TEST_CASE("fields: the table's ranges are those that the device's loader checks, at both ends") {
    // The device's own words: core/engine/setup.hpp.
    CHECK(field::k_acceptance_ms.most == 5000);
    CHECK(field::k_trial_s.least == 20);
    CHECK(field::k_trial_s.most == 600);
    CHECK(field::k_click_gap_ms.least == 40);
    CHECK(field::k_longest_hold_ms.least == 500);
    CHECK(field::k_longest_hold_ms.most == 600000);
    CHECK(is_in_range(field::k_double_ms, 0));
    CHECK_FALSE(is_in_range(field::k_double_ms, 99));
}

}  // namespace
}  // namespace fettle::profile
