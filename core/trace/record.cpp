#include "core/trace/record.hpp"

#include <algorithm>
#include <cstring>

namespace fettle::trace {

using engine::Event;
using engine::EventKind;

namespace {

constexpr std::uint8_t k_kind_bits = 0x1F;
constexpr std::uint8_t k_pointer_bit = 0x20;
constexpr std::uint8_t k_short_bit = 0x40;
constexpr std::uint8_t k_report_bytes = 8;
constexpr int k_longest_varint_bytes = 10;

std::size_t put_time(std::uint8_t* to, std::int64_t delta_us) {
    auto left = (static_cast<std::uint64_t>(delta_us) << 1) ^ (delta_us < 0 ? ~std::uint64_t{0} : 0);
    std::size_t size = 0;
    while (left >= 0x80) {
        to[size++] = static_cast<std::uint8_t>(left | 0x80);
        left >>= 7;
    }
    to[size++] = static_cast<std::uint8_t>(left);
    return size;
}

std::size_t get_time(const std::uint8_t* from, std::size_t left, std::int64_t& delta_us) {
    std::uint64_t bits = 0;
    for (std::size_t i = 0; i < left && i < k_longest_varint_bytes; ++i) {
        const std::uint64_t seven = from[i] & 0x7Fu;
        if (i == k_longest_varint_bytes - 1 && seven > 1) return 0;
        bits |= seven << (7 * i);
        if (from[i] < 0x80) {
            delta_us = static_cast<std::int64_t>(bits >> 1) ^ -static_cast<std::int64_t>(bits & 1);
            return i + 1;
        }
    }
    return 0;
}

/// How many bytes of a report differ from 0 at its end; -1: the report cannot be kept short.
int short_bytes(const Event& event) {
    if (event.data[0] > 1 || event.data[1] > k_report_bytes) return -1;
    int bytes = k_report_bytes;
    while (bytes > 0 && event.data[1 + bytes] == 0) --bytes;
    return bytes <= event.data[1] ? bytes : -1;
}

std::size_t put_short_report(std::uint8_t* to, std::int64_t delta_us, const Event& event, int bytes) {
    to[0] = static_cast<std::uint8_t>(static_cast<int>(event.kind) | k_short_bit |
                                      (event.data[0] != 0 ? k_pointer_bit : 0));
    std::size_t size = 1 + put_time(to + 1, delta_us);
    to[size++] = static_cast<std::uint8_t>(event.data[1] << 4 | bytes);
    std::memcpy(to + size, event.data + 2, static_cast<std::size_t>(bytes));
    return size + static_cast<std::size_t>(bytes);
}

}  // namespace

std::uint8_t kept_bytes(EventKind kind) {
    return kind == EventKind::none ? k_gap_bytes : engine::event_size(kind);
}

std::size_t put_record(std::uint8_t* to, std::int64_t delta_us, const Event& event) {
    if (event.kind == EventKind::report) {
        const int bytes = short_bytes(event);
        if (bytes >= 0) return put_short_report(to, delta_us, event, bytes);
    }
    to[0] = static_cast<std::uint8_t>(event.kind);
    const std::size_t size = 1 + put_time(to + 1, delta_us);
    const std::uint8_t payload = kept_bytes(event.kind);
    std::memcpy(to + size, event.data, payload);
    return size + payload;
}

std::size_t get_record(const std::uint8_t* from, std::size_t left, std::int64_t& delta_us, Event& event) {
    if (left == 0) return 0;
    const std::uint8_t head = from[0];
    const bool is_short = (head & k_short_bit) != 0;
    event.kind = static_cast<EventKind>(head & k_kind_bits);
    const std::uint8_t payload = kept_bytes(event.kind);
    if (payload == 0 || head >= 0x80) return 0;
    if (is_short ? event.kind != EventKind::report : (head & k_pointer_bit) != 0) return 0;
    std::size_t size = 1 + get_time(from + 1, left - 1, delta_us);
    if (size == 1) return 0;
    std::memset(event.data, 0, sizeof event.data);
    if (!is_short) {
        if (left - size < payload) return 0;
        std::memcpy(event.data, from + size, payload);
        return size + payload;
    }
    if (size == left) return 0;
    const std::uint8_t sizes = from[size++];
    const std::uint8_t bytes = sizes & 0x0F;
    event.data[0] = (head & k_pointer_bit) != 0 ? 1 : 0;
    event.data[1] = static_cast<std::uint8_t>(sizes >> 4);
    if (event.data[1] > k_report_bytes || bytes > event.data[1] || left - size < bytes) return 0;
    std::memcpy(event.data + 2, from + size, bytes);
    return size + bytes;
}

}  // namespace fettle::trace
