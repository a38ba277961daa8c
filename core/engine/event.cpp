#include "core/engine/event.hpp"

namespace fettle {
namespace engine {

uint8_t event_size(EventKind kind) {
    switch (kind) {
        case EventKind::none: return 0;
        case EventKind::edge: return 2;
        case EventKind::ir_frame: return 6;
        case EventKind::ir_noise: return 1;
        case EventKind::ir_lost: return 2;
        case EventKind::level: return 2;
        case EventKind::press: return 2;
        case EventKind::gesture: return 4;
        case EventKind::action: return 3;
        case EventKind::mode: return 2;
        case EventKind::held: return 5;
        case EventKind::report: return 10;
        case EventKind::taken: return 1;
        case EventKind::drag_broken: return 2;
        case EventKind::released: return 1;
        case EventKind::scale: return 2;
        case EventKind::variant: return 1;
        case EventKind::trial: return 5;
        case EventKind::text: return 2;
        case EventKind::leds: return 1;
        case EventKind::lost: return 2;
        case EventKind::fault: return 1;
        case EventKind::grid: return 2;
        case EventKind::unread: return 1;
        case EventKind::snapshot: return 9;
    }
    return 0;
}

void emit(const EventSink& sink, uint32_t at_us, EventKind kind, uint8_t d0, uint8_t d1, uint8_t d2,
          uint8_t d3, uint8_t d4) {
    if (sink.put == nullptr) return;
    Event event = {at_us, kind, {d0, d1, d2, d3, d4, 0, 0, 0, 0, 0}};
    sink.put(sink.owner, event);
}

}  // namespace engine
}  // namespace fettle
