#include "core/engine/event.hpp"

#include "core/engine/rom.hpp"

namespace fettle {
namespace engine {

namespace {

/// Payload bytes by kind.
const uint8_t k_sizes[] FETTLE_ROM = {0, 2, 6, 1, 2, 2, 2, 4, 3, 2, 5, 10, 1,
                                      2, 1, 2, 1, 5, 2, 1, 2, 1, 2, 1, 9};
static_assert(sizeof k_sizes == static_cast<uint8_t>(EventKind::snapshot) + 1, "a size for each kind");

}  // namespace

FETTLE_SHARED uint8_t event_size(EventKind kind) {
    const uint8_t at = static_cast<uint8_t>(kind);
    return at < sizeof k_sizes ? rom_u8(k_sizes + at) : static_cast<uint8_t>(0);
}

void emit_bytes(const EventSink& sink, uint32_t at_us, EventKind kind, const uint8_t* data, uint8_t count) {
    if (sink.put == nullptr) return;
    Event event = {at_us, kind, {}};
    memcpy(event.data, data, count);
    sink.put(sink.owner, event);
}

FETTLE_SHARED void emit(const EventSink& sink, uint32_t at_us, EventKind kind, uint8_t d0, uint8_t d1) {
    const uint8_t data[] = {d0, d1};
    emit_bytes(sink, at_us, kind, data, sizeof data);
}

}  // namespace engine
}  // namespace fettle
