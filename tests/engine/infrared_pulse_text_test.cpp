// Recorded infrared as text, and its decoding.
#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/engine/infrared_support.hpp"

using namespace fettle;
using namespace fettle::test_infrared;
using sim::PulseWidth;

namespace {
Error error_of(const std::string& text) {
    const auto result = sim::parse_pulse_text(text);
    REQUIRE_FALSE(result.has_value());
    return result.error();
}
}  // namespace

TEST_CASE("pulse text: pulse and space lines, comments, blank lines and carriage returns are read") {
    const auto widths = sim::parse_pulse_text(
        "# a recording\n\n  space 200000\r\npulse 9000 # leader\n\tspace\t4500\npulse 563");
    REQUIRE(widths.has_value());
    CHECK(*widths == std::vector<PulseWidth>{{false, 200000}, {true, 9000}, {false, 4500}, {true, 563}});
    CHECK(sim::parse_pulse_text("")->empty());
    CHECK(sim::parse_pulse_text("\n#\n \n")->empty());
}

TEST_CASE("pulse text: two lines of a kind in a row are one width") {
    const auto widths = sim::parse_pulse_text("pulse 400\npulse 163\nspace 1\nspace 16777215\n");
    REQUIRE(widths.has_value());
    CHECK(*widths == std::vector<PulseWidth>{{true, 563}, {false, 16777216}});
}

TEST_CASE("pulse text: what is no pulse or space line is refused with its number") {
    CHECK(error_of("pulse 1\nnoise 5\n") ==
          Error{Errc::syntax, "line 2", "\"noise 5\": a line is pulse N or space N, N in us"});
    for (const char* const text : {"pulse", "pulse ", "pulse x", "pulse 5x", "pulse 5 6", "pulse -5",
                                   "pulse 5.0", "pulse +5", "pulse 0x10"}) {
        CAPTURE(text);
        CHECK(error_of(text) == Error{Errc::syntax, "line 1",
                                      '"' + std::string(text, std::string(text).find_last_not_of(' ') + 1) +
                                          "\": after the word stands one whole number of us"});
    }
    CHECK(error_of("PULSE 5").code == Errc::syntax);
    CHECK(error_of("pulses 5").code == Errc::syntax);
}

TEST_CASE("pulse text: widths of 0 and over 16777215 us are refused, however many digits they have") {
    for (const char* const text :
         {"# one\nspace 0", "# one\nspace 16777216", "# one\nspace 99999999999999999999999"}) {
        CAPTURE(text);
        const auto error = error_of(text);
        CHECK(error.code == Errc::out_of_range);
        CHECK(error.where == "line 2");
    }
}

TEST_CASE("pulse text: an error shows at most 40 characters of the line, and only printable ones") {
    CHECK(error_of(std::string("\x01\xFF\x1B[2J")).detail.substr(0, 9) == "\"???[2J\":");
    CHECK(error_of(std::string(100000, 'a')).detail.substr(0, 47) == '"' + std::string(40, 'a') + "...\": ");
}

TEST_CASE("pulse text: any text at all gives widths or an error, and widths come back from their own text") {
    CHECK(rc::check([](const std::string& text) {
        const auto widths = sim::parse_pulse_text(text);
        if (!widths) {
            RC_ASSERT(widths.error().where.rfind("line ", 0) == 0u);
            return;
        }
        const auto again = sim::parse_pulse_text(sim::format_pulse_text(*widths));
        RC_ASSERT(again.has_value());
        RC_ASSERT(*again == *widths);
    }));
    CHECK(rc::check([](std::vector<std::uint32_t> numbers) {
        for (auto& us : numbers) us = us % 16777215 + 1;
        const auto widths = sim::to_pulse_widths(numbers);
        const auto again = sim::parse_pulse_text(sim::format_pulse_text(widths));
        RC_ASSERT(again.has_value());
        RC_ASSERT(*again == widths);
    }));
}

TEST_CASE("decode: the last frame of a file counts without a silence behind it") {
    const IrFrame sent = frame_of(Protocol::sirc12, 1, 21);
    const auto text = sim::format_pulse_text(sim::to_pulse_widths(sim::encode(sent)));
    const auto frames = sim::decode_widths(*sim::parse_pulse_text(text));
    CHECK(text_of(frames) == text_of({sent}));
    CHECK(sim::decode_widths({}).empty());
}

TEST_CASE("decode: a frame is stamped with the start of its first and the end of its last mark, to 1 us") {
    const IrFrame sent = frame_of(Protocol::nec, 0xA8, 0x14);
    std::vector<PulseWidth> widths = {{false, 200000}};
    for (const auto& width : sim::to_pulse_widths(held(sent, 3))) widths.push_back(width);
    const auto frames = sim::decode_widths_timed(widths);
    REQUIRE(frames.size() == 3);
    CHECK(frames[0].start_us == 200000);
    CHECK(frames[0].end_us == 200000 + 68095);  // Source: ir-ctl's sum for nec:0xa814
    CHECK(frames[1].start_us == 308000);        // Source: NEC's period, 108 ms
    CHECK(frames[1].end_us == 308000 + 9000 + 2250 + 563);
    CHECK(frames[2].start_us == 416000);
}

TEST_CASE("decode: a list that begins with a space or holds widths of 0 is read all the same") {
    const IrFrame sent = frame_of(Protocol::nec, 1, 2);
    auto widths = sim::to_pulse_widths(sim::encode(sent));
    widths.insert(widths.begin(), {{false, 20}, {true, 0}});
    CHECK(text_of(sim::decode_widths(widths)) == text_of({sent}));
}

TEST_CASE("decode: cutting a space into many lines changes nothing") {
    const IrFrame sent = frame_of(Protocol::jvc, 3, 5);
    std::vector<PulseWidth> cut;
    for (const auto& width : sim::to_pulse_widths(held(sent, 3))) {
        cut.push_back({width.is_mark, width.width_us / 3});
        cut.push_back({width.is_mark, width.width_us - width.width_us / 3});
    }
    CHECK(text_of(sim::decode_widths(cut)) == text_of(decoded(held(sent, 3))));
}
