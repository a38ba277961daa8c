#include <doctest/doctest.h>

#include "app/words/udev_rule.hpp"
#include "core/engine/limits.hpp"
#include "tests/app/rig.hpp"
#include "tests/app/sockets.hpp"

// Commands with devices attached: which one they take, what they say of those that they cannot open.

namespace fettle::app::test {
namespace {

struct Attached : Rig {
    Attached() { world = &sockets; }
    Sockets sockets;
};

}  // namespace

TEST_CASE("attached: the only device is the one that is meant; the simulated one is named to be used") {
    Attached rig;
    rig.sockets.plug("/dev/hidraw3", "A1", "1-1");
    CHECK(rig.run({"write", demo_profile("volunteer"), "--agree", "--leave"}).exit == 0);
    CHECK(rig.sockets.opened.size() == 1);
    CHECK(has(rig.json({"info"}), R"("runs_built_in":false,)"));
    CHECK(has(rig.json({"info", "--device", "sim"}), R"("runs_built_in":true,)"));
    CHECK(rig.run({"keep", "--helper-answers-for-it", "--device", "1-1"}).exit == 0);
    CHECK(has(rig.json({"info", "--device", "A1"}), R"("trial":{"phase":"kept",)"));
}

TEST_CASE("attached: staying with the trial of a real device lets no time pass on it") {
    Attached rig;
    rig.sockets.plug("/dev/hidraw3", "A1", "1-1");
    const Run ran = rig.run({"write", demo_profile("volunteer"), "--agree"}, "\n\nrevert\n", 20000);
    CHECK(count(ran.out, "On trial, 60 s left") == 3);
    CHECK(has(ran.out, "Reverted"));
}

TEST_CASE(
    "attached: of 2 devices none is taken by itself; each is by serial number, and keeps its own profile") {
    Attached rig;
    rig.sockets.plug("/dev/hidraw3", "A1", "1-1");
    rig.sockets.plug("/dev/hidraw5", "B2", "1-2");
    const Run ran = rig.run({"info"});
    CHECK(ran.exit == 1);
    CHECK(ran.err ==
          "Several devices are attached: A1 in socket 1-1 (/dev/hidraw3), B2 in socket 1-2 (/dev/hidraw5). "
          "Say which "
          "one with --device: its path, serial number or place.\n");
    CHECK(rig.sockets.opened.empty());
    CHECK(rig.run({"write", demo_profile("volunteer"), "--agree", "--leave", "--device", "B2"}).exit == 0);
    CHECK(has(rig.json({"info", "--device", "A1"}), R"("runs_built_in":true,)"));
    CHECK(has(rig.json({"info", "--device", "/dev/hidraw5"}), R"("runs_built_in":false,)"));
}

TEST_CASE("attached: no right to open it, and held by another program, are a sentence each") {
    Attached rig;
    rig.sockets.plug("/dev/hidraw3", "A1", "1-1").is_accessible = false;
    Run ran = rig.run({"info"});
    CHECK(ran.exit == 1);
    CHECK(ran.err.starts_with(
        "The system does not let you open /dev/hidraw3: the udev rule for it is missing."));
    CHECK(has(ran.err, "`fettle devices --rule`"));
    CHECK(rig.sockets.opened.empty());
    rig.sockets.sight.devices[0].is_accessible = true;
    rig.sockets.holders["/dev/hidraw3"] = "process 1234";
    ran = rig.run({"info"});
    CHECK(ran.exit == 1);
    CHECK(ran.err ==
          "Another program has /dev/hidraw3 open: process 1234. Close that program, then try again.\n");
}

TEST_CASE(
    "attached: beside a stranger, and when the look fails, the simulated device is used, and that is said") {
    Attached rig;
    rig.sockets.sight.strangers.push_back({"1-4", "loader"});
    Run ran = rig.run({"info"});
    CHECK(ran.exit == 0);
    CHECK(ran.err.starts_with("loader runs something else than Fettle's firmware."));
    CHECK(ran.err.ends_with(" The simulated device is used.\n"));
    CHECK(rig.run({"info", "--device", "sim"}).err.empty());
    CHECK(rig.run({"info", "--device", "1-4"}).exit == 1);
    rig.sockets.blind = Error{Errc::io, "udev", "no such folder"};
    ran = rig.run({"info"});
    CHECK(ran.exit == 0);
    CHECK(ran.err == "udev failed: no such folder. The simulated device is used.\n");
    CHECK(rig.run({"info", "--device", "A1"}).exit == 1);
    CHECK(rig.run({"devices"}).exit == 1);
}

TEST_CASE(
    "attached: devices lists each with its ways, serial number, nodes and socket, and what hinders it") {
    Attached rig;
    rig.sockets.plug("/dev/hidraw3", "A1", "1-1").fallback_path = "/dev/ttyACM0";
    rig.sockets.plug("/dev/hidraw5", "B2", "1-2").is_accessible = false;
    rig.sockets.plug("/dev/hidraw7", "C3", "1-3");
    rig.sockets.holders["/dev/hidraw7"] = "process 1234";
    rig.sockets.sight.strangers.push_back({"1-4", "loader"});
    const Run ran = rig.run({"devices"});
    CHECK(ran.exit == 0);
    CHECK(ran.err.empty());
    CHECK(ran.out.starts_with(
        "hid+serial A1         Fettle access device  (/dev/hidraw3, /dev/ttyACM0; socket 1-1)\n"
        "hid        B2         Fettle access device  (/dev/hidraw5; socket 1-2)\n"
        "           The system does not let you open /dev/hidraw5: "));
    CHECK(
        has(ran.out,
            "(/dev/hidraw7; socket 1-3)\n           Another program has /dev/hidraw7 open: process 1234. "));
    CHECK(
        has(ran.out,
            "simulated  SIM00001   simulated device  (sim)\nloader in socket 1-4 runs something else than "));
    CHECK(rig.sockets.opened.empty());
    const std::string answer = rig.json({"devices"});
    CHECK(answer.starts_with(R"({"devices":[{"channel":"hid","serial":"A1","product":"Fettle access device",)"
                             R"("path":"/dev/hidraw3","fallback_path":"/dev/ttyACM0","place":"1-1",)"
                             R"("is_accessible":true,"held_by":null},)"));
    CHECK(has(answer, R"("path":"/dev/hidraw5","fallback_path":"","place":"1-2","is_accessible":false,)"));
    CHECK(has(answer, R"("held_by":"process 1234"})"));
    CHECK(answer.ends_with(R"("strangers":[{"place":"1-4","product":"loader"}]})"));
}

TEST_CASE("attached: nothing real is 1 sentence about a cable that carries power only, on the other stream") {
    Attached rig;
    const Run ran = rig.run({"devices"});
    CHECK(ran.exit == 0);
    CHECK(count(ran.out, "\n") == 1);
    CHECK(ran.err ==
          "No device is attached. If a lamp on the device is lit, the cable may carry power only: try "
          "another one.\n");
}

TEST_CASE("attached: with nothing attached the simulated device stands in, and every command says so") {
    Attached rig;
    const std::string said = "No device is attached. The simulated device is used.\n";
    CHECK(rig.run({"info"}).err == said);
    CHECK(rig.run({"release"}).err == said);
    CHECK(rig.run({"write", demo_profile("volunteer"), "--agree", "--leave"}).err == said);
    CHECK(rig.run({"info", "--device", "sim"}).err.empty());
    CHECK(rig.run({"info", "--device", "A1"}).err ==
          "A1 was not found. `fettle devices` lists what is attached.\n");
    rig.sockets.plug("/dev/hidraw3", "A1", "1-1");
    CHECK(rig.run({"info"}).err.empty());
}

TEST_CASE("attached: devices --rule prints the rule byte for byte, and says beside it where it goes") {
    Rig rig;
    const std::string rule = rig.content(FETTLE_ROOT "/assets/udev/70-fettle.rules");
    REQUIRE(rule.size() > 200);
    const Run ran = rig.run({"devices", "--rule"});
    CHECK(ran.exit == 0);
    CHECK(ran.out == rule);
    for (const char* part : {"/etc/udev/rules.d/70-fettle.rules", "udevadm control --reload",
                             "udevadm trigger", "plug the device in again", "nobody else"}) {
        CAPTURE(part);
        CHECK(has(ran.err, part));
    }
    CHECK(has(rig.json({"devices", "--rule"}), R"("place":"/etc/udev/rules.d/70-fettle.rules")"));
    CHECK(std::string(k_udev_rule) == rule);
}

TEST_CASE(
    "attached: the rule names this contract's ids, grants the seated user alone, and comes before the "
    "seat's") {
    // Source: systemd's 70-uaccess.rules and 73-seat-late.rules: the tag is read at 73.
    const std::string rule = k_udev_rule;
    CHECK(std::string(k_udev_rule_place).ends_with("/70-fettle.rules"));
    CHECK(count(rule, "TAG+=\"uaccess\"") == 2);
    CHECK(has(rule, "SUBSYSTEM==\"hidraw\""));
    CHECK(has(rule, "SUBSYSTEM==\"tty\""));
    CHECK(count(rule, "{idVendor}==\"1209\"") == 3);  // core/wire/usb_descriptors.hpp
    CHECK(count(rule, "{idProduct}==\"0001\"") == 3);
    CHECK_FALSE(has(rule, "MODE"));
    CHECK_FALSE(has(rule, "GROUP"));
    CHECK_FALSE(has(rule, "RUN"));
}

}  // namespace fettle::app::test
