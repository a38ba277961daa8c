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

TEST_CASE("sentences: 22 errors, 4 things known of the device, with and without place and detail") {
    int errors = 0;
    for (int code = 0; code <= static_cast<int>(Errc::cancelled); ++code, ++errors)
        for (const auto device :
             {DeviceThen::not_involved, DeviceThen::unchanged, DeviceThen::on_trial, DeviceThen::unknown}) {
            CAPTURE(code);
            const auto errc = static_cast<Errc>(code);
            check_sentence(sentence({errc, "profile.json", "700; allowed 0 to 255"}, device));
            check_sentence(sentence({errc, "profile.json", ""}, device));
            check_sentence(sentence({errc, "", ""}, device));
        }
    CHECK(errors == 22);
}

TEST_CASE("sentences: what the device does now is told when it is involved, and only then") {
    const Error error{Errc::closed, "cable", "unplugged"};
    CHECK(sentence(error) == "The device is gone: unplugged. Look at the cable, then try again.");
    CHECK(has(sentence(error, DeviceThen::unchanged), " The device goes on with the profile it had. "));
    CHECK(has(sentence(error, DeviceThen::on_trial), " without an answer the one before comes back. "));
    CHECK(has(sentence(error, DeviceThen::unknown), " it has its kept profile, and holds nothing down. "));
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
