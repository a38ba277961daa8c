#include "core/wire/fields.hpp"

#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

static_assert(__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__, "fields are copied as they lie in memory");

const uint8_t k_no_fields[] FETTLE_ROM = {0};
const uint8_t k_byte_field[] FETTLE_ROM = {1, 0};
const uint8_t k_word_field[] FETTLE_ROM = {2, 0};
const uint8_t k_long_field[] FETTLE_ROM = {4, 0};
const uint8_t k_hello_fields[] FETTLE_ROM = {2, 2, 1, 4, 1, 2, 2, 1, 1, 1, 1, 2, 4, 8, 2, 2, 8, 1, 0};
const uint8_t k_info_fields[] FETTLE_ROM = {4, 2, 2, 2, 2, 2, 2, 4, 1, 1, 2, 1, 0};
const uint8_t k_trial_fields[] FETTLE_ROM = {1, 2, 4, 2, 1, 1, 0};
const uint8_t k_error_fields[] FETTLE_ROM = {1, 1, 1, 1, 0};
const uint8_t k_ping_fields[] FETTLE_ROM = {4, 4, 4, 0};
const uint8_t k_read_fields[] FETTLE_ROM = {1, 4, 1, 0};
const uint8_t k_read_head[] FETTLE_ROM = {1, 4, 0};
const uint8_t k_begin_fields[] FETTLE_ROM = {2, 4, 0};
const uint8_t k_write_fields[] FETTLE_ROM = {4, 1, 0};
const uint8_t k_finish_fields[] FETTLE_ROM = {4, 2, 0};
const uint8_t k_keep_fields[] FETTLE_ROM = {2, 4, 1, 2 | k_unsent, 0};
const uint8_t k_revert_fields[] FETTLE_ROM = {2, 4, 1 | k_unsent, 2 | k_unsent, 0};
const uint8_t k_extend_fields[] FETTLE_ROM = {2, 4, 1 | k_unsent, 2, 0};
const uint8_t k_subscribe_fields[] FETTLE_ROM = {2, 2, 0};
const uint8_t k_display_head[] FETTLE_ROM = {1, 1, 1, 0};

namespace {

constexpr uint8_t k_align = alignof(uint32_t);  // 1 on the 8-bit board, where structs have no gaps

/// The list's next field: its width, and where it lies in the struct.
class FieldWalk {
public:
    explicit FieldWalk(Fields fields) : fields_(fields), at_(0), width_(0) {}
    bool next() {
        at_ = static_cast<uint8_t>(at_ + width_);
        const uint8_t width = rom_u8(fields_++);
        width_ = static_cast<uint8_t>(width & ~k_unsent);
        is_sent_ = width == width_;
        if (k_align > 1 && width_ <= sizeof(uint32_t) && width_ != 0)
            at_ = static_cast<uint8_t>((at_ + width_ - 1) & ~(width_ - 1));
        return width_ != 0;
    }
    uint8_t at() const { return at_; }
    uint8_t width() const { return width_; }
    bool is_sent() const { return is_sent_; }

private:
    Fields fields_;
    uint8_t at_, width_;
    bool is_sent_;
};

}  // namespace

uint8_t put_message(uint8_t* to, uint8_t type, uint8_t id, Fields fields, const void* from,
                    const uint8_t* tail, uint8_t count) {
    to[0] = type;
    to[1] = id;
    uint8_t used = k_message_head;
    for (FieldWalk walk(fields); walk.next();) {
        if (!walk.is_sent()) continue;
        memcpy(to + used, static_cast<const uint8_t*>(from) + walk.at(), walk.width());
        used = static_cast<uint8_t>(used + walk.width());
    }
    if (count > k_message_max - used) count = static_cast<uint8_t>(k_message_max - used);
    if (count != 0) memcpy(to + used, tail, count);
    return static_cast<uint8_t>(used + count);
}

uint8_t get_fields(const uint8_t* body, uint8_t size, Fields fields, void* to) {
    uint8_t used = 0;
    for (FieldWalk walk(fields); walk.next();) {
        uint8_t* field = static_cast<uint8_t*>(to) + walk.at();
        memset(field, 0, walk.width());
        if (!walk.is_sent()) continue;
        if (walk.width() > size - used) return 0;
        memcpy(field, body + used, walk.width());
        used = static_cast<uint8_t>(used + walk.width());
    }
    return used;
}

}  // namespace wire
}  // namespace fettle
