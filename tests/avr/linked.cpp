// The smallest program around the freestanding rooms: linked for the ATmega32U4 with everything that a board
// calls, so that its size is what a firmware would carry beside its own USB stack.
#include "core/wire/device.hpp"

using namespace fettle;

namespace {

wire::Device g_device;
volatile uint8_t g_port;  // what is read from here is unknown to the optimiser

bool read(void*, uint16_t at, uint8_t* to, uint8_t count) {
    for (uint8_t i = 0; i < count; ++i) to[i] = static_cast<uint8_t>(g_port + at);
    return g_port != 0;
}
bool write(void*, uint16_t, uint8_t byte) {
    g_port = byte;
    return true;
}
bool is_busy(void*) {
    return g_port != 0;
}

}  // namespace

int main() {
    const wire::Eeprom eeprom = {nullptr, read, write, is_busy};
    wire::DeviceIdentity identity = {};
    identity.boot_id = g_port;
    g_device.start(eeprom, identity, g_port);
    for (;;) {
        engine::TickInputs in = {};
        engine::Edge edge = {g_port, g_port, g_port};
        in.now_us = g_port;
        in.edges = &edge;
        in.edge_count = g_port;
        in.taken = g_port;
        in.commands = g_port;
        engine::TickOutputs out = {};
        g_device.tick(in, out);
        uint8_t message[wire::k_message_max];
        for (uint8_t i = 0; i < sizeof message; ++i) message[i] = g_port;
        g_device.receive(wire::Channel::hid, message, g_port, g_port);
        g_device.serial_byte(g_port, g_port);
        g_device.serial_dtr(g_port != 0);
        g_device.bad_frame();
        const uint8_t size = g_device.send(wire::Channel::hid, message, g_port);
        for (uint8_t i = 0; i < size; ++i) g_port = message[i];
        for (uint8_t i = 0; i < out.reports[0].size; ++i) g_port = out.reports[0].bytes[i];
        for (uint8_t i = 0; i < out.reports[1].size; ++i) g_port = out.reports[1].bytes[i];
    }
}
