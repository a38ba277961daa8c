#include "core/trace/report_shape.hpp"

#include "core/engine/report.hpp"

namespace fettle::trace {

using engine::EventKind;

ReportShape report_shape(const engine::Event& event) {
    const std::uint8_t size = event.data[1], id = event.data[2];
    if (event.kind != EventKind::report || size == 0) return ReportShape::none;
    if (event.data[0] == static_cast<std::uint8_t>(engine::Endpoint::keyboard)) return ReportShape::keyboard;
    if (size == engine::k_pointer_report_bytes) return ReportShape::mouse;
    if (size != engine::k_boot_mouse_report_bytes) return ReportShape::none;
    return id == engine::k_consumer_report_id ? ReportShape::consumer : ReportShape::boot_mouse;
}

Movement movement(const engine::Event& event) {
    const std::uint8_t* b = event.data + 2;
    Movement moved;
    switch (report_shape(event)) {
        case ReportShape::mouse:
            moved.x = static_cast<std::int16_t>(engine::get16(b + 2));
            moved.y = static_cast<std::int16_t>(engine::get16(b + 4));
            moved.wheel = static_cast<std::int8_t>(b[6]);
            moved.pan = static_cast<std::int8_t>(b[7]);
            break;
        case ReportShape::boot_mouse:
            moved.x = static_cast<std::int8_t>(b[1]);
            moved.y = static_cast<std::int8_t>(b[2]);
            break;
        case ReportShape::none:
        case ReportShape::keyboard:
        case ReportShape::consumer: break;
    }
    return moved;
}

}  // namespace fettle::trace
