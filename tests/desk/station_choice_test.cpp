// Which device is opened, of any that are attached.

#include "app/desk/station_choice.hpp"

#include <doctest/doctest.h>

using namespace fettle;
using namespace fettle::app;
using link::Attached;
using link::ChannelKind;

namespace {

Attached device(const char* serial, const char* place, const char* path, bool is_accessible = true) {
    Attached a;
    a.channel = ChannelKind::hid;
    a.serial = serial;
    a.place = place;
    a.path = path;
    a.fallback_path = std::string(path) + "-tty";
    a.is_accessible = is_accessible;
    return a;
}

Attached simulated(const char* path = "sim") {
    return {ChannelKind::simulated, path, "SIM00001", "simulated"};
}

std::string opened(const std::vector<Attached>& found, const Wanted& wanted) {
    const Choice choice = choose(found, wanted);
    CHECK_FALSE((choice.open && choice.barred));
    return choice.open ? choice.open->path : "-";
}

std::string barred(const std::vector<Attached>& found, const Wanted& wanted) {
    const Choice choice = choose(found, wanted);
    return choice.barred ? choice.barred->path : "-";
}

Wanted pinned_to(const Attached& a) {
    return {"", a, {}};
}

}  // namespace

TEST_CASE("choice: what there is: a real device before the simulated one, an open one before a barred one") {
    const auto barred_one = device("A", "1-1", "h0", false), open_one = device("B", "1-2", "h1");
    CHECK(opened({}, {}) == "-");
    CHECK(opened({simulated()}, {}) == "sim");
    CHECK(opened({simulated(), open_one}, {}) == "h1");
    CHECK(opened({barred_one, open_one, simulated()}, {}) == "h1");
    CHECK(opened({barred_one, simulated()}, {}) == "-");
    CHECK(barred({barred_one, simulated()}, {}) == "h0");
    CHECK(barred({barred_one, open_one}, {}) == "-");
    // Of two that can be opened the person chooses one.
    const auto other = device("C", "1-3", "h2");
    CHECK(opened({open_one, other, simulated()}, {}) == "-");
    CHECK(barred({open_one, other, barred_one, simulated()}, {}) == "-");
}

TEST_CASE("choice: by path, by the path of a fallback, by serial number") {
    const auto a = device("A", "1-1", "h0"), b = device("B", "1-2", "h1"),
               c = device("C", "1-3", "h2", false);
    const std::vector<Attached> found = {a, b, c, simulated(), simulated("sim:serial")};
    CHECK(opened(found, {"h1", {}}) == "h1");
    CHECK(opened(found, {"B", {}}) == "h1");
    CHECK(opened(found, {"sim:serial", {}}) == "sim:serial");
    CHECK(opened(found, {"D", {}}) == "-");
    CHECK(opened(found, {"1-1", {}}) == "h0");
    CHECK(barred(found, {"1-3", {}}) == "h2");
    CHECK(barred(found, {"h2", {}}) == "h2");
    CHECK(barred(found, {"C", {}}) == "h2");
    const auto serial = choose(found, {"h1-tty", {}}).open.value();
    CHECK(serial.channel == ChannelKind::serial);
    CHECK(serial.path == "h1-tty");
    CHECK(serial.fallback_path.empty());
    CHECK(serial.serial == "B");
    CHECK(opened(found, {"h2-tty", {}}) == "h2-tty");  // the other channel's rights are not this one's
    CHECK(opened({device("A", "1-1", "h0", false), device("A", "1-2", "h3")}, {"A", {}}) == "h3");
}

TEST_CASE("choice: a pinned device is the one with its serial number, at any node, place and channel") {
    const auto pinned = device("A", "1-1", "h0");
    CHECK(opened({device("B", "1-1", "h0"), device("A", "1-1", "h5")}, pinned_to(pinned)) == "h5");
    CHECK(opened({device("B", "1-1", "h0"), device("A", "2-4", "h5")}, pinned_to(pinned)) == "h5");
    auto only_serial = device("A", "1-1", "tty3");
    only_serial.channel = ChannelKind::serial;
    CHECK(opened({only_serial}, pinned_to(pinned)) == "tty3");
    CHECK(barred({device("A", "2-4", "h5", false)}, pinned_to(pinned)) == "h5");
}

TEST_CASE("choice: one pinned by its serial port comes back by that where its other channel is barred") {
    auto pinned = device("A", "1-1", "h0-tty");
    pinned.channel = ChannelKind::serial;
    pinned.fallback_path.clear();
    const auto barred_one = device("A", "1-1", "h0", false);
    CHECK(opened({barred_one}, pinned_to(pinned)) == "h0-tty");
    CHECK(choose({barred_one}, pinned_to(pinned)).open->channel == ChannelKind::serial);
    CHECK(opened({device("A", "2-4", "h5", false)}, pinned_to(pinned)) == "h5-tty");
    CHECK(opened({device("A", "1-1", "h0")}, pinned_to(pinned)) == "h0");
    CHECK(barred({barred_one}, pinned_to(device("A", "1-1", "h0"))) == "h0");
    auto without = barred_one;
    without.fallback_path.clear();
    CHECK(barred({without}, pinned_to(pinned)) == "h0");
}

TEST_CASE("choice: a pinned device that changed its serial number, or has none any more, is another device") {
    const auto pinned = device("A", "1-1", "h0");
    CHECK(opened({device("B", "1-1", "h0")}, pinned_to(pinned)) == "-");
    CHECK(opened({device("", "1-1", "h0")}, pinned_to(pinned)) == "-");
    CHECK(opened({simulated()}, pinned_to(pinned)) == "-");
    auto simulated_a = simulated();
    simulated_a.serial = "A";
    CHECK(opened({simulated_a}, pinned_to(pinned)) == "-");
}

TEST_CASE("choice: a pinned device without a serial number is the one without at its place") {
    const auto pinned = device("", "1-1", "h0");
    CHECK(opened({device("", "1-2", "h0"), device("", "1-1", "h7")}, pinned_to(pinned)) == "h7");
    CHECK(opened({device("", "1-2", "h0")}, pinned_to(pinned)) == "-");
    CHECK(opened({device("A", "1-1", "h0")}, pinned_to(pinned)) == "-");
    const auto placeless = device("", "", "h0");
    CHECK(opened({placeless}, pinned_to(placeless)) == "h0");
    CHECK(opened({device("", "", "h1")}, pinned_to(placeless)) == "-");
}

TEST_CASE(
    "choice: of two with one serial number the one at its place; one that was seen beside it is never it") {
    const auto mine = device("A", "1-1", "h0"), twin = device("A", "1-2", "h1");
    Wanted wanted = pinned_to(mine);
    CHECK(opened({twin, mine}, wanted) == "h0");
    note_twins(wanted, {twin, mine, device("B", "1-3", "h2")});
    note_twins(wanted, {twin, mine});
    CHECK(wanted.twins == std::vector<std::string>{"1-2"});
    CHECK(opened({twin}, wanted) == "-");
    CHECK(opened({device("A", "1-2", "h9")}, wanted) == "-");         // the twin, under another node
    CHECK(opened({twin, device("A", "1-4", "h3")}, wanted) == "h3");  // it moved
    CHECK(opened({twin, device("A", "1-1", "h8")}, wanted) == "h8");  // it came back
}

TEST_CASE("choice: two with the pinned one's number at new places cannot be told apart: neither is opened") {
    const auto mine = device("A", "1-1", "h0");
    const std::vector<Attached> both = {device("A", "1-3", "h1"), device("A", "1-4", "h2")};
    CHECK(opened(both, pinned_to(mine)) == "-");
    Wanted wanted = pinned_to(mine);
    note_twins(wanted, both);  // it was not there itself
    CHECK(wanted.twins.empty());
}

TEST_CASE("choice: the simulated device comes back by the way that it was opened") {
    Wanted wanted = pinned_to(simulated("sim:serial"));
    const std::vector<Attached> both = {simulated("sim"), simulated("sim:serial")};
    CHECK(opened(both, wanted) == "sim:serial");
    note_twins(wanted, both);
    CHECK(opened(both, wanted) == "sim:serial");
    CHECK(opened({simulated("sim")}, wanted) == "-");
}
