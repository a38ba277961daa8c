#pragma once
/// What an infrared decoder says: one transmission of a remote. Freestanding C++14.
/// Values on the air: the consumer protocols as the Linux kernel's decoders read them
/// (Linux 6.1, drivers/media/rc; Documentation/userspace-api/media/rc/rc-protos.rst).

#include <stdint.h>

namespace fettle {
namespace engine {

enum class Protocol : uint8_t {
    none = 0,
    nec,
    necx,
    rc5,
    rc6,
    sirc12,
    sirc15,
    sirc20,
    jvc,
    samsung32,
    sharp,
    unknown
};

/// `toggle` of a protocol that has no toggle bit.
constexpr uint8_t k_no_toggle = 0xFF;

/// One decoded transmission.
/// `repeat`: the protocol itself says that the button is still held (NEC repeat frame, which has no address
/// and no command; JVC frame without leader).
/// `toggle`: 0 or 1 for RC-5 and RC-6, otherwise k_no_toggle.
/// `address`: nec, samsung32, jvc 8 bits (jvc: the byte that is sent first); necx 16 bits, the byte sent
/// first is the high one; rc5, sharp, sirc12, sirc20 5 bits; sirc15, rc6 8 bits. `command`: 7 bits for SIRC
/// and RC-5 (bit 6 is the inverted field bit), otherwise 8 bits. `extended`: the third field of sirc20,
/// otherwise 0. `signature`: only for Protocol::unknown, never 0 there.
struct IrFrame {
    Protocol protocol;
    bool repeat;
    uint8_t toggle;
    uint16_t address;
    uint16_t command;
    uint8_t extended;
    uint32_t signature;
};

/// The 32 bits by which a profile recognises a button, together with the protocol: extended << 24 |
/// address << 8 | command, or the signature. Toggle and repeat are left out. A NEC repeat frame gives 0.
uint32_t ir_code(const IrFrame& frame);

/// Makes `frame` one of `protocol`, with all other fields at rest.
void set_ir_frame(IrFrame& frame, Protocol protocol, uint16_t address, uint16_t command);
inline IrFrame make_ir_frame(Protocol protocol, uint16_t address, uint16_t command) {
    IrFrame frame;
    set_ir_frame(frame, protocol, address, command);
    return frame;
}

}  // namespace engine
}  // namespace fettle
