#pragma once
// Consistent Overhead Byte Stuffing (S. Cheshire, M. Baker, IEEE/ACM Transactions on Networking 7(2), 1999):
// bytes without a zero, so that a zero can end a frame. Source of the vectors: tests/wire/cobs_test.cpp.

#include <stddef.h>
#include <stdint.h>

namespace fettle {
namespace wire {

/// Largest encoding of `count` bytes: one byte more for each begun run of 254, and at least one.
constexpr size_t cobs_room(size_t count) {
    return count + count / 254 + 1;
}

/// Encodes without the ending zero; `to` holds cobs_room(count) and must not overlap. After a run of 254
/// bytes that ends the data nothing follows (the shorter of the two lawful forms).
size_t cobs_encode(const uint8_t* from, size_t count, uint8_t* to);

/// Decodes what stood before the ending zero, either form of the 254 case. False: a zero inside, a run past
/// the end, no byte at all, or more than `room` bytes came out.
bool cobs_decode(const uint8_t* from, size_t count, uint8_t* to, size_t room, size_t& out);

/// The same decoder byte by byte, without a buffer of its own.
struct CobsStream {
    uint8_t left;    ///< bytes until the next code byte; 0: the next byte is a code
    bool owes_zero;  ///< the run that ended stood for a zero, unless the frame ends here
    bool has_begun;
    enum class Gave : uint8_t { nothing, byte, zero_first };
    /// Takes a byte that is not zero. Gave::byte: it is data. Gave::nothing: a code byte. zero_first: a code
    /// byte before which a zero of the data stood.
    Gave take(uint8_t byte);
    /// At the ending zero: true when the frame was whole.
    bool is_whole() const { return has_begun && left == 0; }
};

}  // namespace wire
}  // namespace fettle
