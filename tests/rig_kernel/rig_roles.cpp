// What another process of the rig does: a program that is killed, one that holds a device.

#include <unistd.h>

#include <cstdio>

#include "core/link/framed_link.hpp"
#include "core/link/opening.hpp"
#include "core/link/ports.hpp"
#include "tests/rig_kernel/rig.hpp"

namespace fettle::rig {

namespace {

int said(const char* what, const Error& error) {
    std::printf("%s: error %d %s\n", what, static_cast<int>(error.code), error.detail.c_str());
    return 1;
}

/// Says how far it is, and stops half-way until it is killed.
int push_half(const std::string& node) {
    auto port = link::open_hid_port(node, real_clock());
    if (!port) return said("open", port.error());
    auto session = link::Session::open(std::make_unique<link::HidLink>(std::move(*port)));
    if (!session) return said("greet", session.error());
    const auto pushed = (*session)->push(test::plain_image(2), 0, [](std::size_t done, std::size_t whole) {
        if (done * 2 < whole) return true;
        std::puts("half");
        pause();
        return true;
    });
    return pushed ? 0 : said("push", pushed.error());
}

int hold(const link::Attached& attached, const std::string& claims) {
    auto link = link::open_device(attached, claims, real_clock());
    if (!link) return said("open", link.error());
    std::puts("held");
    pause();
    return 0;
}

int hold_serial(const std::string& node) {
    auto port = link::open_serial_port(node, real_clock());
    if (!port) return said("open", port.error());
    std::puts("held");
    pause();
    return 0;
}

}  // namespace

int run_as(const std::string& role, const std::vector<std::string>& arguments) {
    if (role == "push" && arguments.size() == 1) return push_half(arguments[0]);
    if (role == "hold_serial" && arguments.size() == 1) return hold_serial(arguments[0]);
    if (role == "hold" && arguments.size() == 2) {
        const auto attached = attached_at(arguments[0]);
        return attached ? hold(*attached, arguments[1]) : 1;
    }
    std::fprintf(stderr, "no such role: %s\n", role.c_str());
    return 2;
}

}  // namespace fettle::rig
