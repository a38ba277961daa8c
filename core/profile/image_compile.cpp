#include "core/profile/image_compile.hpp"

#include <algorithm>
#include <map>

#include "core/engine/bytes.hpp"
#include "core/profile/document.hpp"
#include "core/profile/records.hpp"

namespace fettle::profile {

namespace {

using wire::Tag;

/// A numbered list of records in which equal ones stand once.
class Table {
public:
    /// Number of the record, from 0. `key` says what makes it equal to another (overrides included).
    std::size_t add(const Bytes& record, const Bytes& key) {
        const auto [at, is_new] = numbers_.emplace(key, records_.size());
        if (is_new) records_.push_back(record);
        return at->second;
    }
    std::size_t add(const Bytes& record) { return add(record, record); }
    std::size_t size() const { return records_.size(); }
    Bytes joined() const {
        Bytes all;
        for (const Bytes& one : records_) all.insert(all.end(), one.begin(), one.end());
        return all;
    }
    const std::vector<Bytes>& records() const { return records_; }

private:
    std::map<Bytes, std::size_t> numbers_;
    std::vector<Bytes> records_;
};

Bytes record_of(const RuleSet& rules) {
    Bytes record(engine::k_rule_bytes);
    engine::put_rule(record.data(), rule_def(rules));
    return record;
}
Bytes record_of(const Motion& motion) {
    return motion_record(motion);
}

/// A record and what each variant makes of it (empty: the same).
struct Layered {
    Bytes base;
    std::vector<Bytes> overrides;
    Bytes key() const {
        Bytes key = base;
        for (const Bytes& one : overrides) {
            key.push_back(static_cast<uint8_t>(one.size()));
            key.insert(key.end(), one.begin(), one.end());
        }
        return key;
    }
};

template <class Record>
Layered layered(const Record& record, const Profile& profile, std::vector<Record> Variant::*in_variant) {
    Layered layers{record_of(record), {}};
    for (const Variant& variant : profile.variants) {
        const Record* other = find_named(variant.*in_variant, record.name);
        Bytes bytes = other != nullptr ? record_of(*other) : Bytes{};
        if (bytes == layers.base) bytes.clear();
        layers.overrides.push_back(std::move(bytes));
    }
    return layers;
}

class Builder {
public:
    Builder(const Profile& profile, const StrokeSource& strokes) : profile_(profile), strokes_(strokes) {}

    Result<Compiled> run() {
        if (profile_.inputs.empty())
            return fail(Errc::missing_key, "/inputs", "a device needs one input at least");
        find_used();
        collect_rules();
        collect_motions();
        collect_repeats();
        if (Status good = collect_texts(); !good) return good.failure();
        if (Status good = collect_grid(); !good) return good.failure();
        if (Status good = collect_actions(); !good) return good.failure();
        return write();
    }

private:
    template <class Visit>
    void for_each_action(Visit visit) const {
        for (const Mode& mode : profile_.modes)
            for (const Assignment& one : mode.assignments)
                for (const auto* action : {&one.short_press, &one.long_press, &one.double_press})
                    if (*action) visit(**action);
    }

    /// Names in use, so that what nothing uses costs no byte.
    void find_used() {
        for (const Input& input : profile_.inputs) used_rules_.push_back(input.rules);
        Lookup note;
        note.motion = [this](const std::string& name) { return used_motions_.push_back(name), uint8_t{0}; };
        note.repeat = [this](const std::string& name) { return used_repeats_.push_back(name), uint8_t{0}; };
        note.text = [this](const std::string& name) { return used_texts_.push_back(name), uint8_t{0}; };
        note.mode = note.variant = [](const std::string&) { return uint8_t{0}; };
        for_each_action([&](const Action& action) { action_def(action, note); });
    }
    static bool is_in(const std::vector<std::string>& names, const std::string& name) {
        return std::find(names.begin(), names.end(), name) != names.end();
    }

    void collect_rules() {
        variant_bodies_.resize(profile_.variants.size());
        for (const RuleSet& rules : profile_.rule_sets)
            if (is_in(used_rules_, rules.name))
                rule_numbers_[rules.name] =
                    put_layered(rules_, layered(rules, profile_, &Variant::rule_sets), 0);
    }
    void collect_motions() {
        for (const Motion& motion : profile_.motions)
            if (is_in(used_motions_, motion.name))
                motion_numbers_[motion.name] = put_layered(
                    motions_, layered(motion, profile_, &Variant::motions), wire::k_override_motion);
    }
    uint8_t put_layered(Table& table, const Layered& layers, uint8_t what) {
        const std::size_t before = table.size();
        const std::size_t number = table.add(layers.base, layers.key());
        if (number == before)
            for (std::size_t i = 0; i < layers.overrides.size(); ++i) {
                const Bytes& one = layers.overrides[i];
                if (one.empty()) continue;
                Bytes& body = variant_bodies_[i];
                body.push_back(static_cast<uint8_t>(what | number));
                body.insert(body.end(), one.begin(), one.end());
            }
        return static_cast<uint8_t>(number);
    }
    void collect_repeats() {
        for (const Repeat& repeat : profile_.repeats) {
            if (!is_in(used_repeats_, repeat.name)) continue;
            Bytes record(engine::k_repeat_bytes);
            engine::put16(record.data(), static_cast<uint16_t>(repeat.delay_ms));
            engine::put16(record.data() + 2, static_cast<uint16_t>(repeat.interval_ms));
            repeat_numbers_[repeat.name] = static_cast<uint8_t>(repeats_.add(record));
        }
    }

    Unexpected cannot_type(const std::string& where, const std::string& text) const {
        const KeyboardLayout& layout = profile_.keyboard_layout;
        const std::string name = layout.layout + (layout.variant.empty() ? "" : " " + layout.variant);
        return fail(Errc::unsupported, where, "\"" + text + "\" cannot be typed with layout " + name);
    }
    Status collect_texts() {
        for (std::size_t i = 0; i < profile_.texts.size(); ++i) {
            const Text& text = profile_.texts[i];
            if (!is_in(used_texts_, text.name)) continue;
            const std::string where = "/texts/" + std::to_string(i);
            Bytes record{0};
            for (std::size_t k = 0; k < text.parts.size(); ++k) {
                const Status good = put_part(record, where + "/parts/" + std::to_string(k), text.parts[k]);
                if (!good) return good;
            }
            if (record.size() > 256)
                return fail(Errc::too_large, where,
                            std::to_string(record.size() - 1) + " bytes; allowed 255");
            record[0] = static_cast<uint8_t>(record.size() - 1);
            text_numbers_[text.name] = static_cast<uint8_t>(texts_.add(record));
        }
        return Done{};
    }
    Status put_part(Bytes& to, const std::string& where, const TextPart& part) const {
        if (const auto* stroke = std::get_if<Stroke>(&part)) return put_stroke(to, *stroke), Done{};
        const std::string& text = std::get<std::string>(part);
        const auto strokes = strokes_.strokes_for(text);
        if (!strokes) return cannot_type(where, text);
        for (const Stroke& stroke : *strokes) put_stroke(to, stroke);
        return Done{};
    }
    Status collect_grid() {
        if (profile_.grid.rows.empty()) return Done{};
        grid_ = {static_cast<uint8_t>(profile_.grid.rows.size()),
                 static_cast<uint8_t>(profile_.grid.rows[0].size())};
        for (std::size_t r = 0; r < profile_.grid.rows.size(); ++r)
            for (std::size_t c = 0; c < profile_.grid.rows[r].size(); ++c) {
                const std::string where = "/grid/rows/" + std::to_string(r) + "/" + std::to_string(c);
                if (const Status good = put_cell(where, profile_.grid.rows[r][c]); !good) return good;
            }
        return Done{};
    }
    Status put_cell(const std::string& where, const Cell& cell) {
        if (std::holds_alternative<std::monostate>(cell))
            return grid_.push_back(engine::k_stroke_none), Done{};
        if (const auto* stroke = std::get_if<Stroke>(&cell)) return put_stroke(grid_, *stroke), Done{};
        const std::string& text = std::get<std::string>(cell);
        const auto strokes = strokes_.strokes_for(text);
        if (!strokes) return cannot_type(where, text);
        if (strokes->size() != 1)
            return fail(
                Errc::unsupported, where,
                "\"" + text + "\" takes " + std::to_string(strokes->size()) + " strokes; a cell types one");
        put_stroke(grid_, strokes->front());
        return Done{};
    }

    uint8_t number_of(const std::optional<Action>& action) {
        if (!action) return 0;
        Bytes record(engine::k_action_bytes);
        engine::put_action(record.data(), action_def(*action, lookup_));
        const std::size_t number = actions_.add(record) + 1;
        return static_cast<uint8_t>(std::min<std::size_t>(number, 255));
    }
    Status collect_actions() {
        lookup_.motion = [this](const std::string& name) { return motion_numbers_[name]; };
        lookup_.repeat = [this](const std::string& name) { return repeat_numbers_[name]; };
        lookup_.text = [this](const std::string& name) { return text_numbers_[name]; };
        lookup_.mode = [this](const std::string& name) {
            return static_cast<uint8_t>(index_of(profile_.modes, name));
        };
        lookup_.variant = [this](const std::string& name) {
            return static_cast<uint8_t>(index_of(profile_.variants, name) + 1);
        };
        cells_ = {static_cast<uint8_t>(profile_.modes.size())};
        for (std::size_t m = 0; m < profile_.modes.size(); ++m) collect_mode(static_cast<uint8_t>(m));
        if (actions_.size() > 255)
            return fail(Errc::too_large, "actions", std::to_string(actions_.size()) + "; allowed 255");
        // The section must not be empty: a profile that does nothing gets an action that does nothing.
        if (actions_.size() == 0) actions_.add(Bytes(engine::k_action_bytes, 0));
        return Done{};
    }
    void collect_mode(uint8_t number) {
        const std::vector<Assignment>& all = profile_.modes[number].assignments;
        for (std::size_t i = 0; i < profile_.inputs.size(); ++i) {
            const auto one = std::find_if(all.begin(), all.end(), [&](const Assignment& a) {
                return a.input == profile_.inputs[i].name;
            });
            if (one == all.end()) {
                cells_.push_back(0);
                continue;
            }
            cells_.push_back(number_of(one->short_press));
            put_gesture(number, i, number_of(one->long_press));
            put_gesture(number | engine::k_gesture_is_double, i, number_of(one->double_press));
        }
    }
    void put_gesture(int mode, std::size_t input, uint8_t action) {
        if (action != 0)
            gestures_.insert(gestures_.end(),
                             {static_cast<uint8_t>(mode), static_cast<uint8_t>(input), action});
    }

    Bytes inputs() const {
        Bytes all(profile_.inputs.size() * engine::k_input_bytes);
        for (std::size_t i = 0; i < profile_.inputs.size(); ++i) {
            const Input& input = profile_.inputs[i];
            engine::put_input(all.data() + i * engine::k_input_bytes,
                              input_def(input.source, rule_numbers_.at(input.rules)));
        }
        return all;
    }
    Bytes labels() const {
        std::vector<std::string> all;
        for (const Mode& mode : profile_.modes) all.push_back(mode.label);
        for (const Variant& variant : profile_.variants) all.push_back(variant.label);
        while (!all.empty() && all.back().empty()) all.pop_back();
        Bytes bytes;
        for (const std::string& label : all) {
            bytes.push_back(static_cast<uint8_t>(label.size()));
            bytes.insert(bytes.end(), label.begin(), label.end());
        }
        return bytes;
    }
    /// Empty where the engine's own pace is meant.
    Bytes pace() const {
        engine::Setup own;
        engine::clear(own);
        const Pace& pace = profile_.pace;
        if (pace == Pace{own.stroke_gap_ms, own.click_gap_ms, own.trial_s}) return {};
        Bytes bytes(6);
        engine::put16(bytes.data(), static_cast<uint16_t>(pace.stroke_gap_ms));
        engine::put16(bytes.data() + 2, static_cast<uint16_t>(pace.click_gap_ms));
        engine::put16(bytes.data() + 4, static_cast<uint16_t>(pace.trial_s));
        return bytes;
    }

    Result<Compiled> write() {
        Compiled out;
        out.image.resize(0xFFFF);
        wire::ImageWriter writer(out.image.data(), 0xFFFF);
        out.sections.push_back({"header", wire::k_image_header_bytes, false});
        const auto section = [&](Tag tag, const Bytes& body, bool is_mirrored, bool may_be_left_out) {
            if (body.empty() && may_be_left_out) return;
            writer.begin_section(tag);
            writer.put(body.data(), static_cast<uint16_t>(body.size()));
            writer.end_section();
            const int bytes = static_cast<int>(body.size()) + wire::k_section_header_bytes;
            out.sections.push_back({section_name(static_cast<uint8_t>(tag)), bytes, is_mirrored});
        };
        section(Tag::inputs, inputs(), true, false);
        section(Tag::rules, rules_.joined(), true, false);
        section(Tag::modes, cells_, true, false);
        section(Tag::gestures, gestures_, true, true);
        section(Tag::actions, actions_.joined(), false, false);
        section(Tag::motions, motions_.joined(), true, true);
        section(Tag::repeats, repeats_.joined(), true, true);
        section(Tag::texts, texts_.joined(), false, true);
        section(Tag::labels, labels(), false, true);
        section(Tag::grid, grid_, false, true);
        section(Tag::pace, pace(), false, true);
        for (const Bytes& body : variant_bodies_) section(Tag::variant, body, false, false);
        if (!writer.finish(profile_.id.data(), static_cast<uint16_t>(profile_.version)))
            return fail(Errc::too_large, "image", "more than 65534 bytes");
        out.image.resize(writer.size());
        out.mirror_bytes = mirror(out.sections);
        out.crc = engine::get32(out.image.data() + 16);
        return out;
    }

    int mirror(const std::vector<SectionSize>& sections) const {
        int base = -1;  // the mode count is not mirrored
        for (const SectionSize& one : sections)
            if (one.is_mirrored) base += one.bytes - wire::k_section_header_bytes;
        int most = base;
        for (const Bytes& body : variant_bodies_) most = std::max(most, base + growth(body));
        return most;
    }
    /// How much more a variant's motions need at most while they are laid over one by one (wire::load).
    int growth(const Bytes& body) const {
        int now = 0, most = 0;
        for (std::size_t at = 0; at < body.size();) {
            const uint8_t what = body[at++];
            if ((what & wire::k_override_motion) == 0) {
                at += engine::k_rule_bytes;
                continue;
            }
            const Bytes& base = motions_.records()[what - wire::k_override_motion];
            now += static_cast<int>(body[at]) - static_cast<int>(base[0]);
            most = std::max(most, now);
            at += body[at] + 1u;
        }
        return most;
    }

    const Profile& profile_;
    const StrokeSource& strokes_;
    std::vector<std::string> used_rules_, used_motions_, used_repeats_, used_texts_;
    std::map<std::string, uint8_t> rule_numbers_, motion_numbers_, repeat_numbers_, text_numbers_;
    Table rules_, motions_, repeats_, texts_, actions_;
    std::vector<Bytes> variant_bodies_;
    Bytes cells_, gestures_, grid_;
    Lookup lookup_;
};

}  // namespace

Result<Compiled> build_image(const Profile& profile, const StrokeSource& strokes) {
    const std::vector<Error> errors = validate(profile);
    if (!errors.empty()) return Unexpected{errors.front()};
    return Builder(profile, strokes).run();
}

Result<Compiled> compile(const Profile& profile, const StrokeSource& strokes, const Limits& limits) {
    Result<Compiled> compiled = build_image(profile, strokes);
    if (!compiled) return compiled;
    if (Status good = fits(profile, *compiled, limits); !good) return good.failure();
    return compiled;
}

}  // namespace fettle::profile
