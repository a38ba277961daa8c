#include "core/trace/roll_format.hpp"

namespace fettle::trace {

void PartWriter::begin(PartTag tag) {
    part_ = out_.size();
    u32(static_cast<std::uint32_t>(tag));
    u64(0);
}

void PartWriter::end() {
    const std::string_view part = std::string_view(out_).substr(part_);
    auto* head = reinterpret_cast<std::uint8_t*>(out_.data() + part_);
    engine::put32(head + 4, static_cast<std::uint32_t>(part.size() - k_part_head_bytes));
    engine::put32(head + k_part_named_bytes,
                  part_crc(part.substr(0, k_part_named_bytes), part.substr(k_part_head_bytes)));
}

void PartWriter::set_u32(std::size_t in_part, std::uint32_t v) {
    engine::put32(reinterpret_cast<std::uint8_t*>(out_.data() + part_ + k_part_head_bytes + in_part), v);
}

std::string_view PartReader::take(std::size_t count) {
    if (count > left()) {
        is_short_ = true;
        at_ = bytes_.size();
        return {};
    }
    at_ += count;
    return bytes_.substr(at_ - count, count);
}

std::uint64_t PartReader::number(std::size_t count) {
    const std::string_view bytes = take(count);
    std::uint64_t v = 0;
    for (std::size_t i = bytes.size(); i-- > 0;) v = v << 8 | static_cast<std::uint8_t>(bytes[i]);
    return v;
}

bool PartReader::text(std::string& out) {
    const std::size_t size = u16();
    if (is_short_ || size > k_longest_label_text_bytes || size > left()) return false;
    out = take(size);
    return is_utf8(out);
}

std::uint32_t part_crc(std::string_view named, std::string_view body) {
    std::uint32_t crc = wire::k_crc32_start;
    for (const std::string_view bytes : {named, body})
        for (const char c : bytes) crc = wire::crc32_step(crc, static_cast<std::uint8_t>(c));
    return crc ^ wire::k_crc32_final;
}

}  // namespace fettle::trace
