#include <doctest/doctest.h>

#include "core/profile/document.hpp"
#include "core/sim/ir_encode.hpp"
#include "core/sim/pulse_text.hpp"
#include "tests/app/rig.hpp"

namespace fettle::app::test {
namespace {

const profile::Input& input_of(const profile::Profile& profile, const char* name) {
    const auto* input = profile::find_named(profile.inputs, name);
    REQUIRE(input != nullptr);
    return *input;
}

/// A recording of presses, 1 s of silence after each.
std::string recording_of(const std::vector<engine::IrFrame>& presses) {
    std::string text;
    for (const auto& press : presses) {
        text += sim::format_pulse_text(sim::to_pulse_widths(sim::encode(press)));
        text += "space 1000000\n";
    }
    return text;
}

engine::IrFrame button(int command) {
    return engine::make_ir_frame(engine::Protocol::samsung32, 7, static_cast<std::uint16_t>(command));
}

/// `ran` could not, said so in one sentence, and the file at `path` is `before`.
void check_refused(const Rig& rig, const Run& ran, const std::string& path, const std::string& before) {
    CAPTURE(ran.err);
    CHECK(ran.exit == 1);
    CHECK(count(ran.err, "\n") == 1);
    CHECK(rig.content(path) == before);
}

}  // namespace

TEST_CASE("teach: a remote's button pressed twice on the simulated device; all else in the file stays") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    auto expected = profile::load_file(path).value();
    const Run ran = rig.run({"teach", path, "--input", "up", "--sim-press", "rc5:5:16"});
    CAPTURE(ran.err);
    CHECK(ran.exit == 0);
    CHECK(ran.out ==
          "Press it, let go, and press it again.\nup is now remote: rc5  address 0x05  command 0x10.\n");
    for (auto& input : expected.inputs)
        if (input.name == "up") input.source = profile::Infrared{engine::Protocol::rc5, 5, 16, 0, 0};
    CHECK(profile::load_file(path).value() == expected);
}

TEST_CASE("teach: a switch on line 5 of the simulated device") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    CHECK(rig.json({"teach", path, "--input", "foot", "--sim-press", "switch:5"}) ==
          R"({"input":"foot","source":"switch on line 5, closed when low"})");
    CHECK(input_of(profile::load_file(path).value(), "foot").source ==
          profile::InputSource(profile::Switch{5, true}));
}

TEST_CASE("teach: from a recording with 2 presses that agree, without a device") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer");
    const std::string heard = rig.put("heard.txt", recording_of({button(2), button(2)}));
    CHECK(rig.run({"teach", path, "--input", "menu", "--heard", heard}).exit == 0);
    CHECK(input_of(profile::load_file(path).value(), "menu").source ==
          profile::InputSource(profile::Infrared{engine::Protocol::samsung32, 7, 2, 0, 0}));
}

TEST_CASE("teach: a recording with 1 press, with 2 that differ, or with none changes nothing") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer"), before = rig.content(path);
    for (const auto& heard : {recording_of({button(2)}), recording_of({button(2), button(3)}), std::string()})
        check_refused(rig,
                      rig.run({"teach", path, "--input", "menu", "--heard", rig.put("heard.txt", heard)}),
                      path, before);
    check_refused(rig, rig.run({"teach", path, "--input", "menu", "--heard", rig.folder / "none"}), path,
                  before);
}

TEST_CASE("teach: a button that is another input's already is refused and its name told") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer"), before = rig.content(path);
    const Run ran = rig.run({"teach", path, "--input", "up", "--sim-press", "nec:97:82"});
    check_refused(rig, ran, path, before);
    CHECK(has(ran.err, "That is already the input down; nothing was changed."));
    // Its own again is no conflict.
    CHECK(rig.run({"teach", path, "--input", "down", "--sim-press", "nec:97:82"}).exit == 0);
}

TEST_CASE("teach: nothing pressed in 1 s, an unknown input, a wrong button: refused, the file stays") {
    Rig rig;
    const std::string path = rig.copy_of("volunteer"), before = rig.content(path);
    const Run silent = rig.run({"teach", path, "--input", "up", "--wait", "1"});
    check_refused(rig, silent, path, before);
    CHECK(has(silent.err, "0 heard, two that agree are needed"));
    check_refused(rig, rig.run({"teach", path, "--input", "nose", "--sim-press", "nec:1:2"}), path, before);
    for (const char* wrong : {"switch:0", "switch:9", "switch:", "nec", "nec:1", "nec:1:2:3", "nec:x:2",
                              "nec:1:99999", "beam:1:2", "unknown:1:2", "sirc20:1:2"})
        check_refused(rig, rig.run({"teach", path, "--input", "up", "--sim-press", wrong}), path, before);
}
}  // namespace fettle::app::test
