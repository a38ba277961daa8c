// Every way into a trial and out of it, through messages and the device's own actions.

#include <doctest/doctest.h>

#include <functional>

#include "tests/wire/support/rig.hpp"

using namespace fettle;
using namespace fettle::wire;
using namespace fettle::test;
using engine::k_command_cable_lost;
using engine::k_command_suspended;

namespace {

constexpr uint8_t k_line_click = 1, k_line_mode = 3, k_line_keep = 5, k_line_revert = 6, k_line_extend = 7,
                  k_line_variant = 8;

/// A device that runs kept profile 1, with profile 2 on trial.
struct OnTrial : Rig {
    explicit OnTrial(uint16_t seconds = 0) {
        install(plain_image(1));
        reply = trial_of(push(plain_image(2), seconds));
        tick(100);
    }
    void prove() {
        press(k_line_click);
        press(k_line_mode);
        press(k_line_mode);
    }
    uint32_t running() { return hello().image_crc; }
    TrialReply reply = {};
};

const uint32_t k_old = crc_of(plain_image(1));
const uint32_t k_new = crc_of(plain_image(2));

}  // namespace

TEST_CASE("trial: finish answers with id, CRC, the profile's own 60 s, and the new profile runs") {
    OnTrial rig;
    CHECK(rig.reply.phase == TrialPhase::running);
    CHECK(rig.reply.id == 2);
    CHECK(rig.reply.image_crc == k_new);
    CHECK(rig.reply.seconds_left == 60);
    CHECK(rig.running() == k_new);
    CHECK(rig.hello().current_slot == 1);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: the request's own time counts, 20 s and 600 s") {
    for (const uint16_t seconds : std::vector<uint16_t>{20, 600}) {
        OnTrial rig(seconds);
        CAPTURE(seconds);
        CHECK(rig.reply.seconds_left == seconds);
        rig.tick(seconds * 1000 - 1000);
        CHECK(rig.trial().phase == TrialPhase::running);
        rig.tick(1001);
        CHECK(rig.trial().phase == TrialPhase::expired);
        CHECK(rig.running() == k_old);
        CHECK(rig.ends_released());
    }
}

TEST_CASE("trial: no answer for 60 s brings the old profile back, and a start keeps it") {
    OnTrial rig;
    rig.tick(60000);
    CHECK(rig.running() == k_old);
    CHECK(rig.trial().phase == TrialPhase::expired);
    rig.start();
    CHECK(rig.running() == k_old);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: revert brings the old profile back, and a repeat gets the same answer") {
    OnTrial rig;
    for (int i = 0; i < 3; ++i) {
        const TrialReply reply = trial_of(rig.revert(rig.reply.id, k_new));
        CHECK(reply.phase == TrialPhase::reverted);
        CHECK(reply.id == rig.reply.id);
        CHECK(rig.running() == k_old);
    }
    CHECK(rig.ends_released());
}

TEST_CASE("trial: a keep without proof is refused with what is missing, and the trial goes on") {
    OnTrial rig;
    const Bytes answer = rig.keep(rig.reply.id, k_new, 0);
    REQUIRE(is_error(answer, WireError::unproven));
    CHECK(error_of(answer).detail[0] == 0);
    CHECK(error_of(answer).detail[1] ==
          (engine::k_proof_clicked | engine::k_proof_let_go | engine::k_proof_mode));
    CHECK(rig.trial().phase == TrialPhase::running);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: a click, a release and a mode change and back prove it; then keep needs no override") {
    OnTrial rig;
    rig.prove();
    CHECK(rig.trial().proof == rig.trial().proof_needed);
    CHECK(trial_of(rig.keep(rig.reply.id, k_new, 0)).phase == TrialPhase::kept);
    rig.start();
    CHECK(rig.running() == k_new);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: a helper's override keeps without proof; a repeat is answered and writes nothing") {
    OnTrial rig;
    CHECK(trial_of(rig.keep(rig.reply.id, k_new)).phase == TrialPhase::kept);
    rig.tick(200);
    const size_t writes = rig.eeprom.log.size();
    for (int i = 0; i < 3; ++i) {
        const TrialReply reply = trial_of(rig.keep(rig.reply.id, k_new));
        CHECK(reply.phase == TrialPhase::kept);
        CHECK(reply.id == rig.reply.id);
    }
    rig.tick(200);
    CHECK(rig.eeprom.log.size() == writes);
    rig.tick(700000);
    CHECK(rig.running() == k_new);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: keep, revert and extend of another id or CRC are answered no_trial and change nothing") {
    OnTrial rig;
    const uint16_t id = rig.reply.id;
    CHECK(is_error(rig.keep(static_cast<uint16_t>(id + 1), k_new), WireError::no_trial));
    CHECK(is_error(rig.keep(id, k_new ^ 1u), WireError::no_trial));
    CHECK(is_error(rig.revert(static_cast<uint16_t>(id - 1), k_new), WireError::no_trial));
    CHECK(is_error(rig.revert(id, k_old), WireError::no_trial));
    CHECK(is_error(rig.extend(id, 0, 60), WireError::no_trial));
    CHECK(rig.trial().phase == TrialPhase::running);
    CHECK(rig.running() == k_new);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: what was decided stays decided, for all nine pairs of an end and a later request") {
    const std::function<void(OnTrial&)> ends[] = {
        [](OnTrial& rig) { rig.keep(rig.reply.id, k_new); },
        [](OnTrial& rig) { rig.revert(rig.reply.id, k_new); },
        [](OnTrial& rig) { rig.tick(60000); },
    };
    const TrialPhase phases[] = {TrialPhase::kept, TrialPhase::reverted, TrialPhase::expired};
    for (int end = 0; end < 3; ++end) {
        OnTrial rig;
        ends[end](rig);
        const Bytes keep = rig.keep(rig.reply.id, k_new);
        const Bytes revert = rig.revert(rig.reply.id, k_new);
        const Bytes extend = rig.extend(rig.reply.id, k_new, 600);
        CAPTURE(end);
        if (end == 0) {
            CHECK(trial_of(keep).phase == TrialPhase::kept);
            CHECK(is_error(revert, WireError::no_trial));
        } else {
            CHECK(is_error(keep, WireError::no_trial));
            CHECK(error_of(keep).detail[0] == static_cast<uint8_t>(phases[end]));
            CHECK(trial_of(revert).phase == phases[end]);
        }
        CHECK(is_error(extend, WireError::no_trial));
        CHECK(rig.trial().phase == phases[end]);
        CHECK(rig.running() == (end == 0 ? k_new : k_old));
        CHECK(rig.ends_released());
    }
}

TEST_CASE("trial: extend lengthens from now and never shortens; it can be done again and again, never off") {
    OnTrial rig;
    CHECK(trial_of(rig.extend(rig.reply.id, k_new, 20)).seconds_left >= 59);
    CHECK(trial_of(rig.extend(rig.reply.id, k_new, 20)).phase == TrialPhase::extended);
    for (int i = 0; i < 3; ++i) {
        CHECK(trial_of(rig.extend(rig.reply.id, k_new, 600)).seconds_left == 600);
        rig.tick(500000);
        CHECK(rig.trial().phase == TrialPhase::running);
    }
    CHECK(is_error(rig.extend(rig.reply.id, k_new, 601), WireError::malformed));
    CHECK(is_error(rig.extend(rig.reply.id, k_new, 0), WireError::malformed));
    rig.tick(101000);
    CHECK(rig.running() == k_old);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: a lost cable and a suspend bring the old profile back at once") {
    for (const uint8_t command : std::vector<uint8_t>{k_command_cable_lost, k_command_suspended}) {
        OnTrial rig;
        rig.switch_to(k_line_click, true);
        rig.tick(5);
        rig.tick(10, command);
        CAPTURE(int(command));
        CHECK(rig.running() == k_old);
        CHECK(rig.trial().phase == TrialPhase::reverted);
        rig.switch_to(k_line_click, false);
        rig.tick(20);
        CHECK(rig.ends_released());
    }
}

TEST_CASE("trial: release everything on the device or by the host leaves it running") {
    OnTrial rig;
    rig.press(2);
    CHECK(rig.ends_released());
    CHECK(rig.trial().phase == TrialPhase::running);
}

TEST_CASE("trial: a push during it is busy in all its messages, and finish of the same image is answered") {
    OnTrial rig;
    const Bytes other = plain_image(3);
    CHECK(is_error(rig.begin_write(other), WireError::busy));
    CHECK(is_error(rig.write_all(other), WireError::busy));
    CHECK(is_error(rig.finish(other), WireError::busy));
    const TrialReply again = trial_of(rig.finish(plain_image(2)));
    CHECK(again.phase == TrialPhase::running);
    CHECK(again.id == rig.reply.id);
    CHECK(rig.running() == k_new);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: finish repeated after the end says how it ended and starts nothing") {
    OnTrial rig;
    rig.revert(rig.reply.id, k_new);
    CHECK(trial_of(rig.finish(plain_image(2))).phase == TrialPhase::reverted);
    CHECK(rig.running() == k_old);
    // The same image pushed again is another trial.
    const TrialReply again = trial_of(rig.push(plain_image(2)));
    CHECK(again.phase == TrialPhase::running);
    CHECK(again.id == rig.reply.id + 1);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: the device's own keep needs the proof, and tells that it was refused") {
    OnTrial rig;
    rig.press(k_line_keep);
    rig.tick(100);
    CHECK(rig.trial().phase == TrialPhase::running);
    rig.prove();
    rig.press(k_line_keep);
    rig.tick(100);
    CHECK(rig.trial().phase == TrialPhase::kept);
    rig.start();
    CHECK(rig.running() == k_new);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: the device's own revert and extend work without a host") {
    OnTrial rig(20);
    rig.tick(15000);
    rig.press(k_line_extend);
    CHECK(rig.trial().seconds_left >= 19);
    rig.tick(10000);
    CHECK(rig.trial().phase == TrialPhase::running);
    rig.press(k_line_revert);
    rig.tick(20);
    CHECK(rig.trial().phase == TrialPhase::reverted);
    CHECK(rig.running() == k_old);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: keep, revert and extend on the device do nothing where none runs") {
    Rig rig;
    rig.install(plain_image(1));
    rig.tick(200);
    const size_t writes = rig.eeprom.log.size();
    rig.press(k_line_keep);
    rig.press(k_line_revert);
    rig.press(k_line_extend);
    CHECK(rig.trial().phase == TrialPhase::kept);
    CHECK(rig.eeprom.log.size() == writes);
    CHECK(rig.hello().image_crc == k_old);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: a drag-like hold ends when the trial begins and when it ends, in one report") {
    Rig rig;
    rig.install(plain_image(1));
    rig.switch_to(k_line_click, true);
    rig.tick(10);
    CHECK(rig.last[1].bytes[1] == 1);
    trial_of(rig.push(plain_image(2)));
    rig.tick(5);
    CHECK(rig.is_all_up());
    // Still closed: ignored by the new profile until it was open.
    rig.tick(100);
    CHECK(rig.is_all_up());
    rig.switch_to(k_line_click, false);
    rig.tick(10);
    rig.switch_to(k_line_click, true);
    rig.tick(10);
    CHECK(rig.last[1].bytes[1] == 1);
    rig.tick(60000);  // expires
    CHECK(rig.is_all_up());
    rig.switch_to(k_line_click, false);
    rig.tick(10);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: the variant that ran before comes back with the old profile") {
    Rig rig;
    rig.install(plain_image(1));
    rig.press(k_line_variant);
    rig.tick(5);
    REQUIRE(rig.device.engine().state().variant == 1);
    const TrialReply trial = trial_of(rig.push(plain_image(2)));
    CHECK(rig.device.engine().state().variant == 0);
    rig.revert(trial.id, trial.image_crc);
    CHECK(rig.device.engine().state().variant == 1);
    CHECK(rig.device.engine().setup().rule(0).acceptance_ms == 50);
    CHECK(rig.ends_released());
}

TEST_CASE("trial: a start while the commit byte is being written decides for one of the two") {
    OnTrial rig;
    uint8_t raw[k_message_max];
    const uint8_t size = put_keep_request(raw, 200, TrialRequest{rig.reply.id, k_new, k_keep_override, 0});
    for (int ticks = 0; ticks < 40; ++ticks) {
        OnTrial one;
        one.device.receive(Channel::hid, raw, size, one.now_us);
        one.tick(ticks);
        one.eeprom.busy_ticks = 0;
        one.start();
        const uint32_t crc = one.device.hello().image_crc;
        CAPTURE(ticks);
        REQUIRE((crc == k_old || crc == k_new));
    }
    CHECK(rig.ends_released());
}
