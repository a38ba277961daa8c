// What the fuzzers know is run with every build: the corpus, and the conversations that it began with.

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "core/link/session.hpp"
#include "tests/fuzz/calls.hpp"
#include "tests/fuzz/seeds.hpp"
#include "tests/fuzz/tape_link.hpp"
#include "tests/wire/support/images.hpp"

using namespace fettle::fuzz;

namespace {

Bytes read(const std::filesystem::path& path) {
    std::ifstream file(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

struct Known {
    std::string target, name;
    Bytes tape;
};

std::vector<Known> corpus() {
    std::vector<Known> all;
    const std::filesystem::path folder = std::filesystem::path(FETTLE_ROOT) / "tests/fuzz/corpus";
    for (const Target& target : k_targets)
        for (const auto& entry : std::filesystem::directory_iterator(folder / target.name))
            all.push_back({target.name, entry.path().filename().string(), read(entry.path())});
    return all;
}

/// Every target can be given every input: what is a message to one is noise to another.
void run_all(const Known& known) {
    CAPTURE(known.target);
    CAPTURE(known.name);
    for (const Target& target : k_targets) {
        CAPTURE(target.name);
        CHECK_NOTHROW(target.run(known.tape));
    }
}

}  // namespace

TEST_CASE("fuzz: every file of the corpus runs through all 6 targets") {
    const auto all = corpus();
    CHECK(all.size() >= 80);
    for (const Target& target : k_targets) {
        CAPTURE(target.name);
        CHECK(
            std::any_of(all.begin(), all.end(), [&](const Known& one) { return one.target == target.name; }));
    }
    for (const Known& known : all) {
        CHECK_FALSE(known.tape.empty());
        run_all(known);
    }
}

TEST_CASE("fuzz: conversations with today's device run through all 6 targets") {
    for (const Seed& seed : make_seeds()) run_all({seed.target, seed.name, seed.tape});
}

TEST_CASE("fuzz: the tape of a conversation leads a session where it led: an image read, another pushed") {
    using fettle::link::Session;
    int led = 0;
    for (const Seed& seed : make_seeds()) {
        if (seed.target != "hello" || (seed.name != "read" && seed.name != "push")) continue;
        Tape tape(seed.tape);
        CHECK(tape.byte() == 0);  // no other channel
        auto session = Session::open(std::make_unique<TapeLink>(tape, false));
        REQUIRE(session.has_value());
        const auto call = static_cast<Call>(tape.byte());
        CHECK(call == (seed.name == "read" ? Call::read_image : Call::push));
        if (call == Call::read_image) led += (*session)->read_image(fettle::wire::k_slot_current) ? 1 : 0;
        if (call == Call::push) led += (*session)->push(fettle::test::plain_image(2), 60) ? 1 : 0;
    }
    CHECK(led == 2);
}

TEST_CASE("fuzz: an empty input and 64 equal bytes of each value run through all 6 targets") {
    run_all({"all", "empty", {}});
    for (int value = 0; value < 256; ++value)
        run_all({"all", std::to_string(value), Bytes(64, static_cast<std::uint8_t>(value))});
}
