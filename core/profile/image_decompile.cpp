#include <algorithm>

#include "core/engine/bytes.hpp"
#include "core/profile/document.hpp"
#include "core/profile/image_compile.hpp"
#include "core/profile/records.hpp"

namespace fettle::profile {

namespace {

using engine::Place;
using engine::Setup;
using wire::ImageFault;

std::string numbered(const char* what, std::size_t index) {
    return what + std::to_string(index + 1);
}

Unexpected failure_of(const wire::ImageVerdict& verdict) {
    const std::string where =
        verdict.tag == 0 ? "image header" : "image section " + section_name(verdict.tag);
    switch (verdict.fault) {
        case ImageFault::format:
            return fail(Errc::version, where, "a format that this program does not know");
        case ImageFault::unknown_section:
            return fail(Errc::version, where, "a section that this program does not know");
        case ImageFault::size: return fail(Errc::garbled, where, "the size does not agree with the bytes");
        case ImageFault::crc:
            return fail(Errc::garbled, where, "the check sum does not agree with the bytes");
        case ImageFault::section:
            return fail(Errc::garbled, where, "the section does not hold whole records");
        case ImageFault::missing: return fail(Errc::garbled, where, "the section is missing");
        case ImageFault::range: return fail(Errc::garbled, where, "a value outside its range");
        case ImageFault::mirror: return fail(Errc::too_large, where, "does not fit the device's memory");
        case ImageFault::busy: return fail(Errc::garbled, where, "the bytes end too early");
        case ImageFault::none: break;
    }
    return fail(Errc::garbled, where, "");
}

ImageFault check_crc(const engine::Storage& storage, uint16_t room) {
    wire::ImageHeader header;
    const ImageFault fault = wire::read_header(storage, room, header);
    if (fault != ImageFault::none) return fault;
    wire::CrcWalk walk = {0, 0, false};
    while (!walk.done)
        if (!wire::crc_step(storage, header, walk, 64)) return ImageFault::busy;
    return walk.crc == header.crc ? ImageFault::none : ImageFault::crc;
}

/// Reads an image that wire::load() has accepted.
class Reader {
public:
    Reader(const Bytes& image, const Setup& setup, const StrokeSource& strokes)
        : image_(image), setup_(setup), strokes_(strokes) {}

    Profile run(const KeyboardLayout& layout) {
        std::copy_n(image_.begin() + 4, out_.id.size(), out_.id.begin());
        out_.version = engine::get16(image_.data() + 12);
        out_.keyboard_layout = layout;
        out_.pace = Pace{setup_.stroke_gap_ms, setup_.click_gap_ms, setup_.trial_s};
        names();
        records();
        texts();
        grid();
        for (uint8_t m = 0; m < setup_.mode_count; ++m) mode(m);
        variants();
        return std::move(out_);
    }

private:
    std::string label(std::size_t index) const {
        char text[engine::k_label_chars + 1];
        setup_.label(static_cast<uint8_t>(index), text);
        return text;
    }
    /// The label where it can be a name and no other one has it.
    template <class Record>
    std::string name_from(const std::string& label, const std::vector<Record>& others,
                          std::string made) const {
        const bool is_fit = is_name(label) && label != k_base_variant && find_named(others, label) == nullptr;
        if (is_fit) return label;
        while (find_named(others, made) != nullptr) made += "_";
        return made;
    }
    void names() {
        for (std::size_t m = 0; m < setup_.mode_count; ++m)
            out_.modes.push_back(Mode{name_from(label(m), out_.modes, numbered("mode", m)), label(m), {}});
        for (std::size_t v = 0; v + 1 < setup_.variant_count; ++v) {
            const std::string shown = label(setup_.mode_count + v);
            out_.variants.push_back(
                Variant{name_from(shown, out_.variants, numbered("variant", v)), shown, {}, {}});
        }
    }
    void records() {
        for (uint8_t i = 0; i < setup_.rule_count; ++i)
            out_.rule_sets.push_back(rule_set(setup_.rule(i), numbered("rules", i)));
        uint16_t at = setup_.motions_at;
        for (uint8_t i = 0; i < setup_.motion_count; ++i) {
            out_.motions.push_back(motion_of(setup_.bytes + at + 1, numbered("motion", i)));
            at = static_cast<uint16_t>(at + 1u + setup_.bytes[at]);
        }
        for (uint8_t i = 0; i < setup_.repeat_count; ++i) {
            const engine::RepeatDef def = setup_.repeat(i);
            out_.repeats.push_back(Repeat{numbered("repeat", i), def.delay_ms, def.interval_ms});
        }
        for (uint8_t i = 0; i < setup_.input_count; ++i) {
            const engine::InputDef def = setup_.input(i);
            out_.inputs.push_back(
                Input{numbered("input", i), out_.rule_sets[def.rule].name, input_source(def)});
        }
    }

    /// The character that a stroke types, where typing it gives that stroke again.
    std::optional<std::string> character(const Stroke& stroke) const {
        const auto text = strokes_.text_for(stroke);
        if (!text || text->empty()) return std::nullopt;
        const auto back = strokes_.strokes_for(*text);
        if (!back || *back != std::vector<Stroke>{stroke}) return std::nullopt;
        return text;
    }
    void texts() {
        std::size_t at = setup_.texts.offset;
        for (uint8_t i = 0; i < setup_.text_count; ++i) {
            const std::size_t end = at + 1 + image_[at];
            ++at;
            Text text{numbered("text", i), {}};
            while (at < end) append(text.parts, *take_stroke(image_, at));
            out_.texts.push_back(std::move(text));
        }
    }
    void append(std::vector<TextPart>& parts, const Stroke& stroke) const {
        const auto text = character(stroke);
        if (!text)
            parts.emplace_back(stroke);
        else if (!parts.empty() && std::holds_alternative<std::string>(parts.back()))
            std::get<std::string>(parts.back()) += *text;
        else
            parts.emplace_back(*text);
    }
    void grid() {
        std::size_t at = setup_.grid.offset + 2u;
        for (int r = 0; r < setup_.grid_rows; ++r) {
            std::vector<Cell>& row = out_.grid.rows.emplace_back();
            for (int c = 0; c < setup_.grid_columns; ++c) {
                const auto stroke = take_stroke(image_, at);
                if (!stroke)
                    row.emplace_back();
                else if (const auto text = character(*stroke))
                    row.emplace_back(*text);
                else
                    row.emplace_back(*stroke);
            }
        }
    }

    std::optional<Action> action(uint8_t number) const {
        engine::ActionDef def;
        if (number == 0 || !setup_.action(number, def)) return std::nullopt;
        Naming names;
        names.motion = [this](uint8_t i) { return out_.motions[i].name; };
        names.repeat = [this](uint8_t i) { return out_.repeats[i].name; };
        names.mode = [this](uint8_t i) { return out_.modes[i].name; };
        names.text = [this](uint8_t i) { return out_.texts[i].name; };
        names.variant = [this](uint8_t i) {
            return i == 0 ? std::string(k_base_variant) : out_.variants[i - 1u].name;
        };
        return action_of(def, names);
    }
    void mode(uint8_t number) {
        for (uint8_t i = 0; i < setup_.input_count; ++i) {
            Assignment one;
            one.input = out_.inputs[i].name;
            one.short_press = action(setup_.cell(number, i));
            one.long_press = action(setup_.gesture(number, i, engine::Gesture::long_press));
            one.double_press = action(setup_.gesture(number, i, engine::Gesture::double_press));
            if (one.short_press || one.long_press || one.double_press)
                out_.modes[number].assignments.push_back(std::move(one));
        }
    }

    void variants() {
        std::size_t number = 0;
        for (std::size_t at = wire::k_image_header_bytes; at < image_.size();) {
            const uint8_t tag = image_[at];
            const std::size_t size = engine::get16(image_.data() + at + 1);
            at += wire::k_section_header_bytes;
            if (tag == static_cast<uint8_t>(wire::Tag::variant))
                variant(out_.variants[number++], at, at + size);
            at += size;
        }
    }
    void variant(Variant& to, std::size_t at, std::size_t end) const {
        while (at < end) {
            const uint8_t what = image_[at++];
            if ((what & wire::k_override_motion) == 0) {
                to.rule_sets.push_back(
                    rule_set(engine::get_rule(image_.data() + at), out_.rule_sets[what].name));
                at += engine::k_rule_bytes;
                continue;
            }
            const std::size_t index = what & 0x3Fu;
            to.motions.push_back(motion_of(image_.data() + at + 1, out_.motions[index].name));
            at += image_[at] + 1u;
        }
    }

    const Bytes& image_;
    const Setup& setup_;
    const StrokeSource& strokes_;
    Profile out_;
};

}  // namespace

Result<Profile> decompile(const std::vector<uint8_t>& image, const StrokeSource& strokes,
                          const KeyboardLayout& layout) {
    const uint16_t room = static_cast<uint16_t>(std::min<std::size_t>(image.size(), 0xFFFF));
    wire::MemoryImage memory{image.data(), room};
    const engine::Storage storage = wire::storage_of(memory);
    const ImageFault fault = check_crc(storage, room);
    if (fault != ImageFault::none) return failure_of({fault, 0});
    Setup setup;
    const wire::ImageVerdict verdict = wire::load(storage, room, 0, setup);
    if (verdict.fault != ImageFault::none) return failure_of(verdict);
    // A slot is read whole: what stands behind the image is not part of it.
    const Bytes exact(image.begin(), image.begin() + engine::get16(image.data() + 2));
    Profile profile = Reader(exact, setup, strokes).run(layout);
    const std::vector<Error> errors = validate(profile);
    if (!errors.empty()) return fail(Errc::garbled, "image " + errors[0].where, errors[0].detail);
    return profile;
}

}  // namespace fettle::profile
