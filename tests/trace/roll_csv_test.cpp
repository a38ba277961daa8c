// CSV through a strict reader written from RFC 4180, section 2, and what an export contains.
#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "core/trace/record.hpp"
#include "core/trace/roll_export.hpp"
#include "tests/trace/events.hpp"

using namespace fettle;
using namespace fettle::test;
using engine::EventKind;
using trace::Roll;

namespace {

using Line = std::vector<std::string>;

/// Every line ends with CRLF, quotes stand around whole fields, inner ones are doubled, all lines have as
/// many fields. Empty: it is no such file.
std::vector<Line> read_csv(const std::string& text) {
    std::vector<Line> lines;
    std::size_t at = 0;
    while (at < text.size()) {
        Line line(1);
        while (true) {
            if (at < text.size() && text[at] == '"') {
                if (!line.back().empty()) return {};
                for (++at;; ++at) {
                    if (at >= text.size()) return {};
                    if (text[at] == '"' && (at + 1 >= text.size() || text[at + 1] != '"')) break;
                    if (text[at] == '"') ++at;
                    line.back() += text[at];
                }
                ++at;
                if (at >= text.size() || (text[at] != ',' && text[at] != '\r')) return {};
            } else {
                while (at < text.size() && text.find_first_of(",\r\n\"", at) != at) line.back() += text[at++];
            }
            if (at >= text.size() || (text[at] != ',' && text[at] != '\r')) return {};
            if (text[at++] == '\r') break;
            line.emplace_back();
        }
        if (at >= text.size() || text[at++] != '\n') return {};
        if (!lines.empty() && lines[0].size() != line.size()) return {};
        lines.push_back(line);
    }
    return lines;
}

std::string csv_of(const Roll& roll, const trace::ExportNames& names = {},
                   const trace::ExportRange& range = {}) {
    std::string made;
    REQUIRE(trace::export_csv(roll, names, range, [&](std::string_view piece) {
        made += piece;
        return true;
    }));
    return made;
}

Line first(const Line& line, std::size_t count) {
    return {line.begin(), line.begin() + static_cast<std::ptrdiff_t>(count)};
}

}  // namespace

TEST_CASE("CSV: an empty roll is a header line of 14 names, the time's with its unit") {
    const auto lines = read_csv(csv_of(Roll()));
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].size() == 14);
    CHECK(first(lines[0], 5) == Line{"time_us", "kind", "input", "name", "value_1"});
}

TEST_CASE("CSV: numbers of 1 to 4 bytes are whole, inputs have columns of their own") {
    Roll roll;
    roll.append(-300, level(3, true));
    roll.append(500, infrared(1, true, 0xFFEE0102));
    roll.append(600, snapshot(2, 0x810001));
    roll.append(700, event(EventKind::trial, {1, 0x02, 0x01, 60, 0}));
    roll.append_gap(70000);
    roll.append(2000, pointer(-1, 300, 1));
    const auto lines = read_csv(csv_of(roll));
    REQUIRE(lines.size() == 7);
    CHECK(first(lines[1], 5) == Line{"-300", "level", "3", "input 3", "1"});
    CHECK(first(lines[2], 7) == Line{"500", "ir_frame", "", "", "129", "255", "4293787906"});
    CHECK(first(lines[3], 10) == Line{"600", "snapshot", "", "", "2", "0", "1000", "0", "0", "8454145"});
    CHECK(first(lines[4], 7) == Line{"700", "trial", "", "", "1", "258", "60"});
    CHECK(first(lines[5], 5) == Line{"701", "gap", "", "", "70000"});
    CHECK(lines[6] == Line{"2000", "report", "", "", "1", "8", "1", "1", "255", "255", "44", "1", "0", "0"});
}

TEST_CASE("CSV: a name with comma, quote and line break comes back as it was, in 1 field") {
    Roll roll;
    roll.append(0, level(0, true));
    roll.append(1, level(1, true));
    roll.append(2, level(24, true));
    const std::string name = "chin, \"left\"\r\nswitch";
    const auto lines = read_csv(csv_of(roll, {{name, ""}, {}, {}}));
    REQUIRE(lines.size() == 4);
    CHECK(lines[1][3] == name);
    CHECK(lines[2][3] == "input 1");
    CHECK(lines[3][3] == "input 24");
}

TEST_CASE("CSV: every kind has its word, and a line's values take as many bytes as the kind's payload") {
    for (int kind = 0; kind <= static_cast<int>(EventKind::snapshot); ++kind) {
        CAPTURE(kind);
        CHECK_FALSE(trace::csv_kind(static_cast<EventKind>(kind)).empty());
    }
    CHECK(trace::csv_kind(static_cast<EventKind>(25)).empty());
    // Each payload byte in turn 1, the others 0: it must show in exactly one value.
    for (int kind = 1; kind <= static_cast<int>(EventKind::snapshot); ++kind) {
        for (int byte = 0; byte < engine::event_size(static_cast<EventKind>(kind)); ++byte) {
            CAPTURE(kind);
            CAPTURE(byte);
            engine::Event e = event(static_cast<EventKind>(kind), {});
            e.data[byte] = 1;
            Roll roll;
            REQUIRE(roll.append(0, e));
            const auto lines = read_csv(csv_of(roll));
            REQUIRE(lines.size() == 2);
            int shown = 0;
            for (std::size_t i = 2; i < lines[1].size(); ++i)
                shown += i != 3 && lines[1][i] != "" && lines[1][i] != "0" ? 1 : 0;
            CHECK(shown == 1);
        }
    }
}

TEST_CASE("CSV: of 900 random events the 1,000 us asked for are there, in their order, and no other") {
    Mix mix;
    mix.seed = 12;
    mix.count = 900;
    const Roll roll = random_roll(mix);
    const trace::ExportRange range{roll.at(300).at_us, roll.at(300).at_us + 100000};
    const auto lines = read_csv(csv_of(roll, {}, range));
    std::vector<std::string> times;
    for (std::size_t i = 0; i < roll.size(); ++i) {
        const std::int64_t us = roll.at(i).at_us;
        if (us >= range.from_us && us < range.to_us) times.push_back(std::to_string(us));
    }
    REQUIRE(lines.size() == times.size() + 1);
    CHECK(times.size() > 50);
    std::size_t wrong = 0;
    for (std::size_t i = 0; i < times.size(); ++i) wrong += std::size_t{lines[i + 1][0] != times[i]};
    CHECK(wrong == 0);
}

TEST_CASE("CSV: 20,000 events come in several pieces; a sink that stops after 1 is not called again") {
    Mix mix;
    mix.count = 20000;
    const Roll roll = random_roll(mix);
    int pieces = 0;
    CHECK(trace::export_csv(roll, {}, {}, [&](std::string_view) { return ++pieces > 0; }));
    CHECK(pieces > 3);
    pieces = 0;
    CHECK_FALSE(trace::export_csv(roll, {}, {}, [&](std::string_view) { return ++pieces < 1; }));
    CHECK(pieces == 1);
}

TEST_CASE("contents: 3 usages in the clear and 3 covered ones are told apart") {
    Roll roll;
    roll.append(1000, snapshot(0, 0));
    roll.append(1001, event(EventKind::report, {0, 8, 2, 0, 4, 5}));           // 2 in the clear
    roll.append(1002, event(EventKind::report, {0, 8, 2, 0, 0xFF}));           // 1 covered
    roll.append(1003, event(EventKind::report, {1, 3, 2, 0xE9, 0}));           // 1 in the clear
    roll.append(1004, event(EventKind::report, {1, 3, 2, 0xFF, 0xFF}));        // 1 covered
    roll.append(1005, event(EventKind::report, {1, 3, 2, 0, 0}));              // none
    roll.append(1006, event(EventKind::text, {0xFF, 1}));                      // 1 covered
    roll.append(1007, event(EventKind::report, {1, 8, 1, 0, 0xFF, 0xFF, 1}));  // moves
    roll.append_gap(2);
    const auto all = trace::contents(roll);
    CHECK(all.events == 9);
    CHECK(all.key_usages == 3);
    CHECK(all.covered_usages == 3);
    CHECK(all.has_key_usages());
    CHECK(all.by_kind[static_cast<std::size_t>(EventKind::report)] == 6);
    CHECK(all.by_kind[0] == 1);
    CHECK(all.long_us() == 8);
    const auto part = trace::contents(roll, {1004, 1007});
    CHECK(part.events == 3);
    CHECK_FALSE(part.has_key_usages());
    CHECK(part.covered_usages == 2);
    CHECK(trace::contents(Roll()).events == 0);
}

TEST_CASE("contents: a number of a text and a place in the grid in the clear are 2 usages") {
    Roll roll;
    roll.append(0, event(EventKind::text, {3, 1}));
    roll.append(0, event(EventKind::grid, {0, 0xFF}));
    roll.append(0, event(EventKind::grid, {0xFF, 0xFF}));
    CHECK(trace::contents(roll).key_usages == 2);
    CHECK(trace::contents(roll).covered_usages == 1);
}
