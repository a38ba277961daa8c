#include "core/wire/descriptors.hpp"

namespace fettle {
namespace wire {

// The first byte of an item is its tag, type and size; little-endian data follow.

const uint8_t k_keyboard_descriptor[k_keyboard_descriptor_bytes] FETTLE_ROM = {
    0x05, 0x01,        // usage page: generic desktop
    0x09, 0x06,        // usage: keyboard
    0xA1, 0x01,        // collection: application
    0x05, 0x07,        //   usage page: keyboard
    0x19, 0xE0,        //   modifiers: left control
    0x29, 0xE7,        //   to right GUI
    0x15, 0x00,        //   logical minimum 0
    0x25, 0x01,        //   logical maximum 1
    0x75, 0x01,        //   1 bit each
    0x95, 0x08,        //   8 of them
    0x81, 0x02,        //   input: variable
    0x75, 0x08,        //   8 bits
    0x95, 0x01,        //   once
    0x81, 0x01,        //   input: constant (reserved byte of the boot layout)
    0x05, 0x08,        //   usage page: LEDs
    0x19, 0x01,        //   num lock
    0x29, 0x05,        //   to kana
    0x75, 0x01,        //   1 bit each
    0x95, 0x05,        //   5 of them
    0x91, 0x02,        //   output: variable
    0x75, 0x03,        //   3 bits
    0x95, 0x01,        //   once
    0x91, 0x01,        //   output: constant
    0x05, 0x07,        //   usage page: keyboard
    0x19, 0x00,        //   none
    0x29, 0xA4,        //   to the last key of the page's first part
    0x26, 0xA4, 0x00,  //   logical maximum 164 (minimum is still 0)
    0x75, 0x08,        //   8 bits each
    0x95, 0x06,        //   6 of them
    0x81, 0x00,        //   input: array
    0xC0,              // end
};

const uint8_t k_pointer_descriptor[k_pointer_descriptor_bytes] FETTLE_ROM = {
    0x05, 0x01,        // usage page: generic desktop
    0x09, 0x02,        // usage: mouse
    0xA1, 0x01,        // collection: application
    0x85, 0x01,        //   report id 1
    0x09, 0x01,        //   usage: pointer
    0xA1, 0x00,        //   collection: physical
    0x05, 0x09,        //     usage page: buttons
    0x19, 0x01,        //     button 1
    0x29, 0x08,        //     to button 8
    0x15, 0x00,        //     logical minimum 0
    0x25, 0x01,        //     logical maximum 1
    0x75, 0x01,        //     1 bit each
    0x95, 0x08,        //     8 of them
    0x81, 0x02,        //     input: variable
    0x05, 0x01,        //     usage page: generic desktop
    0x09, 0x30,        //     X
    0x09, 0x31,        //     Y
    0x16, 0x01, 0x80,  //     logical minimum -32767
    0x26, 0xFF, 0x7F,  //     logical maximum 32767
    0x75, 0x10,        //     16 bits each
    0x95, 0x02,        //     2 of them
    0x81, 0x06,        //     input: variable, relative
    0x09, 0x38,        //     wheel
    0x15, 0x81,        //     logical minimum -127
    0x25, 0x7F,        //     logical maximum 127
    0x75, 0x08,        //     8 bits
    0x95, 0x01,        //     once
    0x81, 0x06,        //     input: variable, relative
    0x05, 0x0C,        //     usage page: consumer
    0x0A, 0x38, 0x02,  //     AC pan
    0x81, 0x06,        //     input: variable, relative
    0xC0,              //   end
    0xC0,              // end
    0x05, 0x0C,        // usage page: consumer
    0x09, 0x01,        // usage: consumer control
    0xA1, 0x01,        // collection: application
    0x85, 0x02,        //   report id 2
    0x15, 0x00,        //   logical minimum 0
    0x26, 0xFF, 0x03,  //   logical maximum 1023
    0x19, 0x00,        //   none
    0x2A, 0xFF, 0x03,  //   to usage 3FF
    0x75, 0x10,        //   16 bits
    0x95, 0x01,        //   one at a time
    0x81, 0x00,        //   input: array
    0xC0,              // end
};

const uint8_t k_raw_descriptor[k_raw_descriptor_bytes] FETTLE_ROM = {
    0x06, 0x8E, 0xFF,  // usage page: vendor-defined FF8E
    0x09, 0x01,        // usage 01
    0xA1, 0x01,        // collection: application
    0x85, 0x01,        //   report id 1
    0x15, 0x00,        //   logical minimum 0
    0x26, 0xFF, 0x00,  //   logical maximum 255
    0x75, 0x08,        //   8 bits each
    0x95, 0x3F,        //   63 of them: a length byte and 62 bytes
    0x19, 0x02,        //   usage 02: the length byte
    0x29, 0x40,        //   to usage 40: the last byte of the message
    0x81, 0x02,        //   input: variable
    0x19, 0x02,        //   the same
    0x29, 0x40,        //   the other way
    0x91, 0x02,        //   output: variable
    0xC0,              // end
};

}  // namespace wire
}  // namespace fettle
