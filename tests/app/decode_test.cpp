#include <doctest/doctest.h>
#include <fmt/format.h>

#include <sstream>

#include "tests/app/rig.hpp"

// Source of the widths and their meaning: tests/data/infrared_ir_ctl.txt (ir-ctl of Debian v4l-utils 1.22.1)
// and tests/data/infrared_irsimsend.txt (irsimsend of Debian lirc 0.10.1), made as those files say.

namespace fettle::app::test {
namespace {

struct Vector {
    std::vector<std::string>
        meaning;  ///< protocol, address, command, then "toggle" or "extended" with a value
    std::string pulses;
};

std::vector<Vector> vectors_of(const std::string& name) {
    std::vector<Vector> vectors;
    std::istringstream lines(Rig().content(std::string(FETTLE_ROOT "/tests/data/") + name));
    for (std::string line; std::getline(lines, line);) {
        if (line.empty() || line[0] == '#') continue;
        const std::size_t first = line.find('|'), second = line.find('|', first + 1);
        Vector vector;
        std::istringstream words(line.substr(first + 1, second - first - 1)), widths(line.substr(second + 1));
        for (std::string word; words >> word;) vector.meaning.push_back(word);
        bool is_mark = true;
        for (int width = 0; widths >> width; is_mark = !is_mark)
            vector.pulses += fmt::format("{} {}\n", is_mark ? "pulse" : "space", width);
        vectors.push_back(std::move(vector));
    }
    return vectors;
}

/// One frame of the answer, its keys in the order of the requirement.
std::string expected(const Vector& vector, const std::string& toggle) {
    const auto& m = vector.meaning;
    std::string extended;
    if (m.size() > 4 && m[3] == "extended")
        extended = fmt::format(R"("extended":{},)", std::stoi(m[4], nullptr, 0));
    return fmt::format(R"({{"protocol":"{}","address":{},"command":{},{}"repeat":false,"toggle":{}}})", m[0],
                       std::stoi(m[1], nullptr, 0), std::stoi(m[2], nullptr, 0), extended, toggle);
}

}  // namespace

TEST_CASE("decode: 15 codes of ir-ctl give one frame each, as JSON with the names of the requirement") {
    int known = 0;
    for (const auto& vector : vectors_of("infrared_ir_ctl.txt")) {
        if (vector.meaning[0] == "unknown") continue;
        CAPTURE(vector.meaning[0]);
        ++known;
        const bool has_toggle = vector.meaning[0].starts_with("rc");
        Rig rig;
        CHECK(rig.json({"decode", rig.put("code", vector.pulses)}) ==
              "[" + expected(vector, has_toggle ? "0" : "null") + "]");
    }
    CHECK(known == 15);
}

TEST_CASE(
    "decode: 9 codes of protocols that are not ours have protocol unknown and a signature, no address") {
    int unknown = 0;
    for (const auto& vector : vectors_of("infrared_ir_ctl.txt")) {
        if (vector.meaning[0] != "unknown") continue;
        ++unknown;
        Rig rig;
        const std::string answer = rig.json({"decode", rig.put("code", vector.pulses)});
        CAPTURE(answer);
        CHECK(answer.starts_with(R"([{"protocol":"unknown","address":null,"command":null,"signature":")"));
        CHECK(answer.ends_with(R"(","repeat":false,"toggle":null}])"));
        CHECK(
            answer.size() ==
            std::string(
                R"([{"protocol":"unknown","address":null,"command":null,"signature":"01234567","repeat":false,"toggle":null}])")
                .size());
    }
    CHECK(unknown == 9);
}

TEST_CASE("decode: 15 keys sent three times by irsimsend give three frames of their protocol each") {
    const auto vectors = vectors_of("infrared_irsimsend.txt");
    CHECK(vectors.size() == 15);
    for (const auto& vector : vectors) {
        CAPTURE(vector.meaning[0]);
        Rig rig;
        const std::string answer = rig.json({"decode", rig.put("code", vector.pulses)});
        CAPTURE(answer);
        CHECK(count(answer, R"("protocol":)") == 3);
        CHECK(has(answer, fmt::format(R"("command":{},)", std::stoi(vector.meaning[2], nullptr, 0))));
    }
}

// Source: the NEC family's repeat code (9 ms, 2.25 ms, 0.56 ms) carries no code; it says that the last button
// is still held. The widths are irsimsend's.
TEST_CASE(
    "decode: a NEC repeat tells what it repeats; one that repeats nothing has no address and no command") {
    int held = 0;
    for (const auto& vector : vectors_of("infrared_irsimsend.txt")) {
        if (!vector.meaning[0].starts_with("nec")) continue;
        ++held;
        Rig rig;
        const std::string answer = rig.json({"decode", rig.put("code", vector.pulses)});
        const std::string first = expected(vector, "null"), repeat = with(first, "false", "true");
        CHECK(answer == "[" + first + "," + repeat + "," + repeat + "]");
    }
    CHECK(held == 3);
    Rig rig;
    CHECK(rig.json({"decode", rig.put("code", "pulse 9000\nspace 2250\npulse 560\n")}) ==
          R"([{"protocol":"nec","address":null,"command":null,"repeat":true,"toggle":null}])");
}

TEST_CASE("decode: without --json one frame a line, with its time; standard input by -") {
    Rig rig;
    const auto vectors = vectors_of("infrared_ir_ctl.txt");
    const Run ran = rig.run({"decode", "-"}, "space 20000\n" + vectors[1].pulses);
    CHECK(ran.exit == 0);
    CHECK(ran.out == "      20.0 ms  nec  address 0xa8  command 0x14\n");
    CHECK(ran.err.empty());
}

TEST_CASE("decode: an empty file holds no frame, and that is an answer") {
    Rig rig;
    CHECK(rig.run({"decode", rig.put("none", "")}).out == "No frame was found.\n");
    CHECK(rig.json({"decode", rig.put("none", "")}) == "[]");
    CHECK(rig.json({"decode", rig.put("rest", "# a comment\n\n   \n")}) == "[]");
}

TEST_CASE(
    "decode: what is no pulse is refused with the number of its line, exit 1, nothing on standard output") {
    Rig rig;
    for (const char* bad :
         {"pulse", "pulse x", "blink 5", "pulse -4", "pulse 0", "pulse 99999999", "pulse 5 6", "\xff\xfe"}) {
        CAPTURE(bad);
        const Run ran =
            rig.run({"decode", rig.put("bad", "pulse 500\nspace 500\n" + std::string(bad) + "\n")});
        CHECK(ran.exit == 1);
        CHECK(ran.out.empty());
        CHECK(has(ran.err, "line 3"));
        CHECK(count(ran.err, "\n") == 1);
    }
}
}  // namespace fettle::app::test
