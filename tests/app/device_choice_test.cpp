#include "app/device_choice.hpp"

#include <doctest/doctest.h>

#include "app/words/sentences.hpp"

namespace fettle::app {
namespace {

const link::Attached k_first{
    link::ChannelKind::hid, "/dev/hidraw3", "A1", "Fettle access device", "1-1", "/dev/ttyACM0", true};
const link::Attached k_second{
    link::ChannelKind::hid, "/dev/hidraw5", "B2", "Fettle access device", "1-2", "", true};
const link::Attached k_shut{
    link::ChannelKind::hid, "/dev/hidraw7", "C3", "Fettle access device", "1-3", "", false};

Errc code_of(const link::Sight& sight, const std::string& which) {
    const auto chosen = choose_device(sight, which);
    REQUIRE_FALSE(chosen);
    return chosen.error().code;
}

}  // namespace

TEST_CASE(
    "device choice: with nothing named, none is the simulated one, 1 is it, 2 are listed and asked for") {
    CHECK(choose_device({}, "").value() == std::nullopt);
    CHECK(choose_device({{k_first}, {}}, "").value() == k_first);
    const auto several = choose_device({{k_first, k_second}, {}}, "");
    REQUIRE_FALSE(several);
    CHECK(several.error() == Error{Errc::duplicate, k_several_devices,
                                   "A1 in socket 1-1 (/dev/hidraw3), B2 in socket 1-2 (/dev/hidraw5)"});
    CHECK(code_of({{k_shut}, {}}, "") == Errc::no_access);
    CHECK(code_of({{k_first, k_shut}, {}}, "") == Errc::duplicate);
}

TEST_CASE("device choice: 3 names of each of 3 devices find it, sim is simulated whatever is attached") {
    const link::Sight all{{k_first, k_second, k_shut}, {}};
    for (const auto& one : {k_first, k_second})
        for (const std::string& name : {one.path, one.serial, one.place}) {
            CAPTURE(name);
            CHECK(choose_device(all, name).value() == one);
        }
    for (const std::string& name : {k_shut.path, k_shut.serial, k_shut.place})
        CHECK(code_of(all, name) == Errc::no_access);
    CHECK(choose_device(all, "sim").value() == std::nullopt);
    CHECK(choose_device({}, "sim").value() == std::nullopt);
}

TEST_CASE(
    "device choice: the path of the fallback is that channel alone, of an inaccessible HID channel, too") {
    link::Attached wanted = k_first;
    wanted.channel = link::ChannelKind::serial;
    wanted.path = "/dev/ttyACM0";
    wanted.fallback_path = "";
    link::Attached shut = k_first;
    shut.is_accessible = false;
    for (const auto& one : {k_first, shut})
        CHECK(choose_device({{one}, {}}, "/dev/ttyACM0").value() == wanted);
}

TEST_CASE("device choice: 2 devices with one serial number are told apart by path and place only") {
    link::Attached twin = k_second;
    twin.serial = "A1";
    const link::Sight twins{{k_first, twin}, {}};
    CHECK(code_of(twins, "A1") == Errc::duplicate);
    CHECK(choose_device(twins, "1-2").value() == twin);
    CHECK(choose_device(twins, "/dev/hidraw3").value() == k_first);
}

TEST_CASE("device choice: what is not there, and a stranger named by its place, are 2 errors") {
    const link::Sight sight{{k_first}, {{"1-4", "loader"}, {"1-5", ""}}};
    CHECK(choose_device(sight, "/dev/none").error() == Error{Errc::not_found, "/dev/none", ""});
    CHECK(choose_device(sight, "1-4").error() == Error{Errc::foreign, "loader", ""});
    CHECK(choose_device(sight, "1-5").error() == Error{Errc::foreign, "1-5", ""});
    // An empty serial number or place is no name of anything.
    link::Attached bare = k_first;
    bare.serial = bare.place = "";
    CHECK(choose_device({{bare, k_second}, {}}, "B2").value() == k_second);
}

}  // namespace fettle::app
