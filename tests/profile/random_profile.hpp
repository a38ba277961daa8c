#pragma once
// Draws valid profiles with rapidcheck: every value from its whole range, as the field table states it.

#include <rapidcheck.h>

#include "core/profile/describe.hpp"
#include "core/profile/document.hpp"

namespace fettle::profile {

inline int64_t draw(int64_t least, int64_t most) {
    return *rc::gen::inRange<int64_t>(least, most + 1);
}

/// Fills records whose lists and names stand already.
class Drawer {
public:
    explicit Drawer(const Profile& whole) : whole_(whole) {}

    template <class Number>
    void number(const Field& f, Number& value) {
        if (f.zero_is_off && draw(0, 4) == 0)
            value = 0;
        else
            value = static_cast<Number>(draw((f.least + f.step - 1) / f.step, f.most / f.step) * f.step);
    }
    void format_version(const Field&) {}
    void flag(const Field&, bool& value) { value = draw(0, 1) == 1; }
    void text(const Field& f, std::string& value) {
        if (f.kind == FieldKind::label) value = characters(0, 12);
        if (f.kind == FieldKind::text && f.most == 80)
            value = draw(0, 1) == 1 ? "\xE2\x82\xAC \"\\\n" : characters(0, 9);
        if (f.kind != FieldKind::reference) return;
        const auto names = names_for(whole_, f);
        const bool is_left_out = names.empty() || (!f.is_required && draw(0, 1) == 0);
        value = is_left_out
                    ? ""
                    : names[static_cast<std::size_t>(draw(0, static_cast<int64_t>(names.size()) - 1))];
    }
    void hex(const Field&, ProfileId& id) {
        for (uint8_t& byte : id) byte = static_cast<uint8_t>(draw(0, 255));
    }
    template <class Choice>
    void choice(const Field& f, Choice& value) {
        const int64_t step = &f == &field::k_straight ? 2 : 1;
        value = static_cast<Choice>(draw(f.least / step, f.most / step) * step);
    }
    void bits(const Field& f, uint8_t& value) { value = static_cast<uint8_t>(draw(f.least, f.most)); }
    void key(const Field&, uint8_t& usage) { usage = static_cast<uint8_t>(draw(0x04, 0xA4)); }
    void consumer(const Field&, uint16_t& usage) { usage = static_cast<uint16_t>(draw(1, 0x3FF)); }
    void numbers(const Field& f, auto& values) {
        if constexpr (requires { values.resize(std::size_t{}); })
            values.resize(static_cast<std::size_t>(draw(f.fallback, 8)));
        for (auto& value : values) value = static_cast<std::decay_t<decltype(value)>>(draw(f.least, f.most));
    }
    void object(const Field&, auto& record) { fill(record); }
    void list(const Field&, auto& records) {
        for (auto& record : records) fill(record);
    }
    void optional(const Field&, auto& record) {
        if (draw(0, 2) != 0) fill(record.emplace());
    }
    template <class... Records>
    void one_of(const Field&, std::variant<Records...>& variant) {
        do emplace_index(variant, static_cast<std::size_t>(draw(0, sizeof...(Records) - 1)));
        while (!std::visit([&](const auto& record) { return can_be(record); }, variant));
        std::visit([&](auto& record) { fill(record); }, variant);
    }
    void pieces(const Field&, const Field&, std::vector<TextPart>& parts) {
        parts.resize(static_cast<std::size_t>(draw(1, 3)));
        for (TextPart& part : parts) {
            if (draw(0, 1) == 0)
                part = characters(1, 8);
            else
                fill(part.emplace<Stroke>());
        }
    }
    void rows(const Field&, const Field&, const Field&, std::vector<std::vector<Cell>>& rows) {
        for (auto& row : rows)
            for (Cell& cell : row) {
                const int64_t kind = draw(0, 2);
                if (kind == 1) cell = characters(1, 1);
                if (kind == 2) fill(cell.emplace<Stroke>());
            }
    }
    void fill(auto& record) {
        describe(*this, record);
        mend(record);
    }

private:
    static std::string characters(int64_t least, int64_t most) {
        std::string text;
        for (int64_t left = draw(least, most); left > 0; --left) text += static_cast<char>(draw(0x20, 0x7E));
        return text;
    }

    bool can_be(const Move&) const { return !whole_.motions.empty(); }
    bool can_be(const TypeText&) const { return !whole_.texts.empty(); }
    bool can_be(const GridMove&) const { return !whole_.grid.rows.empty(); }
    bool can_be(const GridPick&) const { return !whole_.grid.rows.empty(); }
    bool can_be(const auto&) const { return true; }

    // What the fields of one record say of each other.
    void mend(auto&) {}
    void mend(Infrared& r) {
        const bool is_known = r.protocol != Protocol::unknown;
        r.signature = is_known ? 0 : r.signature | 1u;
        r.address = is_known ? r.address & (r.protocol == Protocol::necx ? 0xFFFF : 0x1F) : 0;
        r.command = is_known ? r.command & 0x7F : 0;
        r.extended = r.protocol == Protocol::sirc20 ? r.extended : 0;
    }
    void mend(Axis& r) {
        r.on_permille = std::max(r.on_permille, 10);
        r.off_permille = std::min(r.off_permille, r.on_permille - 8);
    }
    void mend(MouseKeysShape& r) {
        r.time_to_max_events = 1 + r.time_to_max_events % 8;
        r.max_speed = std::min(r.max_speed, 65535 / r.delta_counts);
    }
    void mend(Chord& r) {
        if (r.hold == ChordHold::repeated && !whole_.repeats.empty())
            r.repeat = whole_.repeats.front().name;
        else
            r.hold = r.hold == ChordHold::repeated ? ChordHold::tapped : r.hold;
        if (r.hold != ChordHold::repeated) r.repeat.clear();
    }
    void mend(ModeChange& r) {
        if (r.style == ModeStyle::next)
            r.mode.clear();
        else if (r.mode.empty())
            r.mode = whole_.modes.front().name;
    }
    void mend(VariantChange& r) {
        if (r.style == VariantStyle::next)
            r.variant.clear();
        else if (r.variant.empty())
            r.variant = k_base_variant;
    }

    const Profile& whole_;
};

template <class Record>
void draw_names(std::vector<Record>& records, const char* what, int64_t least, int64_t most) {
    records.resize(static_cast<std::size_t>(draw(least, most)));
    for (std::size_t i = 0; i < records.size(); ++i) records[i].name = what + std::to_string(i);
}

/// Records of the same names as some of these.
template <class Record>
std::vector<Record> draw_some(const std::vector<Record>& records) {
    std::vector<Record> some;
    for (const Record& one : records)
        if (draw(0, 1) == 1) some.emplace_back().name = one.name;
    return some;
}

inline Profile draw_profile() {
    Profile p;
    draw_names(p.rule_sets, "rules", 1, 3);
    draw_names(p.motions, "motion", 0, 2);
    draw_names(p.repeats, "repeat", 0, 2);
    draw_names(p.texts, "text", 0, 2);
    draw_names(p.inputs, "input", 1, 4);
    draw_names(p.modes, "mode", 1, 3);
    draw_names(p.variants, "variant", 0, 2);
    const auto columns = static_cast<std::size_t>(draw(1, 3));
    p.grid.rows.resize(static_cast<std::size_t>(draw(0, 2)), std::vector<Cell>(columns));
    for (Mode& mode : p.modes)
        for (const Input& input : p.inputs)
            if (draw(0, 3) != 0) mode.assignments.emplace_back().input = input.name;
    for (Variant& variant : p.variants) {
        variant.rule_sets = draw_some(p.rule_sets);
        variant.motions = draw_some(p.motions);
    }
    const std::vector<Mode> assigned = p.modes;
    Drawer(p).fill(p);
    // Which input an assignment is for is not drawn again.
    for (std::size_t m = 0; m < p.modes.size(); ++m)
        for (std::size_t a = 0; a < assigned[m].assignments.size(); ++a)
            p.modes[m].assignments[a].input = assigned[m].assignments[a].input;
    return p;
}

}  // namespace fettle::profile
