// Writing a roll as bytes (roll_format.hpp).
#include "core/trace/record.hpp"
#include "core/trace/roll_format.hpp"

namespace fettle::trace {

namespace {

constexpr std::size_t k_part_events_bytes =
    48 * 1024;  // own choice: what is lost of memory while one is made

void write_head(PartWriter& to, const Roll& roll, const RollLabel& label) {
    to.begin(PartTag::head);
    to.u32(roll.info().image_crc);
    to.u16(roll.info().engine_build);
    to.u8(roll.info().has_usages ? 1 : 0);
    to.u8(0);
    to.u32(roll.info().batches_lost);
    to.u32(roll.info().events_lost);
    to.i64(label.began_ms);
    to.i64(roll.last_us());
    to.u64(roll.size());
    to.end();
}

void write_names(PartWriter& to, const std::vector<std::string>& names) {
    to.u16(static_cast<std::uint16_t>(names.size()));
    for (const auto& name : names) to.text(name);
}

void write_texts(PartWriter& to, const RollLabel& label) {
    to.begin(PartTag::text);
    to.text(label.name);
    to.text(label.device_serial);
    write_names(to, label.input_names);
    write_names(to, label.mode_names);
    to.end();
}

void write_events(PartWriter& to, const Roll& roll) {
    auto walk = roll.walk();
    std::int64_t time_us = 0;
    Moment moment;
    bool has_one = walk.next(moment);
    while (has_one) {
        to.begin(PartTag::events);
        to.i64(time_us);
        to.u32(0);
        std::uint32_t count = 0;
        for (; has_one && to.part_bytes() < k_part_events_bytes; has_one = walk.next(moment)) {
            std::uint8_t record[k_longest_record_bytes];
            to.raw(record, put_record(record, moment.at_us - time_us, moment.event));
            time_us = moment.at_us;
            ++count;
        }
        to.set_u32(8, count);
        to.end();
    }
}

Status check_text(const std::string& text, const char* what) {
    if (text.size() > k_longest_label_text_bytes) return fail(Errc::too_large, what);
    if (!is_utf8(text)) return fail(Errc::syntax, what);
    return Done{};
}

Status check_names(const std::vector<std::string>& names, const char* what) {
    if (names.size() > k_most_label_names) return fail(Errc::too_large, what);
    for (const auto& name : names)
        if (const Status fits = check_text(name, what); !fits) return fits;
    return Done{};
}

Status check_label(const RollLabel& label) {
    if (label.profile_image.size() > k_largest_label_image_bytes)
        return fail(Errc::too_large, "profile image");
    if (const Status fits = check_text(label.name, "name"); !fits) return fits;
    if (const Status fits = check_text(label.device_serial, "serial"); !fits) return fits;
    if (const Status fits = check_names(label.input_names, "input names"); !fits) return fits;
    return check_names(label.mode_names, "mode names");
}

}  // namespace

Result<std::string> roll_to_bytes(const Roll& roll, const RollLabel& label) {
    if (const Status fits = check_label(label); !fits) return fits.failure();
    PartWriter to;
    to.out() += k_roll_magic;
    to.u32(k_roll_file_version);
    write_head(to, roll, label);
    write_texts(to, label);
    if (!label.profile_image.empty()) {
        to.begin(PartTag::image);
        to.raw(label.profile_image.data(), label.profile_image.size());
        to.end();
    }
    write_events(to, roll);
    to.begin(PartTag::end);
    to.u64(roll.size());
    to.end();
    if (to.out().size() > k_largest_roll_file_bytes) return fail(Errc::too_large, "recording");
    return std::move(to.out());
}

}  // namespace fettle::trace
