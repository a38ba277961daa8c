// A computer that starts up reads keyboard and pointer in boot protocol: done here as such a program does,
// with the kernel's own drivers taken off the two interfaces.
// Source: HID 1.11, 7.2.6 and appendix B; Linux, usbdevice_fs.h.

#include <doctest/doctest.h>

#include <fcntl.h>
#include <linux/usbdevice_fs.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <cstdio>

#include "tests/rig_kernel/outputs_image.hpp"
#include "tests/rig_kernel/rig.hpp"

using namespace fettle;
using namespace fettle::rig;

namespace {

/// The device's two boot interfaces without their drivers, which come back at the end.
class Firmware {
public:
    explicit Firmware(const Cable& cable) {
        const std::string device = "/sys/bus/usb/devices/" + cable.place();
        char path[64];
        std::snprintf(path, sizeof path, "/dev/bus/usb/%03d/%03d", std::stoi(sysfs_line(device + "/busnum")),
                      std::stoi(sysfs_line(device + "/devnum")));
        file_ = open(path, O_RDWR | O_CLOEXEC);
        REQUIRE(file_ >= 0);
        for (const unsigned interface : {0u, 1u}) {
            usbdevfs_ioctl order{static_cast<int>(interface), USBDEVFS_DISCONNECT, nullptr};
            REQUIRE(ioctl(file_, USBDEVFS_IOCTL, &order) >= 0);
            unsigned number = interface;
            REQUIRE(ioctl(file_, USBDEVFS_CLAIMINTERFACE, &number) == 0);
        }
    }
    ~Firmware() {
        for (const unsigned interface : {0u, 1u}) {
            unsigned number = interface;
            ioctl(file_, USBDEVFS_RELEASEINTERFACE, &number);
            usbdevfs_ioctl order{static_cast<int>(interface), USBDEVFS_CONNECT, nullptr};
            ioctl(file_, USBDEVFS_IOCTL, &order);
        }
        close(file_);
    }
    Firmware(const Firmware&) = delete;
    Firmware& operator=(const Firmware&) = delete;

    /// -1: refused.
    int set_protocol(std::uint16_t interface, std::uint16_t protocol) const {
        usbdevfs_ctrltransfer order{0x21, 0x0B, protocol, interface, 0, 1000, nullptr};
        return ioctl(file_, USBDEVFS_CONTROL, &order);
    }
    int protocol(std::uint16_t interface) const {
        std::uint8_t answer = 0xFF;
        usbdevfs_ctrltransfer order{0xA1, 0x03, 0, interface, 1, 1000, &answer};
        return ioctl(file_, USBDEVFS_CONTROL, &order) == 1 ? answer : -1;
    }
    /// The next report of an endpoint, in hexadecimal; "": none within 5 s.
    std::string report(std::uint8_t endpoint) const {
        std::uint8_t bytes[64];
        usbdevfs_bulktransfer order{endpoint, sizeof bytes, 5000, bytes};
        const int got = ioctl(file_, USBDEVFS_BULK, &order);
        std::string text;
        for (int i = 0; i < got; ++i) {
            char digits[4];
            std::snprintf(digits, sizeof digits, "%02x ", bytes[i]);
            text += digits;
        }
        return text;
    }

private:
    int file_ = -1;
};

void press(Cable& cable, std::uint8_t line) {
    cable.with(
        [&](sim::SimDevice& device) { device.hands().press_switch(line, device.now_us() + 1000, 60); });
}

}  // namespace

TEST_CASE("boot protocol: the pointer's reports are 3 bytes, the keyboard's 8; the volume key is not sent") {
    Cable& cable = fresh_cable();
    {
        const Grabbed inputs(cable.nodes());
        REQUIRE(hid_session(cable)->push(outputs_image(), 600).has_value());
        settle(cable, 100);  // what a new profile lets go of is read
    }
    const News news;
    {
        const Firmware firmware(cable);
        CHECK(firmware.protocol(wire::k_pointer_interface) == 1);
        REQUIRE(firmware.set_protocol(wire::k_pointer_interface, 0) == 0);
        REQUIRE(firmware.set_protocol(wire::k_keyboard_interface, 0) == 0);
        CHECK(firmware.protocol(wire::k_pointer_interface) == 0);
        CHECK(firmware.set_protocol(wire::k_raw_interface, 0) == -1);
        cable.pass_ms(50);
        press(cable, k_volume);  // first: nothing of it may stand before the button's reports
        cable.pass_ms(300);
        press(cable, k_button);
        CHECK(firmware.report(wire::k_pointer_endpoint) == "01 00 00 ");
        CHECK(firmware.report(wire::k_pointer_endpoint) == "00 00 00 ");
        press(cable, k_shift_a);
        CHECK(firmware.report(wire::k_keyboard_endpoint) == "02 00 04 00 00 00 00 00 ");
        CHECK(firmware.report(wire::k_keyboard_endpoint) == "00 00 00 00 00 00 00 00 ");
        REQUIRE(firmware.set_protocol(wire::k_pointer_interface, 1) == 0);
        press(cable, k_button);
        CHECK(firmware.report(wire::k_pointer_endpoint) == "01 01 00 00 00 00 00 00 ");
        CHECK(firmware.report(wire::k_pointer_endpoint) == "01 00 00 00 00 00 00 00 ");
        REQUIRE(firmware.set_protocol(wire::k_keyboard_interface, 1) == 0);
    }
    CHECK(news.wait_until([&] { return cable.nodes().are_all_there(); }));
}
