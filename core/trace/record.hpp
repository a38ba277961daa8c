#pragma once
// One event as bytes, in memory and in files: head, time since the event before, payload.
//   head: bits 0 to 4 EventKind (0: a gap), bit 6 a short report, bit 5 its endpoint.
//   time: zigzag varint (7 bits a byte, low ones first) of us since the record before; may be negative.
//   payload: event_size() bytes; a gap: batches lost u32; a short report: size << 4 | n, then its first n
//   bytes, the others up to size being 0.

#include <cstddef>
#include <cstdint>

#include "core/engine/event.hpp"

namespace fettle::trace {

constexpr std::size_t k_longest_record_bytes = 1 + 10 + 11;
constexpr std::uint8_t k_gap_bytes = 4;

/// Payload bytes that a roll keeps of a kind, 0: of none such.
std::uint8_t kept_bytes(engine::EventKind kind);

/// Gives the record's size. `to` holds k_longest_record_bytes. `event` is of a kind with kept_bytes().
std::size_t put_record(std::uint8_t* to, std::int64_t delta_us, const engine::Event& event);

/// Reads one record from up to `left` bytes; bytes of `event` past its payload are 0, at_us is not written.
/// Gives its size; 0: no record.
std::size_t get_record(const std::uint8_t* from, std::size_t left, std::int64_t& delta_us,
                       engine::Event& event);

}  // namespace fettle::trace
