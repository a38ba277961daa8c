// Connect: what is attached and what hinders it, on a desk filled by hand; and that nothing there moves a
// control.
#include <doctest/doctest.h>

#include <map>

#include "app/views/views.hpp"
#include "app/words/sentences.hpp"
#include "app/words/udev_rule.hpp"
#include "core/engine/limits.hpp"
#include "tests/ui/bench.hpp"
#include "tests/views/sitting.hpp"

namespace fettle::app::test {
namespace {

link::Attached real(const std::string& path, const std::string& serial, const std::string& place) {
    return {link::ChannelKind::hid, path, serial, "Fettle access device", place, "", true};
}
const std::vector<link::Attached> k_simulated{
    {link::ChannelKind::simulated, "sim", "SIM00001", "simulated device"},
    {link::ChannelKind::simulated, "sim:serial", "SIM00001", "simulated device"}};

struct Window {
    Desk desk;
    ViewState state;
    std::vector<Order> given;
    Bench bench;
    explicit Window(int percent = 100, Language language = Language::english)
        : bench([this](ui::Ui& ui) { frame_view(ui, desk, state, [this](Order o) { given.push_back(o); }); },
                percent, ui::ThemeName::dark, language) {
        desk.screen = Screen::connect;
        desk.options = bench.options;
        desk.down.resize(engine::k_max_inputs);
        desk.pressed_us.resize(engine::k_max_inputs, -1);
        bench.before_frame = [this] { desk.device.beat_ms = bench.input.now_ms; };
        attach({});
    }
    /// Real ones before the simulated one, as a source tells them.
    void attach(std::vector<link::Attached> devices, std::vector<link::Stranger> strangers = {}) {
        devices.insert(devices.end(), k_simulated.begin(), k_simulated.end());
        desk.device.found = std::move(devices);
        desk.device.strangers = std::move(strangers);
        bench.settle();
    }
    std::string label(const std::string& id) const {
        const ui::Control* control = bench.find(id);
        return control == nullptr ? "" : control->label;
    }
    std::string value(const std::string& id) const {
        const ui::Control* control = bench.find(id);
        return control == nullptr ? "" : control->value;
    }
    std::map<std::string, ui::Rect> places() const {
        std::map<std::string, ui::Rect> places;
        for (const ui::Control& control : bench.ui.registry().controls)
            if (ui::is_worked(control.role)) places[control.id] = control.rect;
        return places;
    }
    std::vector<std::string> connects() const {
        std::vector<std::string> paths;
        for (const Order& one : given)
            if (const auto* ask = std::get_if<Ask>(&one))
                if (const auto* connect = std::get_if<ask::Connect>(ask)) paths.push_back(connect->path);
        return paths;
    }
};

}  // namespace

TEST_CASE("connect: an entry a device: serial number and socket first, then channels and name") {
    Window w;
    auto both = real("/dev/hidraw3", "A1", "1-1");
    both.fallback_path = "/dev/ttyACM0";
    auto serial = real("/dev/ttyACM1", "", "1-2");
    serial.channel = link::ChannelKind::serial;
    serial.product = "";
    w.attach({both, serial});
    CHECK(w.label("connect.open./dev/hidraw3") ==
          "A1, socket 1-1, raw HID, serial as fallback: Fettle access device");
    CHECK(w.label("connect.open./dev/ttyACM1") == "no serial number, socket 1-2, serial: unnamed device");
    CHECK(w.label("connect.open.sim") == "SIM00001, simulated: simulated device");
    CHECK(w.label("connect.open.sim:serial") == "SIM00001, simulated serial line: simulated device");
}

TEST_CASE(
    "connect: of 2 devices none is open: it says to choose; chosen by the keyboard, that one is asked for") {
    Window w;
    w.attach({real("/dev/hidraw3", "A1", "1-1"), real("/dev/hidraw5", "B2", "1-2")});
    CHECK(w.label("connect.hint") ==
          "Several devices are attached: choose one. Serial number and socket tell them apart.");
    CHECK(w.bench.work("connect.open./dev/hidraw5"));
    CHECK(w.connects() == std::vector<std::string>{"/dev/hidraw5"});
    w.desk.device.state = LinkState::live;
    w.desk.device.attached = w.desk.device.found[1];
    w.bench.settle();
    CHECK(w.label("connect.hint").empty());
    CHECK(w.bench.work("connect.open./dev/hidraw5"));  // it is open: nothing is asked
    CHECK(w.connects().size() == 1);
}

TEST_CASE("connect: nothing attached, a device without a rule, a stranger: a sentence each, in 2 languages") {
    for (const Language language : {Language::english, Language::german}) {
        Window w(100, language);
        CHECK(w.label("connect.hint") == text_in(language, T::connect_nothing));
        auto shut = real("/dev/hidraw3", "A1", "1-1");
        shut.is_accessible = false;
        w.attach({shut}, {{"1-4", "loader"}});
        CHECK(w.label("connect.hint") ==
              sentence({Errc::no_access, "/dev/hidraw3", ""}, DeviceThen::not_involved, language) + " " +
                  text_in(language, T::connect_stranger, "loader", "1-4"));
        CHECK(w.label("connect.open./dev/hidraw3")
                  .find(language == Language::english ? "(may not be opened)"
                                                      : "(darf nicht geöffnet werden)") != std::string::npos);
        w.attach({}, {{"1-4", ""}});
        CHECK(w.label("connect.hint") ==
              text_in(language, T::connect_stranger, text_in(language, T::connect_unnamed), "1-4"));
    }
}

TEST_CASE("connect: the rule is shown when it is asked for, whole, with where it goes; and goes again") {
    Window w;
    CHECK_FALSE(w.bench.shows("uaccess"));
    CHECK(w.bench.work("connect.rule"));
    CHECK(w.bench.shows("uaccess"));
    CHECK(w.bench.shows(k_udev_rule_place));
    CHECK(w.bench.shows("udevadm control --reload"));
    CHECK(w.bench.work("connect.rule"));
    CHECK_FALSE(w.bench.shows("uaccess"));
}

TEST_CASE(
    "connect: 3 devices and a stranger come, 1 goes and comes, states change: no control moves, at 3 sizes") {
    for (const int percent : {100, 200, 300}) {
        CAPTURE(percent);
        Window w(percent);
        auto before = w.places();
        const auto check_still = [&] {
            int moved = 0, known = 0;
            for (const auto& [id, rect] : w.places()) {
                const auto at = before.find(id);
                if (at == before.end()) continue;
                ++known;
                moved += at->second == rect ? 0 : 1;
            }
            CHECK(known > 10);
            CHECK(moved == 0);
            before.merge(w.places());
        };
        const auto first = real("/dev/hidraw3", "A1", "1-1"), second = real("/dev/hidraw5", "B2", "1-2");
        auto third = real("/dev/hidraw7", std::string(64, 'S'), "1-3.4.4.1");
        third.product = std::string(64, 'P');
        third.fallback_path = "/dev/ttyACM0";
        third.is_accessible = false;
        w.attach({first});
        check_still();
        w.attach({first, second, third}, {{"1-4", std::string(64, 'x')}});
        check_still();
        w.attach({second, third});  // the first one goes: nobody moves up
        check_still();
        w.attach({second, third, first});
        check_still();
        for (const LinkState state : {LinkState::opening, LinkState::greeting, LinkState::live,
                                      LinkState::stale, LinkState::closing, LinkState::absent}) {
            w.desk.device.state = state;
            w.desk.device.attached = second;
            w.desk.device.last_error = Error{Errc::in_use, "/dev/hidraw5", "process 1234"};
            w.desk.device.hello.emplace().contract_version = 9;
            w.desk.device.info.emplace().resets = 3;
            w.bench.settle();
            check_still();
        }
    }
}

TEST_CASE("connect: 5 devices are 5 entries; a row that is free is taken by who comes next") {
    Window w;
    std::vector<link::Attached> all;
    for (int i = 0; i < 5; ++i)
        all.push_back(
            real("/dev/hidraw" + std::to_string(i), std::string(1, static_cast<char>('A' + i)), "1-1"));
    w.attach(all);
    for (const auto& one : all) CHECK(w.bench.find("connect.open." + one.path) != nullptr);
    const auto place = w.bench.find("connect.open./dev/hidraw1")->rect;
    all.erase(all.begin() + 1);
    w.attach(all);
    all.push_back(real("/dev/hidraw9", "Z", "1-9"));
    w.attach(all);
    CHECK(w.bench.find("connect.open./dev/hidraw9")->rect == place);
}

TEST_CASE(
    "connect: why it is not open is said: held, something else, no answer; a newer one works, and that is "
    "said") {
    Window w;
    w.attach({real("/dev/hidraw3", "A1", "1-1")});
    w.desk.device.attached = w.desk.device.found[0];
    const auto state_with = [&](Errc code, const std::string& where, const std::string& detail) {
        w.desk.device.state = LinkState::opening;
        w.desk.device.last_error = Error{code, where, detail};
        w.bench.settle();
        return w.label("connect.state");
    };
    CHECK(state_with(Errc::in_use, "/dev/hidraw3", "process 1234") ==
          "Opening the device. Another program has /dev/hidraw3 open: process 1234. Close that program, then "
          "try "
          "again.");
    CHECK(state_with(Errc::foreign, "hello", "3 strange messages")
              .starts_with(
                  "Opening the device. /dev/hidraw3 runs something else than Fettle's firmware: 3 strange"));
    CHECK(state_with(Errc::garbled, "hello", "")
              .starts_with("Opening the device. /dev/hidraw3 runs something else than Fettle's firmware."));
    CHECK(state_with(Errc::timed_out, "hello", "") ==
          "Opening the device. The device did not answer in time. Look at the cable, then try again.");
    CHECK(state_with(Errc::closed, "link", "") ==
          "Opening the device. The device is gone. Nothing was changed on it: plugged back, it starts with "
          "its kept "
          "profile and holds nothing down. Look at the cable, then try again.");
    w.desk.device.state = LinkState::live;
    w.desk.device.last_error.reset();
    w.desk.device.hello.emplace().contract_version = engine::k_contract_version;
    w.bench.settle();
    CHECK(w.label("connect.state") == "The device is here and answers.");
    w.desk.device.hello->contract_version = engine::k_contract_version + 1;
    w.bench.settle();
    CHECK(w.label("connect.state") ==
          "The device is here and answers. This device speaks contract 2, this program contract 1: the "
          "device is "
          "newer. What both know works; a newer program can do more with it.");
}

TEST_CASE("connect: the channel in use, changeovers, the clock's error and drift: not known until they are") {
    Window w;
    CHECK(w.value("connect.channel") == "not known");
    CHECK(w.value("connect.clock") == "not known");
    auto both = real("/dev/hidraw3", "A1", "1-1");
    both.fallback_path = "/dev/ttyACM0";
    w.attach({both});
    w.desk.device.state = LinkState::live;
    w.desk.device.attached = both;
    w.desk.device.health.channel = link::ChannelKind::hid;
    w.bench.settle();
    CHECK(w.value("connect.channel") == "raw HID");
    w.desk.device.health.channel = link::ChannelKind::serial;
    w.desk.device.health.changeovers = 2;
    w.desk.device.health.clock_error_us = 420;
    w.bench.settle();
    CHECK(w.value("connect.channel") == "serial; changed over 2 times");
    CHECK(w.value("connect.clock") == "known to 0.42 ms");
    w.desk.device.health.drift_ppm = -17.4;
    w.bench.settle();
    CHECK(w.value("connect.clock") == "known to 0.42 ms, runs -17 millionths off");
}

TEST_CASE("connect: strings of a device are shown as data: what a terminal would obey is gone") {
    Window w;
    auto strange = real("/dev/hidraw3", "A\x1b[2J1", "1-1");
    strange.product = "x\x1b[31m";
    w.attach({strange}, {{"1-4", "a\x1b]0;b"}});
    const std::string said = w.label("connect.open./dev/hidraw3") + w.label("connect.hint");
    CHECK(said.find('\x1b') == std::string::npos);  // line breaks go in link::printable()
}

}  // namespace fettle::app::test
