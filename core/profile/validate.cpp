// What must hold of a profile beyond types: ranges, names that are unique and refer to something, and what
// the fields of one record say of each other. The same checks serve the parser, the compiler and the screens.
#include <algorithm>

#include "core/base/utf8.hpp"
#include "core/profile/describe.hpp"
#include "core/profile/document.hpp"
#include "core/profile/keys.hpp"

namespace fettle::profile {

namespace {

template <class Record>
std::vector<std::string> names_of(const std::vector<Record>& records) {
    std::vector<std::string> names;
    for (const Record& one : records) names.push_back(one.name);
    return names;
}

/// Code points of well-formed UTF-8.
int64_t characters(const std::string& text) {
    return std::count_if(text.begin(), text.end(),
                         [](char c) { return (static_cast<unsigned char>(c) & 0xC0u) != 0x80u; });
}

bool is_straight(Direction direction) {
    return (static_cast<int>(direction) & 1) == 0;
}

/// Widest address and command of a protocol (engine/infrared_frame.hpp; Linux rc-protos.rst).
struct Widths {
    int address;
    int command;
};
Widths widths_of(Protocol protocol) {
    switch (protocol) {
        case Protocol::nec:
        case Protocol::samsung32:
        case Protocol::jvc:
        case Protocol::rc6: return {0xFF, 0xFF};
        case Protocol::necx: return {0xFFFF, 0xFF};
        case Protocol::rc5:
        case Protocol::sirc12:
        case Protocol::sirc20: return {0x1F, 0x7F};
        case Protocol::sirc15: return {0xFF, 0x7F};
        case Protocol::sharp: return {0x1F, 0xFF};
        case Protocol::unknown:
        case Protocol::none: break;
    }
    return {0, 0};
}

class Validator {
public:
    Validator(const Profile& whole, std::vector<Error>& errors) : whole_(whole), errors_(errors) {}

    void number(const Field& f, const auto& value) {
        if (!is_in_range(f, static_cast<int64_t>(value)))
            add(Errc::out_of_range, f, std::to_string(value) + "; allowed: " + allowed(f));
    }
    void format_version(const Field&) {}
    void flag(const Field&, bool) {}
    void hex(const Field&, const ProfileId&) {}
    void text(const Field& f, const std::string& value) {
        if (f.kind == FieldKind::reference) return reference(f, value);
        const int64_t size = characters(value);
        bool is_good = size >= f.least && size <= f.most && is_utf8(value);
        if (f.kind == FieldKind::name) is_good = is_name(value);
        if (f.kind == FieldKind::label) is_good = is_good && is_label(value);
        if (!is_good) add(Errc::out_of_range, f, "\"" + value + "\"; allowed: " + allowed(f));
    }
    void choice(const Field& f, const auto& value) {
        const int64_t index = static_cast<int64_t>(value);
        if (index < f.least || index > f.most)
            add(Errc::out_of_range, f, std::to_string(index) + "; allowed: " + allowed(f));
    }
    void bits(const Field& f, uint8_t value) {
        if (value < f.least || value > f.most)
            add(Errc::out_of_range, f, std::to_string(value) + "; allowed: " + allowed(f));
    }
    void key(const Field& f, uint8_t usage) {
        if (usage != 0 && (usage < k_first_key || usage > k_last_key))
            add(Errc::out_of_range, f, std::to_string(usage) + "; allowed: " + allowed(f));
    }
    void consumer(const Field& f, uint16_t usage) {
        if (usage < 1 || usage > k_last_consumer)
            add(Errc::out_of_range, f, std::to_string(usage) + "; allowed: " + allowed(f));
    }
    void numbers(const Field& f, const auto& values) {
        const int64_t count = static_cast<int64_t>(values.size());
        if (count < f.fallback || count > f.step)
            add(Errc::out_of_range, f, "a list of " + std::to_string(count) + "; allowed: " + allowed(f));
        for (const auto value : values)
            if (!is_in_range(f, static_cast<int64_t>(value)))
                add(Errc::out_of_range, f, std::to_string(value) + "; allowed: " + allowed(f));
    }
    void object(const Field& f, const auto& record) { step(f.key, record); }
    void list(const Field& f, const auto& records) {
        count(f, records.size());
        const std::string above = path_;
        path_ += pointer_step(f.key);
        for (std::size_t i = 0; i < records.size(); ++i) {
            step(std::to_string(i), records[i]);
            for (std::size_t k = 0; k < i; ++k)
                if (key_of(records[k]) == key_of(records[i])) {
                    add_at("/" + std::to_string(i), Errc::duplicate,
                           "\"" + key_of(records[i]) + "\" stands twice");
                    break;
                }
        }
        path_ = above;
    }
    void optional(const Field& f, const auto& record) {
        if (record) step(f.key, *record);
    }
    void one_of(const Field&, const auto& variant) {
        std::visit(
            [&](const auto& record) {
                describe(*this, record);
                cross(record);
            },
            variant);
    }
    void pieces(const Field& f, const Field& piece_field, const std::vector<TextPart>& parts) {
        count(f, parts.size());
        for (std::size_t i = 0; i < parts.size(); ++i)
            piece(std::string(f.key) + "/" + std::to_string(i), piece_field, parts[i]);
    }
    void rows(const Field& f, const Field& row_field, const Field& cell_field,
              const std::vector<std::vector<Cell>>& rows) {
        count(f, rows.size());
        for (std::size_t r = 0; r < rows.size(); ++r) {
            const std::string at = std::string(f.key) + "/" + std::to_string(r);
            if (!is_in_range(row_field, static_cast<int64_t>(rows[r].size())))
                add_at("/" + at, Errc::out_of_range,
                       "a row of " + std::to_string(rows[r].size()) + "; allowed: " + allowed(row_field));
            if (rows[r].size() != rows[0].size())
                add_at("/" + at, Errc::out_of_range,
                       "a row of " + std::to_string(rows[r].size()) +
                           "; allowed: as many as in the first row, " + std::to_string(rows[0].size()));
            for (std::size_t c = 0; c < rows[r].size(); ++c)
                std::visit([&](const auto& cell) { piece(at + "/" + std::to_string(c), cell_field, cell); },
                           rows[r][c]);
        }
    }

    template <class Record>
    void step(const std::string& key, const Record& record) {
        const std::string above = path_;
        if (!key.empty()) path_ += "/" + key;
        describe(*this, record);
        cross(record);
        path_ = above;
    }

private:
    static const std::string& key_of(const Assignment& record) { return record.input; }
    static const std::string& key_of(const auto& record) { return record.name; }

    void piece(const std::string& at, const Field& f, const TextPart& part) {
        std::visit([&](const auto& one) { piece(at, f, one); }, part);
    }
    void piece(const std::string&, const Field&, std::monostate) {}
    void piece(const std::string& at, const Field& f, const std::string& text) {
        const int64_t size = characters(text);
        if (size < f.least || size > f.most || !is_utf8(text))
            add_at("/" + at, Errc::out_of_range, "\"" + text + "\"; allowed: " + allowed(f));
    }
    void piece(const std::string& at, const Field&, const Stroke& stroke) {
        step(at, stroke);
        if (stroke.usage == 0)
            add_at("/" + at + "/key", Errc::missing_key, "missing; allowed: " + allowed(field::k_key));
    }

    void count(const Field& f, std::size_t size) {
        if (!is_in_range(f, static_cast<int64_t>(size)))
            add(Errc::out_of_range, f, "a list of " + std::to_string(size) + "; allowed: " + allowed(f));
    }
    void reference(const Field& f, const std::string& name) {
        if (name.empty() && !f.is_required) return;
        const std::vector<std::string> names = names_for(whole_, f);
        if (std::find(names.begin(), names.end(), name) != names.end()) return;
        std::string known;
        for (const std::string& one : names) known += (known.empty() ? "" : ", ") + one;
        add(Errc::unknown_name, f, "\"" + name + "\"; allowed: " + (known.empty() ? "there is none" : known));
    }

    // What one record's fields say of each other.
    void cross(const auto&) {}
    void cross(const Infrared& r) {
        const bool by_signature = r.protocol == Protocol::unknown;
        if (by_signature && r.signature == 0)
            add(Errc::missing_key, field::k_signature, "missing; an unknown protocol needs its signature");
        if (!by_signature && r.signature != 0)
            add(Errc::out_of_range, field::k_signature,
                std::to_string(r.signature) + "; allowed with this protocol: 0");
        const Widths widths = widths_of(r.protocol);
        most(field::k_address, r.address, widths.address);
        most(field::k_command, r.command, widths.command);
        most(field::k_extended, r.extended, r.protocol == Protocol::sirc20 ? 0xFF : 0);
    }
    void most(const Field& f, int value, int limit) {
        if (value > limit)
            add(Errc::out_of_range, f,
                std::to_string(value) + "; allowed with this protocol: 0 to " + std::to_string(limit));
    }
    void cross(const Axis& r) {
        // The device keeps 255 steps; both must stay apart in them.
        if ((r.off_permille * 255 + 500) / 1000 >= (r.on_permille * 255 + 500) / 1000)
            add(Errc::out_of_range, field::k_off_permille,
                std::to_string(r.off_permille) + "; allowed: at least 4 less than on_permille");
    }
    void cross(const Chord& r) {
        if (r.stroke == Stroke{})
            add(Errc::missing_key, field::k_key, "missing; a chord needs a key or a modifier");
        if ((r.hold == ChordHold::repeated) != !r.repeat.empty())
            add(r.repeat.empty() ? Errc::missing_key : Errc::out_of_range, field::k_chord_repeat,
                "a repeat goes with hold: repeated, and only with it");
    }
    void cross(const MouseKeysShape& r) {
        if (static_cast<int64_t>(r.delta_counts) * r.max_speed > 65535)
            add(Errc::out_of_range, field::k_max_speed,
                std::to_string(r.max_speed) + "; allowed: delta times max_speed up to 65535 counts");
    }
    void straight(Direction direction) {
        if (!is_straight(direction))
            add(Errc::out_of_range, field::k_straight, "a diagonal; allowed: up, right, down, left");
    }
    void cross(const Scroll& r) { straight(r.direction); }
    void cross(const GridMove& r) {
        straight(r.direction);
        need_grid();
    }
    void cross(const GridPick&) { need_grid(); }
    void need_grid() {
        if (whole_.grid.rows.empty()) add(Errc::unknown_name, field::k_do, "the profile has no grid");
    }
    void cross(const ModeChange& r) { target(field::k_to_mode, r.mode, r.style == ModeStyle::next); }
    void cross(const VariantChange& r) {
        target(field::k_to_variant, r.variant, r.style == VariantStyle::next);
    }
    void target(const Field& f, const std::string& name, bool is_next) {
        if (is_next == name.empty()) return;
        add(is_next ? Errc::out_of_range : Errc::missing_key, f,
            is_next ? "\"" + name + "\"; allowed with style next: none" : "missing; where to go");
    }
    void cross(const Variant& r) {
        if (r.name == k_base_variant)
            add(Errc::duplicate, field::k_variant_name, "base is the profile as it stands");
        stands_in(field::k_variant_rule_sets, r.rule_sets, names_of(whole_.rule_sets));
        stands_in(field::k_variant_motions, r.motions, names_of(whole_.motions));
    }
    void stands_in(const Field& f, const auto& records, const std::vector<std::string>& names) {
        for (std::size_t i = 0; i < records.size(); ++i)
            if (std::find(names.begin(), names.end(), records[i].name) == names.end())
                add_at(pointer_step(f.key) + "/" + std::to_string(i) + "/name", Errc::unknown_name,
                       "\"" + records[i].name + "\" stands in for nothing");
    }

    void add(Errc code, const Field& f, std::string detail) {
        add_at(pointer_step(f.key), code, std::move(detail));
    }
    void add_at(const std::string& below, Errc code, std::string detail) {
        if (errors_.size() < k_most_errors) errors_.push_back(Error{code, path_ + below, std::move(detail)});
    }

    const Profile& whole_;
    std::vector<Error>& errors_;
    std::string path_;
};

}  // namespace

std::vector<Error> validate(const Profile& profile) {
    std::vector<Error> errors;
    Validator(profile, errors).step("", profile);
    return errors;
}

std::vector<std::string> names_for(const Profile& profile, const Field& field) {
    if (&field == &field::k_input_rules) return names_of(profile.rule_sets);
    if (&field == &field::k_motion) return names_of(profile.motions);
    if (&field == &field::k_chord_repeat || &field == &field::k_optional_repeat)
        return names_of(profile.repeats);
    if (&field == &field::k_assigned_input) return names_of(profile.inputs);
    if (&field == &field::k_to_mode) return names_of(profile.modes);
    if (&field == &field::k_typed) return names_of(profile.texts);
    if (&field == &field::k_to_variant) {
        std::vector<std::string> names = {k_base_variant};
        for (const Variant& one : profile.variants) names.push_back(one.name);
        return names;
    }
    return {};
}

}  // namespace fettle::profile
