#include "core/sim/ir_encode.hpp"

#include <utility>

namespace fettle::sim {

namespace {
using engine::IrFrame;
using engine::Protocol;
using Widths = std::vector<std::uint32_t>;

/// Timings of a protocol whose bits differ by their spaces.
struct SpaceCoded {
    std::uint32_t mark_us, zero_us, one_us;
};
constexpr SpaceCoded k_nec{563, 563, 1688};
constexpr SpaceCoded k_samsung{560, 560, 1690};
constexpr SpaceCoded k_jvc{525, 525, 1575};
constexpr SpaceCoded k_sharp{320, 680, 1680};

/// Appends `count` bits of `value`, least significant first, each a mark and its space.
void append_bits(Widths& widths, const SpaceCoded& coding, std::uint32_t value, int count) {
    for (int i = 0; i < count; ++i) {
        widths.push_back(coding.mark_us);
        widths.push_back((value >> i & 1) != 0 ? coding.one_us : coding.zero_us);
    }
}

Widths nec_shape(Widths leader, const SpaceCoded& coding, unsigned first, unsigned second, unsigned command) {
    const std::uint32_t bits =
        (first & 0xFF) | (second & 0xFF) << 8 | (command & 0xFF) << 16 | (~command & 0xFF) << 24;
    append_bits(leader, coding, bits, 32);
    leader.push_back(coding.mark_us);
    return leader;
}

Widths nec(const IrFrame& frame) {
    if (frame.repeat) return {9000, 2250, 563};
    return nec_shape({9000, 4500}, k_nec, frame.address, ~unsigned{frame.address}, frame.command);
}

Widths necx(const IrFrame& frame) {
    const unsigned first = frame.address >> 8, second = frame.address & 0xFF;
    if ((first ^ second) == 0xFF) return {};
    return nec_shape({9000, 4500}, k_nec, first, second, frame.command);
}

Widths jvc(const IrFrame& frame) {
    Widths widths;
    if (!frame.repeat) widths = {8400, 4200};
    append_bits(widths, k_jvc, frame.address, 8);
    append_bits(widths, k_jvc, frame.command, 8);
    widths.push_back(k_jvc.mark_us);
    return widths;
}

Widths sharp(const IrFrame& frame) {
    Widths widths;
    append_bits(widths, k_sharp, frame.address, 5);
    append_bits(widths, k_sharp, frame.command, 8);
    append_bits(widths, k_sharp, 1, 2);  // expansion 1, check 0
    widths.insert(widths.end(), {k_sharp.mark_us, 40000});
    append_bits(widths, k_sharp, frame.address, 5);
    append_bits(widths, k_sharp, ~std::uint32_t{frame.command}, 8);
    append_bits(widths, k_sharp, 2, 2);
    widths.push_back(k_sharp.mark_us);
    return widths;
}

Widths sirc(std::uint32_t value, int count) {
    Widths widths{2400};
    for (int i = 0; i < count; ++i) widths.insert(widths.end(), {600, (value >> i & 1) != 0 ? 1200u : 600u});
    return widths;
}

/// Joins halves of bits into runs.
class Halves {
public:
    void add(bool is_mark, std::uint32_t us) {
        if (widths_.empty() && !is_mark) return;  // silence before the first mark
        if (!widths_.empty() && is_mark == is_mark_) {
            widths_.back() += us;
        } else {
            widths_.push_back(us);
        }
        is_mark_ = is_mark;
    }
    void bit(bool first_half_is_mark, std::uint32_t half_us) {
        add(first_half_is_mark, half_us);
        add(!first_half_is_mark, half_us);
    }
    Widths take() {
        if (!widths_.empty() && !is_mark_) widths_.pop_back();
        return std::move(widths_);
    }

private:
    Widths widths_;
    bool is_mark_ = false;
};

unsigned toggle_bit(const IrFrame& frame) {
    return frame.toggle == 1 ? 1 : 0;
}

Widths rc5(const IrFrame& frame) {
    const unsigned field = (frame.command & 0x40) != 0 ? 0 : 1;
    const unsigned bits = 1u << 13 | field << 12 | toggle_bit(frame) << 11 | (frame.address & 0x1Fu) << 6 |
                          (frame.command & 0x3Fu);
    Halves halves;
    for (int i = 13; i >= 0; --i) halves.bit((bits >> i & 1) == 0, 889);
    return halves.take();
}

Widths rc6(const IrFrame& frame) {
    Halves halves;
    halves.add(true, 2667);
    halves.add(false, 889);
    const unsigned head = 8;  // start 1, mode 000
    for (int i = 3; i >= 0; --i) halves.bit((head >> i & 1) != 0, 444);
    halves.bit(toggle_bit(frame) != 0, 889);
    const unsigned data = (frame.address & 0xFFu) << 8 | (frame.command & 0xFFu);
    for (int i = 15; i >= 0; --i) halves.bit((data >> i & 1) != 0, 444);
    return halves.take();
}
}  // namespace

std::vector<std::uint32_t> encode(const engine::IrFrame& frame) {
    const std::uint32_t command = frame.command & 0x7Fu, address = frame.address;
    switch (frame.protocol) {
        case Protocol::nec: return nec(frame);
        case Protocol::necx: return necx(frame);
        case Protocol::samsung32:
            return nec_shape({4500, 4500}, k_samsung, frame.address, frame.address, frame.command);
        case Protocol::jvc: return jvc(frame);
        case Protocol::sharp: return sharp(frame);
        case Protocol::sirc12: return sirc(command | (address & 0x1F) << 7, 12);
        case Protocol::sirc15: return sirc(command | (address & 0xFF) << 7, 15);
        case Protocol::sirc20:
            return sirc(command | (address & 0x1F) << 7 | std::uint32_t{frame.extended} << 12, 20);
        case Protocol::rc5: return rc5(frame);
        case Protocol::rc6: return rc6(frame);
        case Protocol::none:
        case Protocol::unknown: break;
    }
    return {};
}

std::uint32_t period_us(engine::Protocol protocol) {
    switch (protocol) {
        case Protocol::nec:
        case Protocol::necx:
        case Protocol::samsung32: return 108000;
        case Protocol::rc5: return 113792;
        case Protocol::rc6: return 106667;
        case Protocol::sirc12:
        case Protocol::sirc15:
        case Protocol::sirc20: return 45000;
        case Protocol::jvc: return 55000;
        case Protocol::sharp: return 132000;
        case Protocol::none:
        case Protocol::unknown: break;
    }
    return 0;
}

std::uint32_t carrier_hz(engine::Protocol protocol) {
    switch (protocol) {
        case Protocol::nec:
        case Protocol::necx:
        case Protocol::samsung32:
        case Protocol::jvc:
        case Protocol::sharp: return 38000;
        case Protocol::rc5:
        case Protocol::rc6: return 36000;
        case Protocol::sirc12:
        case Protocol::sirc15:
        case Protocol::sirc20: return 40000;
        case Protocol::none:
        case Protocol::unknown: break;
    }
    return 0;
}

}  // namespace fettle::sim
