// Reading a roll from bytes (roll_format.hpp) that anybody may have written.
#include "core/trace/record.hpp"
#include "core/trace/roll_format.hpp"

namespace fettle::trace {

namespace {

struct Part {
    PartTag tag{};
    std::string_view body;
    std::size_t at = 0;  ///< of the body, in the file
};

Unexpected garbled(const std::string& where, const char* part, std::size_t at) {
    return fail(Errc::garbled, where, std::string(part) + " at byte " + std::to_string(at));
}

Result<Part> next_part(PartReader& file, std::string_view bytes, const std::string& where) {
    const std::size_t begin = file.at();
    Part part;
    part.tag = static_cast<PartTag>(file.u32());
    const std::uint32_t size = file.u32(), crc = file.u32();
    if (file.is_short() || size > file.left()) return garbled(where, "cut short", begin);
    part.at = file.at();
    part.body = bytes.substr(part.at, size);
    file.take(size);
    if (part_crc(bytes.substr(begin, k_part_named_bytes), part.body) != crc)
        return garbled(where, "checksum", begin);
    return part;
}

struct Head {
    RollInfo info;
    std::int64_t began_ms = 0, last_us = 0;
    std::uint64_t events = 0;
};

bool read_head(std::string_view body, Head& head) {
    PartReader in(body);
    head.info.image_crc = in.u32();
    head.info.engine_build = in.u16();
    const std::uint8_t usages = in.u8(), spare = in.u8();
    head.info.has_usages = usages != 0;
    head.info.batches_lost = in.u32();
    head.info.events_lost = in.u32();
    head.began_ms = in.i64();
    head.last_us = in.i64();
    head.events = in.u64();
    return in.is_whole() && usages <= 1 && spare == 0;
}

bool read_names(PartReader& in, std::vector<std::string>& names) {
    const std::size_t count = in.u16();
    if (count > k_most_label_names || count * 2 > in.left()) return false;
    for (std::size_t i = 0; i < count; ++i)
        if (!in.text(names.emplace_back())) return false;
    return true;
}

bool read_texts(std::string_view body, RollLabel& label) {
    PartReader in(body);
    return in.text(label.name) && in.text(label.device_serial) && read_names(in, label.input_names) &&
           read_names(in, label.mode_names) && in.is_whole();
}

/// Gives where in the body it is wrong; npos: nowhere.
std::size_t read_events(std::string_view body, Roll& roll) {
    PartReader in(body);
    std::int64_t time_us = in.i64();
    const std::uint32_t count = in.u32();
    if (in.is_short() || time_us < -k_farthest_us || time_us > 2 * k_farthest_us) return 0;
    const std::uint8_t* records = reinterpret_cast<const std::uint8_t*>(body.data());
    std::size_t at = k_events_head_bytes;
    for (std::uint32_t i = 0; i < count; ++i) {
        std::int64_t delta_us = 0;
        engine::Event event{};
        const std::size_t size = get_record(records + at, body.size() - at, delta_us, event);
        if (size == 0 || delta_us < -4 * k_farthest_us || delta_us > 4 * k_farthest_us) return at;
        time_us += delta_us;
        if (is_gap(event)) {
            roll.append_gap(gap_batches(event));
            if (roll.at(roll.size() - 1).at_us != time_us) return at;
        } else if (time_us < -k_farthest_us || time_us > k_farthest_us || !roll.append(time_us, event)) {
            return at;
        }
        at += size;
    }
    return at == body.size() ? std::string_view::npos : at;
}

/// Part by part. What a part must not follow or come twice is refused.
class Unpacking {
public:
    Unpacking(std::string_view bytes, const std::string& where)
        : bytes_(bytes), where_(where), file_(bytes) {}

    Result<SavedRoll> run() {
        if (file_.take(k_roll_magic.size()) != k_roll_magic)
            return fail(Errc::syntax, where_, "not a recording");
        const std::uint32_t version = file_.u32();
        if (file_.is_short()) return garbled(where_, "cut short", file_.at());
        if (version != k_roll_file_version) return fail(Errc::version, where_, std::to_string(version));
        while (!is_over_) {
            auto part = next_part(file_, bytes_, where_);
            if (!part) return part.failure();
            if (const Status taken = take(*part); !taken) return taken.failure();
        }
        if (file_.left() != 0) return garbled(where_, "after the end", file_.at());
        return std::move(saved_);
    }

private:
    Status take(const Part& part) {
        switch (part.tag) {
            case PartTag::head: return take_head(part);
            case PartTag::text:
                if (!follows(PartTag::head) || !read_texts(part.body, saved_.label)) break;
                return took(part.tag);
            case PartTag::image:
                if (!follows(PartTag::text) || part.body.size() > k_largest_label_image_bytes) break;
                saved_.label.profile_image.assign(part.body.begin(), part.body.end());
                return took(part.tag);
            case PartTag::events: return take_events(part);
            case PartTag::end: return take_end(part);
        }
        return garbled(where_, "part", part.at);
    }

    bool follows(PartTag tag) const { return last_ == tag; }
    Status took(PartTag tag) {
        last_ = tag;
        return Done{};
    }

    Status take_head(const Part& part) {
        if (last_ != PartTag::end || !read_head(part.body, head_)) return garbled(where_, "head", part.at);
        saved_.label.began_ms = head_.began_ms;
        saved_.roll.clear(head_.info);
        return took(part.tag);
    }

    Status take_events(const Part& part) {
        if (last_ == PartTag::end || last_ == PartTag::head) return garbled(where_, "events", part.at);
        const std::size_t wrong = read_events(part.body, saved_.roll);
        if (wrong != std::string_view::npos) return garbled(where_, "event", part.at + wrong);
        return took(part.tag);
    }

    /// All there, and what the head said of it.
    Status take_end(const Part& part) {
        PartReader in(part.body);
        const std::uint64_t events = in.u64();
        if (last_ == PartTag::end || last_ == PartTag::head || !in.is_whole() || events != saved_.roll.size())
            return garbled(where_, "end", part.at);
        saved_.roll.extend_to(head_.last_us);
        if (head_.events != events || saved_.roll.last_us() != head_.last_us ||
            saved_.roll.info() != head_.info)
            return garbled(where_, "head", k_roll_magic.size() + 4 + k_part_head_bytes);
        is_over_ = true;
        return took(part.tag);
    }

    std::string_view bytes_;
    const std::string& where_;
    PartReader file_;
    PartTag last_ = PartTag::end;  ///< the part before; at the begin: none
    Head head_;
    SavedRoll saved_;
    bool is_over_ = false;
};

}  // namespace

Result<SavedRoll> roll_from_bytes(std::string_view bytes, const std::string& where) {
    return Unpacking(bytes, where).run();
}

}  // namespace fettle::trace
