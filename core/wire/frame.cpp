#include "core/wire/frame.hpp"

#include "core/engine/bytes.hpp"
#include "core/wire/crc.hpp"

namespace fettle {
namespace wire {

namespace {

bool is_size_ok(uint8_t size) {
    return size >= k_message_head && size <= k_message_max;
}

}  // namespace

bool pack_report(const uint8_t* message, uint8_t size, uint8_t* report) {
    if (!is_size_ok(size)) return false;
    report[0] = k_hid_report_id;
    report[1] = size;
    memcpy(report + 2, message, size);
    memset(report + 2 + size, 0, static_cast<size_t>(k_hid_report_bytes - 2 - size));
    return true;
}

bool unpack_report(const uint8_t* report, uint8_t bytes, const uint8_t*& message, uint8_t& size) {
    if (bytes < 2 || report[0] != k_hid_report_id || !is_size_ok(report[1]) || report[1] > bytes - 2)
        return false;
    message = report + 2;
    size = report[1];
    return true;
}

uint8_t pack_serial(const uint8_t* message, uint8_t size, uint8_t* to) {
    if (!is_size_ok(size)) return 0;
    uint8_t plain[k_message_max + k_crc_bytes];
    memcpy(plain, message, size);
    engine::put16(plain + size, crc16(message, size));
    to[0] = 0;
    const size_t used = cobs_encode(plain, static_cast<size_t>(size) + k_crc_bytes, to + 1);
    to[1 + used] = 0;
    return static_cast<uint8_t>(used + 2);
}

FETTLE_SHARED void Unframer::reset() {
    used_ = 0;
    size_ = 0;
    bad_ = 0;
    too_long_ = false;
    cobs_ = CobsStream{0, false, false};
}

void Unframer::append(uint8_t byte) {
    if (used_ < sizeof buffer_)
        buffer_[used_++] = byte;
    else
        too_long_ = true;
}

bool Unframer::take(uint8_t byte) {
    if (byte == 0) return end();
    const CobsStream::Gave gave = cobs_.take(byte);
    if (gave != CobsStream::Gave::nothing) append(gave == CobsStream::Gave::byte ? byte : uint8_t{0});
    return false;
}

bool Unframer::end() {
    const bool is_empty = !cobs_.has_begun;
    bool good = cobs_.is_whole() && !too_long_ && used_ >= k_message_head + k_crc_bytes;
    size_ = good ? static_cast<uint8_t>(used_ - k_crc_bytes) : uint8_t{0};
    good = good && crc16(buffer_, size_) == engine::get16(buffer_ + size_);
    if (!good && !is_empty && bad_ < 255) ++bad_;  // two zeros in a row are no frame and no fault
    used_ = 0;
    too_long_ = false;
    cobs_ = CobsStream{0, false, false};
    return good;
}

uint8_t Unframer::take_bad() {
    const uint8_t bad = bad_;
    bad_ = 0;
    return bad;
}

}  // namespace wire
}  // namespace fettle
