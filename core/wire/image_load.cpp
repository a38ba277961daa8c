// load(): one walk that finds the sections, one that fills the mirror and checks every record, one that lays
// a variant's overrides over it. Every read is inside the size that the header gave and the caller's room.

#include "core/wire/image.hpp"
#include "core/wire/image_check.hpp"

namespace fettle {
namespace wire {

using namespace engine;  // the records are the engine's

namespace {

constexpr uint8_t k_tag_index = 0x0F;
constexpr uint8_t k_places = 13;

bool is_known(uint8_t tag) {
    return tag == static_cast<uint8_t>(Tag::labels) ||
           (tag >= static_cast<uint8_t>(Tag::inputs) && tag <= static_cast<uint8_t>(Tag::variant) &&
            tag != (static_cast<uint8_t>(Tag::labels) | k_must_understand));
}

class Loader {
public:
    Loader(const Storage& storage, Setup& setup) : storage_(storage), setup_(setup) {
        memset(places_, 0, sizeof places_);
        memset(&counts_, 0, sizeof counts_);
        verdict_ = ImageVerdict{ImageFault::none, 0};
        counts_.variants = 1;
    }

    ImageVerdict run(uint16_t room, uint8_t variant) {
        ImageHeader header;
        const ImageFault fault = read_header(storage_, room, header);
        if (fault != ImageFault::none) return ImageVerdict{fault, 0};
        size_ = header.size;
        if (find_sections(variant) && count_records() && fill_mirror() && check_mirror() && check_stored() &&
            check_variants(variant))
            write_down();
        return verdict_;
    }

private:
    bool fail(ImageFault fault, uint8_t tag) {
        verdict_ = ImageVerdict{fault, tag};
        return false;
    }
    bool fail(ImageFault fault, Tag tag) { return fail(fault, static_cast<uint8_t>(tag)); }

    bool read(uint16_t at, uint8_t* to, uint8_t count) {
        return storage_.read(storage_.owner, at, to, count) || fail(ImageFault::busy, uint8_t{0});
    }

    Place& place(Tag tag) { return places_[static_cast<uint8_t>(tag) & k_tag_index]; }
    bool is_there(Tag tag) { return place(tag).offset != 0; }

    bool find_sections(uint8_t variant) {
        uint16_t at = k_image_header_bytes;
        while (at < size_) {
            uint8_t head[k_section_header_bytes];
            if (size_ - at < k_section_header_bytes) return fail(ImageFault::section, uint8_t{0});
            if (!read(at, head, sizeof head)) return false;
            at = static_cast<uint16_t>(at + k_section_header_bytes);
            const Place body = {at, get16(head + 1)};
            if (body.size > size_ - at) return fail(ImageFault::section, head[0]);
            if (!take_section(head[0], body, variant)) return false;
            at = static_cast<uint16_t>(at + body.size);
        }
        if (variant >= counts_.variants) return fail(ImageFault::range, Tag::variant);
        const Tag needed[] = {Tag::inputs, Tag::rules, Tag::modes, Tag::actions};
        for (uint8_t i = 0; i < 4; ++i)
            if (!is_there(needed[i])) return fail(ImageFault::missing, needed[i]);
        return true;
    }

    bool take_section(uint8_t tag, const Place& body, uint8_t variant) {
        if (!is_known(tag)) return (tag & k_must_understand) == 0 || fail(ImageFault::unknown_section, tag);
        Place& known = places_[tag & k_tag_index];
        if (tag == static_cast<uint8_t>(Tag::variant)) {
            if (counts_.variants == k_max_variants) return fail(ImageFault::range, tag);
            // Place 12 is the chosen variant's; the others are walked to when they are checked.
            if (counts_.variants++ == variant) known = body;
            if (counts_.variants == 2) first_variant_at_ = body.offset;
            return true;
        }
        if (known.offset != 0) return fail(ImageFault::section, tag);
        known = body;
        return true;
    }

    /// How many records of `bytes` a section has; false where it is no whole number or more than `most`.
    bool count(Tag tag, uint8_t bytes, uint8_t least, uint8_t most, uint8_t& out) {
        const uint16_t size = place(tag).size;
        if (size % bytes != 0) return fail(ImageFault::section, tag);
        const uint16_t records = static_cast<uint16_t>(size / bytes);
        if (is_there(tag) && (records < least || records > most)) return fail(ImageFault::range, tag);
        out = static_cast<uint8_t>(records);
        return true;
    }

    bool count_records() {
        if (!count(Tag::inputs, k_input_bytes, 1, k_max_inputs, counts_.inputs) ||
            !count(Tag::rules, k_rule_bytes, 1, k_max_rules, counts_.rules) ||
            !count(Tag::gestures, k_gesture_bytes, 0, 255, counts_.gestures) ||
            !count(Tag::actions, k_action_bytes, 1, 255, counts_.actions) ||
            !count(Tag::repeats, k_repeat_bytes, 0, k_max_repeats, counts_.repeats))
            return false;
        const Place& modes = place(Tag::modes);
        if (modes.size == 0) return fail(ImageFault::section, Tag::modes);
        if (!read(modes.offset, &counts_.modes, 1)) return false;
        if (counts_.modes == 0 || counts_.modes > k_max_modes) return fail(ImageFault::range, Tag::modes);
        const uint16_t cells = static_cast<uint16_t>(counts_.modes * counts_.inputs);
        if (modes.size != cells + 1u) return fail(ImageFault::section, Tag::modes);
        return true;
    }

    /// Appends a section (or its end) to the mirror; gives where it begins.
    bool mirror(Tag tag, uint8_t skip, uint16_t& at) {
        at = setup_.used;
        if (!is_there(tag)) return true;
        uint16_t from = static_cast<uint16_t>(place(tag).offset + skip);
        uint16_t left = static_cast<uint16_t>(place(tag).size - skip);
        if (left > k_mirror_bytes - setup_.used) return fail(ImageFault::mirror, tag);
        while (left != 0) {
            const uint8_t piece = left > 32 ? uint8_t{32} : static_cast<uint8_t>(left);
            if (!read(from, setup_.bytes + setup_.used, piece)) return false;
            from = static_cast<uint16_t>(from + piece);
            left = static_cast<uint16_t>(left - piece);
            setup_.used = static_cast<uint16_t>(setup_.used + piece);
        }
        return true;
    }

    bool fill_mirror() {
        return mirror(Tag::inputs, 0, setup_.inputs_at) && mirror(Tag::rules, 0, setup_.rules_at) &&
               mirror(Tag::modes, 1, setup_.cells_at) && mirror(Tag::gestures, 0, setup_.gestures_at) &&
               mirror(Tag::motions, 0, setup_.motions_at) && mirror(Tag::repeats, 0, setup_.repeats_at);
    }

    bool check_mirror() {
        const uint8_t* b = setup_.bytes;
        for (uint8_t i = 0; i < counts_.inputs; ++i)
            if (!is_input_ok(get_input(b + setup_.inputs_at + i * k_input_bytes), counts_))
                return fail(ImageFault::range, Tag::inputs);
        for (uint8_t i = 0; i < counts_.rules; ++i)
            if (!is_rule_ok(get_rule(b + setup_.rules_at + i * k_rule_bytes)))
                return fail(ImageFault::range, Tag::rules);
        for (uint16_t at = setup_.cells_at; at < setup_.gestures_at; ++at)
            if (b[at] > counts_.actions) return fail(ImageFault::range, Tag::modes);
        for (uint16_t at = setup_.gestures_at; at < setup_.motions_at; at = static_cast<uint16_t>(at + 3u))
            if (!is_gesture_ok(b + at, counts_)) return fail(ImageFault::range, Tag::gestures);
        for (uint16_t at = setup_.repeats_at; at < setup_.used; at = static_cast<uint16_t>(at + 4u))
            if (!is_repeat_ok(RepeatDef{get16(b + at), get16(b + at + 2)}))
                return fail(ImageFault::range, Tag::repeats);
        return check_motions();
    }

    bool check_motions() {
        const uint8_t* b = setup_.bytes;
        uint16_t at = setup_.motions_at;
        while (at < setup_.repeats_at) {
            const uint8_t size = b[at];
            if (size >= setup_.repeats_at - at) return fail(ImageFault::section, Tag::motions);
            if (counts_.motions == k_max_motions || !is_motion_ok(b + at + 1, size))
                return fail(ImageFault::range, Tag::motions);
            ++counts_.motions;
            at = static_cast<uint16_t>(at + 1u + size);
        }
        return true;
    }

    bool check_stored() {
        return check_grid() && check_texts() && check_actions() && check_labels() && check_pace();
    }

    bool check_actions() {
        uint16_t at = place(Tag::actions).offset;
        for (uint8_t i = 0; i < counts_.actions; ++i) {
            uint8_t raw[k_action_bytes];
            if (!read(at, raw, sizeof raw)) return false;
            if (!is_action_ok(get_action(raw), counts_)) return fail(ImageFault::range, Tag::actions);
            at = static_cast<uint16_t>(at + k_action_bytes);
        }
        return true;
    }

    /// Steps over one stroke that must end at or before `end`.
    bool step_stroke(Tag tag, uint16_t& at, uint16_t end, bool may_be_empty) {
        uint8_t raw[3] = {0, 0, 0};
        if (at >= end) return fail(ImageFault::section, tag);
        if (!read(at, raw, 1)) return false;
        at = static_cast<uint16_t>(at + 1u);
        if (raw[0] == k_stroke_none) return may_be_empty || fail(ImageFault::range, tag);
        uint8_t usage = static_cast<uint8_t>(raw[0] & ~k_stroke_shift);
        if (raw[0] == k_stroke_modified) {
            if (end - at < 2) return fail(ImageFault::section, tag);
            if (!read(at, raw + 1, 2)) return false;
            at = static_cast<uint16_t>(at + 2u);
            usage = raw[2];
        }
        return (usage >= k_first_usage && usage <= k_last_usage) || fail(ImageFault::range, tag);
    }

    bool check_texts() {
        uint16_t at = place(Tag::texts).offset;
        const uint16_t end = static_cast<uint16_t>(at + place(Tag::texts).size);
        while (at < end) {
            uint8_t length = 0;
            if (!read(at, &length, 1)) return false;
            at = static_cast<uint16_t>(at + 1u);
            if (length > end - at) return fail(ImageFault::section, Tag::texts);
            if (counts_.texts == 255) return fail(ImageFault::range, Tag::texts);
            ++counts_.texts;
            const uint16_t text_end = static_cast<uint16_t>(at + length);
            while (at < text_end)
                if (!step_stroke(Tag::texts, at, text_end, false)) return false;
        }
        return true;
    }

    bool check_grid() {
        if (!is_there(Tag::grid)) return true;
        const Place& grid = place(Tag::grid);
        const uint16_t end = static_cast<uint16_t>(grid.offset + grid.size);
        uint16_t at = static_cast<uint16_t>(grid.offset + 2u);
        uint8_t raw[2];
        if (grid.size < 2) return fail(ImageFault::section, Tag::grid);
        if (!read(grid.offset, raw, 2)) return false;
        counts_.grid_rows = raw[0];
        counts_.grid_columns = raw[1];
        if (raw[0] == 0 || raw[1] == 0) return fail(ImageFault::range, Tag::grid);
        const uint16_t cells = static_cast<uint16_t>(static_cast<uint16_t>(raw[0]) * raw[1]);
        for (uint16_t i = 0; i < cells; ++i)
            if (!step_stroke(Tag::grid, at, end, true)) return false;
        return at == end || fail(ImageFault::section, Tag::grid);
    }

    bool check_labels() {
        uint16_t at = place(Tag::labels).offset;
        const uint16_t end = static_cast<uint16_t>(at + place(Tag::labels).size);
        uint8_t left = 0;
        for (; at < end; at = static_cast<uint16_t>(at + 1u)) {
            uint8_t byte = 0;
            if (!read(at, &byte, 1)) return false;
            if (left == 0) {
                left = byte;
                if (left >= end - at) return fail(ImageFault::section, Tag::labels);
            } else {
                if (byte < 0x20 || byte > 0x7E) return fail(ImageFault::range, Tag::labels);
                --left;
            }
        }
        return true;
    }

    bool check_pace() {
        if (!is_there(Tag::pace)) return true;
        uint8_t raw[6];
        if (place(Tag::pace).size != sizeof raw) return fail(ImageFault::section, Tag::pace);
        if (!read(place(Tag::pace).offset, raw, sizeof raw)) return false;
        setup_.stroke_gap_ms = get16(raw);
        setup_.click_gap_ms = get16(raw + 2);
        setup_.trial_s = get16(raw + 4);
        return is_pace_ok(setup_.stroke_gap_ms, setup_.click_gap_ms, setup_.trial_s) ||
               fail(ImageFault::range, Tag::pace);
    }

    /// Every variant is checked, so that none can fail when a person asks for it; the chosen one is laid over
    /// the mirror.
    bool check_variants(uint8_t chosen) {
        uint16_t at = first_variant_at_;
        for (uint8_t variant = 1; variant < counts_.variants;) {
            uint8_t head[k_section_header_bytes];
            if (!read(static_cast<uint16_t>(at - k_section_header_bytes), head, sizeof head)) return false;
            const uint16_t end = static_cast<uint16_t>(at + get16(head + 1));
            if (head[0] == static_cast<uint8_t>(Tag::variant)) {
                if (variant != chosen && !walk_variant(at, end, false)) return false;
                ++variant;
            }
            at = static_cast<uint16_t>(end + k_section_header_bytes);
        }
        const Place& mine = place(Tag::variant);
        return chosen == 0 || walk_variant(mine.offset, static_cast<uint16_t>(mine.offset + mine.size), true);
    }

    bool walk_variant(uint16_t at, uint16_t end, bool is_chosen) {
        uint8_t rules_seen = 0, motions_seen = 0;
        uint16_t used = setup_.used;
        while (at < end) {
            uint8_t what = 0;
            if (!read(at, &what, 1)) return false;
            at = static_cast<uint16_t>(at + 1u);
            const uint8_t number = static_cast<uint8_t>(what & ~k_override_motion);
            const bool is_motion = (what & k_override_motion) != 0;
            uint8_t& seen = is_motion ? motions_seen : rules_seen;
            if (number >= (is_motion ? counts_.motions : counts_.rules))
                return fail(ImageFault::range, Tag::variant);
            const uint8_t bit = static_cast<uint8_t>(1u << number);
            if ((seen & bit) != 0) return fail(ImageFault::section, Tag::variant);
            seen = static_cast<uint8_t>(seen | bit);
            const bool good = is_motion ? override_motion(number, at, end, used, is_chosen)
                                        : override_rule(number, at, end, is_chosen);
            if (!good) return false;
        }
        return true;
    }

    bool override_rule(uint8_t number, uint16_t& at, uint16_t end, bool is_chosen) {
        uint8_t raw[k_rule_bytes];
        if (end - at < k_rule_bytes) return fail(ImageFault::section, Tag::variant);
        if (!read(at, raw, sizeof raw)) return false;
        at = static_cast<uint16_t>(at + k_rule_bytes);
        if (!is_rule_ok(get_rule(raw))) return fail(ImageFault::range, Tag::variant);
        if (is_chosen) memcpy(setup_.bytes + setup_.rules_at + number * k_rule_bytes, raw, sizeof raw);
        return true;
    }

    /// `used`: what the mirror would hold after the overrides so far. A longer record moves what follows it,
    /// so the mirror must have room after each step, in the order of the section.
    bool override_motion(uint8_t number, uint16_t& at, uint16_t end, uint16_t& used, bool is_chosen) {
        uint8_t raw[1 + k_motion_max_bytes];
        if (at >= end) return fail(ImageFault::section, Tag::variant);
        if (!read(at, raw, 1)) return false;
        const uint8_t size = raw[0];
        if (size >= end - at) return fail(ImageFault::section, Tag::variant);
        if (size > k_motion_max_bytes) return fail(ImageFault::range, Tag::variant);
        if (!read(static_cast<uint16_t>(at + 1u), raw + 1, size)) return false;
        at = static_cast<uint16_t>(at + 1u + size);
        if (!is_motion_ok(raw + 1, size)) return fail(ImageFault::range, Tag::variant);
        uint16_t to = setup_.motions_at;
        for (uint8_t i = 0; i < number; ++i) to = static_cast<uint16_t>(to + 1u + setup_.bytes[to]);
        const uint8_t old = setup_.bytes[to];
        if (used + size - old > k_mirror_bytes) return fail(ImageFault::mirror, Tag::variant);
        used = static_cast<uint16_t>(used + size - old);
        if (!is_chosen) return true;
        const uint16_t tail = static_cast<uint16_t>(to + 1u + old);
        memmove(setup_.bytes + to + 1 + size, setup_.bytes + tail, static_cast<size_t>(setup_.used - tail));
        memcpy(setup_.bytes + to, raw, static_cast<size_t>(size + 1));
        setup_.repeats_at = static_cast<uint16_t>(setup_.repeats_at + size - old);
        setup_.used = used;
        return true;
    }

    void write_down() {
        setup_.input_count = counts_.inputs;
        setup_.rule_count = counts_.rules;
        setup_.mode_count = counts_.modes;
        setup_.gesture_count = counts_.gestures;
        setup_.motion_count = counts_.motions;
        setup_.repeat_count = counts_.repeats;
        setup_.action_count = counts_.actions;
        setup_.text_count = counts_.texts;
        setup_.variant_count = counts_.variants;
        setup_.grid_rows = counts_.grid_rows;
        setup_.grid_columns = counts_.grid_columns;
        setup_.actions = place(Tag::actions);
        setup_.texts = place(Tag::texts);
        setup_.labels = place(Tag::labels);
        setup_.grid = place(Tag::grid);
        setup_.storage = storage_;
    }

    Storage storage_;
    Setup& setup_;
    Place places_[k_places];
    Counts counts_;
    ImageVerdict verdict_;
    uint16_t size_ = 0;
    uint16_t first_variant_at_ = 0;
};

}  // namespace

ImageVerdict load(const Storage& storage, uint16_t room, uint8_t variant, Setup& setup) {
    clear(setup);
    const ImageVerdict verdict = Loader(storage, setup).run(room, variant);
    if (verdict.fault != ImageFault::none) clear(setup);
    return verdict;
}

}  // namespace wire
}  // namespace fettle
