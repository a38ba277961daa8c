#include "app/words/sentences.hpp"

#include <doctest/doctest.h>

#include "app/words/device_words.hpp"
#include "core/engine/proof.hpp"
#include "tests/app/rig.hpp"

namespace fettle::app::test {
namespace {

/// A sentence for people: something, a full stop at its end, nothing from the code in it.
void check_sentence(const std::string& sentence) {
    CAPTURE(sentence);
    CHECK(sentence.size() > 10);
    CHECK(sentence.ends_with("."));
    CHECK(sentence[0] != ' ');
    CHECK((sentence[0] < 'a' || sentence[0] > 'z' || sentence.starts_with("profile.json")));
    CHECK_FALSE(has(sentence, "_"));
    CHECK_FALSE(has(sentence, ".."));
    CHECK_FALSE(has(sentence, "  "));
    CHECK_FALSE(has(sentence, "?"));
}

}  // namespace

TEST_CASE(
    "sentences: 25 errors, 10 things known of the device, with and without place and detail, 2 languages") {
    int errors = 0;
    for (int code = 0; code <= static_cast<int>(Errc::cancelled); ++code, ++errors)
        for (const auto device :
             {DeviceThen::not_involved, DeviceThen::unchanged, DeviceThen::on_trial, DeviceThen::unknown,
              DeviceThen::cut_reading, DeviceThen::cut_push, DeviceThen::cut_trial, DeviceThen::cut_keep,
              DeviceThen::silent_push, DeviceThen::silent_keep})
            for (const Language language : {Language::english, Language::german}) {
                CAPTURE(code);
                const auto errc = static_cast<Errc>(code);
                check_sentence(sentence({errc, "profile.json", "700; allowed 0 to 255"}, device, language));
                check_sentence(sentence({errc, "profile.json", ""}, device, language));
                check_sentence(sentence({errc, "", ""}, device, language));
            }
    CHECK(errors == 25);
}

TEST_CASE("sentences: what the device does now is told when it is involved, and only then") {
    const Error error{Errc::closed, "cable", "unplugged"};
    CHECK(sentence(error) == "The device is gone. Look at the cable, then try again. (unplugged).");
    CHECK(has(sentence(error, DeviceThen::unchanged), " The device goes on with the profile it had. "));
    CHECK(has(sentence(error, DeviceThen::on_trial), " without an answer the one before comes back. "));
    CHECK(has(sentence(error, DeviceThen::unknown), " it has its kept profile, and holds nothing down. "));
}

TEST_CASE("sentences: what cannot be opened, and why, is 5 sentences of its own, each with what to do") {
    CHECK(sentence({Errc::no_access, "/dev/hidraw3", ""}) ==
          "The system does not let you open /dev/hidraw3: the udev rule for it is missing. `fettle devices "
          "--rule` "
          "prints the rule and says where it goes; then plug the device in again. With the rule there, only "
          "whoever sits at this computer may open it.");
    CHECK(sentence({Errc::in_use, "/dev/ttyACM0", "process 1234"}) ==
          "Another program has /dev/ttyACM0 open: process 1234. Close that program, then try again.");
    CHECK(sentence({Errc::foreign, "/dev/hidraw3", ""}) ==
          "/dev/hidraw3 runs something else than Fettle's firmware. Look whether it is the right device; the "
          "maker "
          "can load the firmware.");
    CHECK(sentence({Errc::duplicate, k_several_devices, "A1, B2"}) ==
          "Several devices are attached: A1, B2. Say which one with --device: its path, serial number or "
          "place.");
    CHECK(sentence({Errc::duplicate, k_several_devices, "A1, B2"}, DeviceThen::not_involved,
                   Language::german) ==
          "Mehrere Geräte sind angeschlossen: A1, B2. Sagen Sie mit --device, welches: sein Pfad, seine "
          "Seriennummer oder sein Platz.");
    CHECK(sentence({Errc::duplicate, "modes", ""}) == "modes is there twice.");
}

TEST_CASE("sentences: what the device holds after an error in the middle, 4 things it was asked for") {
    const auto then = [](Errc code, Doing doing) { return device_then({code, "", ""}, doing); };
    CHECK(then(Errc::closed, Doing::reading) == DeviceThen::cut_reading);
    CHECK(then(Errc::closed, Doing::pushing) == DeviceThen::cut_push);
    CHECK(then(Errc::closed, Doing::deciding) == DeviceThen::cut_trial);
    CHECK(then(Errc::closed, Doing::keeping) == DeviceThen::cut_keep);
    for (const Errc code : {Errc::timed_out, Errc::io, Errc::garbled}) {
        CHECK(then(code, Doing::reading) == DeviceThen::unchanged);
        CHECK(then(code, Doing::pushing) == DeviceThen::silent_push);
        CHECK(then(code, Doing::deciding) == DeviceThen::on_trial);
        CHECK(then(code, Doing::keeping) == DeviceThen::silent_keep);
    }
    // Answered: nothing is open. A trial that is over is on nobody's device.
    CHECK(then(Errc::busy, Doing::pushing) == DeviceThen::unchanged);
    CHECK(then(Errc::cancelled, Doing::pushing) == DeviceThen::unchanged);
    CHECK(then(Errc::unproven, Doing::keeping) == DeviceThen::on_trial);
    CHECK(then(Errc::not_found, Doing::keeping) == DeviceThen::unchanged);
    CHECK(then(Errc::not_found, Doing::deciding) == DeviceThen::unchanged);
}

TEST_CASE("sentences: 21 findings of check, each its own, each says how to mend it") {
    std::vector<std::string> seen;
    for (int kind = 0; kind <= static_cast<int>(profile::FindingKind::variant_without_way_back); ++kind) {
        const std::string words = sentence(
            profile::Finding{static_cast<profile::FindingKind>(kind), "/modes/0", {"aa", "bb", "cc", "dd"}});
        check_sentence(words);
        for (const auto& other : seen) CHECK(other != words);
        seen.push_back(words);
    }
    CHECK(seen.size() == 21);
}

TEST_CASE("sentences: 7 phases of a trial, and what is still to be shown") {
    for (int phase = 0; phase <= static_cast<int>(wire::TrialPhase::extended); ++phase) {
        const std::string words = trial_words({static_cast<wire::TrialPhase>(phase), 1, 0, 43, 0, 0});
        CAPTURE(words);
        CHECK(words.ends_with("."));
        CHECK_FALSE(has(words, "_"));
    }
    const std::uint8_t all = engine::k_proof_clicked | engine::k_proof_let_go | engine::k_proof_mode;
    CHECK(proof_words(0, all) == "click once, press something and let go, change the mode and come back");
    CHECK(proof_words(engine::k_proof_clicked, all) ==
          "press something and let go, change the mode and come back");
    CHECK(proof_words(all, all).empty());
    CHECK(proof_words(0, 0).empty());
}
}  // namespace fettle::app::test
