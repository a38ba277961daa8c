#include <array>

#include "tests/store/fixture.hpp"

namespace fettle::store {
namespace {

std::string times(int count, const std::string& text) {
    std::string all;
    for (int i = 0; i < count; ++i) all += text;
    return all;
}

TEST_CASE("names: 64 code points are allowed, of 1 or of 4 bytes each; 65 are not") {
    for (const char* sign : {"x", "\xC3\xBC", "\xE2\x82\xAC", "\xF0\x9F\x8C\xB1"}) {
        CAPTURE(sign);
        CHECK(check_name(sign, "n"));
        CHECK(check_name(times(64, sign), "n"));
        CHECK(code_of(check_name(times(65, sign), "n")) == Errc::out_of_range);
    }
    CHECK(code_of(check_name("", "n")) == Errc::out_of_range);
    CHECK(check_name("", "which").error().where == "which");
}

TEST_CASE("names: of the 65 control characters of Unicode (Cc) none is allowed, their 4 neighbours are") {
    for (unsigned code = 0; code < 0x20; ++code) {
        CAPTURE(code);
        CHECK(code_of(check_name("a" + std::string(1, static_cast<char>(code)) + "b", "n")) == Errc::syntax);
    }
    CHECK(code_of(check_name("a\x7F", "n")) == Errc::syntax);
    for (unsigned code = 0x80; code < 0xA0; ++code) {
        CAPTURE(code);
        CHECK(code_of(check_name(std::string("\xC2") + static_cast<char>(code), "n")) == Errc::syntax);
    }
    CHECK(check_name("a b", "n"));        // U+0020
    CHECK(check_name("~", "n"));          // U+007E
    CHECK(check_name("a\xC2\xA0", "n"));  // U+00A0
    CHECK(check_name("\xC3\x80", "n"));   // U+00C0: a second byte below A0 after another first one
}

TEST_CASE("names: spaces alone and 4 forms of ill-formed UTF-8 are refused") {
    CHECK(code_of(check_name("   ", "n")) == Errc::out_of_range);
    // Source: RFC 3629, section 4: overlong, surrogate, cut off, a stray byte.
    const std::array<const char*, 4> bad = {"\xC0\xAF", "\xED\xA0\x80", "a\xC3", "\xFF"};
    for (const char* name : bad) CHECK(code_of(check_name(name, "n")) == Errc::syntax);
}

TEST_CASE("names: 9 calls refuse a bad name and change nothing") {
    Bench bench;
    Store& store = *bench.store;
    const auto before = store.profile(bench.profile).value();
    const auto recording = store.add_recording({.person = bench.person, .name = "one", .file_path = "/r"});
    profile::Profile named = profile::sample();
    named.name = "a\nb";
    CHECK(code_of(store.add_person("a\nb")) == Errc::syntax);
    CHECK(code_of(store.rename_person(bench.person, "a\nb")) == Errc::syntax);
    CHECK(code_of(store.add_profile(bench.person, named)) == Errc::syntax);
    CHECK(code_of(store.save(bench.profile, named, RevisionKind::edited)) == Errc::syntax);
    CHECK(code_of(store.rename_profile(bench.profile, "a\nb")) == Errc::syntax);
    CHECK(code_of(store.copy_profile(bench.profile, bench.person, "a\nb")) == Errc::syntax);
    CHECK(code_of(store.rename_recording(recording->id, "a\nb")) == Errc::syntax);
    CHECK(code_of(store.note_run({.device_serial = ""})) == Errc::out_of_range);
    CHECK(code_of(store.set_setting("a\nb", "x")) == Errc::syntax);
    CHECK(store.people()->size() == 1);
    CHECK(store.profiles(bench.person).value() == std::vector<ProfileEntry>{before});
    CHECK(store.recordings(bench.person).value() == std::vector<RecordingEntry>{*recording});
    CHECK(store.devices()->empty());
    CHECK(store.settings()->empty());
}

}  // namespace
}  // namespace fettle::store
