#include "core/wire/cobs.hpp"

namespace fettle {
namespace wire {

namespace {

constexpr uint8_t k_full = 0xFF;  // 254 bytes follow, and no zero after them

}  // namespace

size_t cobs_encode(const uint8_t* from, size_t count, uint8_t* to) {
    size_t code_at = 0;
    size_t used = 1;
    uint8_t code = 1;
    for (size_t i = 0; i < count; ++i) {
        if (code == k_full) {
            to[code_at] = code;
            code_at = used++;
            code = 1;
        }
        if (from[i] == 0) {
            to[code_at] = code;
            code_at = used++;
            code = 1;
        } else {
            to[used++] = from[i];
            ++code;
        }
    }
    to[code_at] = code;
    return used;
}

bool cobs_decode(const uint8_t* from, size_t count, uint8_t* to, size_t room, size_t& out) {
    CobsStream stream = {0, false, false};
    out = 0;
    for (size_t i = 0; i < count; ++i) {
        if (from[i] == 0) return false;
        const CobsStream::Gave gave = stream.take(from[i]);
        if (gave == CobsStream::Gave::nothing) continue;
        if (out == room) return false;
        to[out++] = gave == CobsStream::Gave::byte ? from[i] : uint8_t{0};
    }
    return stream.is_whole();
}

CobsStream::Gave CobsStream::take(uint8_t byte) {
    if (left != 0) {
        --left;
        return Gave::byte;
    }
    const Gave gave = owes_zero ? Gave::zero_first : Gave::nothing;
    left = static_cast<uint8_t>(byte - 1u);
    owes_zero = byte != k_full;
    has_begun = true;
    return gave;
}

}  // namespace wire
}  // namespace fettle
