// fettle devices: what is attached.

#include <fmt/format.h>

#include <array>

#include "app/device_door.hpp"
#include "app/program.hpp"

namespace fettle::app {

Exit run_devices(const Program& program, const DevicesArgs&) {
    static constexpr std::array k_channels = {"simulated", "hid", "serial"};
    Answer answer = Answer::array();
    std::string lines;
    for (const auto& device : attached_devices()) {
        const char* channel = k_channels.at(static_cast<std::size_t>(device.channel));
        lines += fmt::format("{:<10} {:<10} {}  ({})\n", channel, device.serial, device.product, device.path);
        answer.push(Answer::object()
                        .add("channel", channel)
                        .add("serial", device.serial)
                        .add("product", device.product)
                        .add("path", device.path));
    }
    return program.answer(answer, lines);
}

}  // namespace fettle::app
