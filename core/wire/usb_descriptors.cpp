#include "core/wire/usb_descriptors.hpp"

namespace fettle {
namespace wire {

namespace {

constexpr uint8_t low(uint16_t v) noexcept {
    return static_cast<uint8_t>(v & 0xFF);
}
constexpr uint8_t high(uint16_t v) noexcept {
    return static_cast<uint8_t>(v >> 8);
}

// Descriptor types. USB 2.0, table 9-5; interface association ECN; HID 1.11, 7.1; CDC 1.2, table 12.
constexpr uint8_t k_type_device = 0x01, k_type_configuration = 0x02, k_type_interface = 0x04;
constexpr uint8_t k_type_endpoint = 0x05, k_type_association = 0x0B;
constexpr uint8_t k_type_hid = 0x21, k_type_report = 0x22, k_type_class_interface = 0x24;

constexpr uint8_t k_interrupt = 0x03, k_bulk = 0x02;
constexpr uint8_t k_every_frame = 1;
constexpr uint8_t k_hid_class = 0x03, k_boot_subclass = 0x01;
constexpr uint8_t k_cdc_class = 0x02, k_cdc_data_class = 0x0A, k_abstract_control_model = 0x02;

}  // namespace

const uint8_t k_device_descriptor[k_device_descriptor_bytes] FETTLE_ROM = {
    k_device_descriptor_bytes,
    k_type_device,
    0x00,
    0x02,  // USB 2.0
    0xEF,
    0x02,
    0x01,  // functions are told by interface associations (ECN of 2003)
    k_control_packet,
    low(k_usb_vendor),
    high(k_usb_vendor),
    low(k_usb_product),
    high(k_usb_product),
    low(k_descriptor_release_bcd),
    high(k_descriptor_release_bcd),
    k_maker_string,
    k_product_string,
    k_serial_string,
    1,  // configurations
};

// clang-format off
#define FETTLE_HID_FUNCTION(interface, subclass, protocol, report_bytes, endpoint, packet)              \
    9, k_type_interface, interface, 0, 1, k_hid_class, subclass, protocol, 0,                           \
    9, k_type_hid, 0x11, 0x01, 0, 1, k_type_report, low(report_bytes), high(report_bytes),              \
    7, k_type_endpoint, endpoint, k_interrupt, packet, 0, k_every_frame

const uint8_t k_configuration_descriptor[k_configuration_descriptor_bytes] FETTLE_ROM = {
    9, k_type_configuration,
    low(k_configuration_descriptor_bytes), high(k_configuration_descriptor_bytes),
    k_interfaces,
    1,     // its number
    0,     // no name
    0xA0,  // from the bus's power, can wake the computer
    50,    // 100 mA, in units of 2

    FETTLE_HID_FUNCTION(k_keyboard_interface, k_boot_subclass, 1, k_keyboard_descriptor_bytes,
                        k_keyboard_endpoint, k_keyboard_packet),
    FETTLE_HID_FUNCTION(k_pointer_interface, k_boot_subclass, 2, k_pointer_descriptor_bytes,
                        k_pointer_endpoint, k_pointer_packet),
    FETTLE_HID_FUNCTION(k_raw_interface, 0, 0, k_raw_descriptor_bytes, k_raw_endpoint, k_raw_packet),

    8, k_type_association, k_serial_interface, 2, k_cdc_class, k_abstract_control_model, 0, 0,
    9, k_type_interface, k_serial_interface, 0, 1, k_cdc_class, k_abstract_control_model, 0, 0,
    5, k_type_class_interface, 0x00, 0x20, 0x01,                  // header: CDC 1.20
    5, k_type_class_interface, 0x01, 0x00, k_serial_data_interface,  // no call management
    4, k_type_class_interface, 0x02, 0x02,                        // line coding and control line state
    5, k_type_class_interface, 0x06, k_serial_interface, k_serial_data_interface,  // union
    7, k_type_endpoint, k_serial_notice_endpoint, k_interrupt, k_serial_notice_packet, 0, 16,
    9, k_type_interface, k_serial_data_interface, 0, 2, k_cdc_data_class, 0, 0, 0,
    7, k_type_endpoint, k_serial_out_endpoint, k_bulk, k_serial_packet, 0, 0,
    7, k_type_endpoint, k_serial_in_endpoint, k_bulk, k_serial_packet, 0, 0,
};
#undef FETTLE_HID_FUNCTION
// clang-format on

const char k_maker_text[k_maker_text_bytes] FETTLE_ROM = {'F', 'e', 't', 't', 'l', 'e'};
const char k_product_text[k_product_text_bytes] FETTLE_ROM = {
    'F', 'e', 't', 't', 'l', 'e', ' ', 'a', 'c', 'c', 'e', 's', 's', ' ', 'd', 'e', 'v', 'i', 'c', 'e'};

}  // namespace wire
}  // namespace fettle
