#pragma once
// Replies on their way to the host: a short queue a channel, each as large as the longest message, so that
// one channel that is not read never blocks the other.

#include "core/wire/message.hpp"

namespace fettle {
namespace wire {

enum class Channel : uint8_t { hid = 0, serial = 1 };
constexpr uint8_t k_channels = 2;

class Outbox {
public:
    void reset();
    void clear(Channel channel);
    /// True while a message of `size` has room.
    bool has_room(Channel channel, uint8_t size) const { return used_[index(channel)] + 1 + size <= k_room; }
    /// True when nothing waits: a message of any size has room.
    bool is_empty(Channel channel) const { return used_[index(channel)] == 0; }
    /// False: no room, nothing was queued.
    bool put(Channel channel, const uint8_t* message, uint8_t size);
    /// The reply to `release` has a place of its own, because `release` overtakes what waits. Only the newest
    /// is kept: a host that sends a second one before the first was answered has given the first up.
    void put_release(Channel channel, uint8_t id);
    /// The next message in order, 0: none.
    uint8_t take(Channel channel, uint8_t* to);

private:
    static uint8_t index(Channel channel) { return static_cast<uint8_t>(channel); }

    static constexpr uint8_t k_room = 1 + k_message_max;  // a length byte before each message
    uint8_t bytes_[k_channels][k_room];
    uint8_t used_[k_channels];
    uint8_t release_id_[k_channels];
    bool release_waits_[k_channels];
};

}  // namespace wire
}  // namespace fettle
