#include "core/wire/outbox.hpp"

#include "core/wire/reply.hpp"

namespace fettle {
namespace wire {

void Outbox::reset() {
    clear(Channel::hid);
    clear(Channel::serial);
}

void Outbox::clear(Channel channel) {
    used_[index(channel)] = 0;
    release_waits_[index(channel)] = false;
}

bool Outbox::put(Channel channel, const uint8_t* message, uint8_t size) {
    if (!has_room(channel, size)) return false;
    uint8_t& used = used_[index(channel)];
    uint8_t* to = bytes_[index(channel)] + used;
    to[0] = size;
    memcpy(to + 1, message, size);
    used = static_cast<uint8_t>(used + 1 + size);
    return true;
}

void Outbox::put_release(Channel channel, uint8_t id) {
    release_id_[index(channel)] = id;
    release_waits_[index(channel)] = true;
}

uint8_t Outbox::take(Channel channel, uint8_t* to) {
    const uint8_t i = index(channel);
    if (release_waits_[i]) {
        release_waits_[i] = false;
        return put_reply(to, MessageType::release, release_id_[i]);
    }
    if (used_[i] == 0) return 0;
    uint8_t* from = bytes_[i];
    const uint8_t size = from[0];
    memcpy(to, from + 1, size);
    used_[i] = static_cast<uint8_t>(used_[i] - 1 - size);
    memmove(from, from + 1 + size, used_[i]);
    return size;
}

}  // namespace wire
}  // namespace fettle
