#include "core/engine/typing.hpp"

namespace fettle {
namespace engine {

namespace {
constexpr uint8_t k_typed = 0;
constexpr uint8_t k_begins = 1;
constexpr uint8_t k_cut_short = 2;
}  // namespace

void Typing::reset() {
    at_ = 0;
    end_ = 0;
    wait_ms_ = 0;
    text_ = 0;
}

void Typing::begin(uint8_t text, uint32_t now_us, const EventSink& sink) {
    cut(now_us, sink);
    text_ = static_cast<uint8_t>(text + 1u);
    emit(sink, now_us, EventKind::text, text, k_begins);
}

void Typing::cut(uint32_t now_us, const EventSink& sink) {
    if (text_ == 0) return;
    emit(sink, now_us, EventKind::text, static_cast<uint8_t>(text_ - 1u), k_cut_short);
    reset();
}

void Typing::tick(const Setup& setup, Output& output, uint8_t leds, uint32_t now_us, const EventSink& sink) {
    if (text_ == 0) return;
    if (wait_ms_ > 0) --wait_ms_;
    if (at_ == 0 && !find(setup)) return;
    if (output.is_busy()) return;
    if (at_ >= end_) {
        emit(sink, now_us, EventKind::text, static_cast<uint8_t>(text_ - 1u), k_typed);
        reset();
        return;
    }
    if (wait_ms_ == 0) type(setup, output, leds);
}

/// The image's check lets no text through that there is not; nothing would be typed.
bool Typing::find(const Setup& setup) {
    uint16_t at;
    uint8_t length;
    if (!setup.find_record(setup.texts, static_cast<uint8_t>(text_ - 1u), at, length)) return false;
    at_ = at;
    end_ = static_cast<uint16_t>(at + length);
    return true;
}

void Typing::type(const Setup& setup, Output& output, uint8_t leds) {
    Stroke stroke = {0, 0, 0};
    if (!read_stroke(setup.storage, at_, stroke)) return;
    const Stroke sent = (leds & k_led_caps) != 0 ? against_caps_lock(stroke) : stroke;
    if (sent.usage != 0 && !output.tap_keys(sent.modifiers, sent.usage)) return;
    at_ = static_cast<uint16_t>(at_ + stroke.size);
    wait_ms_ = setup.stroke_gap_ms;
}

}  // namespace engine
}  // namespace fettle
