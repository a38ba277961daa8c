#include "core/trace/roll_file.hpp"

#include <doctest/doctest.h>
#include <errno.h>

#include <cstdlib>
#include <fstream>
#include <random>

#include "core/engine/bytes.hpp"
#include "core/wire/crc.hpp"
#include "tests/base/disk.hpp"
#include "tests/base/folder.hpp"
#include "tests/trace/events.hpp"

using namespace fettle;
using namespace fettle::test;
using trace::Roll;
using trace::RollLabel;

namespace {

constexpr std::size_t k_head_part_at = 12;  // past magic and version
constexpr std::size_t k_body_at = k_head_part_at + 12;

RollLabel label() {
    RollLabel made;
    made.name = "Monday, the library's scanner";
    made.began_ms = 1767603600000;
    made.device_serial = "SIM00001";
    made.profile_image = {1, 2, 3, 0, 255};
    made.input_names = {"up", "down", "left", "right", "select", "chin switch", "Fußtaster"};
    made.mode_names = {"pointer", "text"};
    return made;
}

Roll some_roll(std::uint32_t seed = 3, std::size_t count = 500) {
    Mix mix;
    mix.seed = seed;
    mix.count = count;
    Roll roll = random_roll(mix);
    roll.extend_to(roll.last_us() + 777);
    return roll;
}

std::string bytes_of(const Roll& roll, const RollLabel& of = label()) {
    auto bytes = trace::roll_to_bytes(roll, of);
    REQUIRE(bytes.has_value());
    return std::move(*bytes);
}

bool is_same(const Roll& a, const Roll& b) {
    bool same = a.size() == b.size() && a.info() == b.info() && a.first_us() == b.first_us() &&
                a.last_us() == b.last_us();
    trace::Moment of_a, of_b;
    auto walk_a = a.walk(), walk_b = b.walk();
    while (same && walk_a.next(of_a)) {
        same =
            walk_b.next(of_b) && of_a.at_us == of_b.at_us && of_a.event.kind == of_b.event.kind &&
            std::equal(std::begin(of_a.event.data), std::end(of_a.event.data), std::begin(of_b.event.data));
    }
    return same;
}

Errc error_of(const std::string& bytes) {
    auto read = trace::roll_from_bytes(bytes, "f");
    REQUIRE_FALSE(read.has_value());
    CHECK(read.error().where == "f");
    return read.error().code;
}

/// Sets the checksum of the part that begins at `at` after its body was changed by hand.
void seal(std::string& bytes, std::size_t at) {
    auto* part = reinterpret_cast<std::uint8_t*>(bytes.data()) + at;
    const std::uint32_t size = engine::get32(part + 4);
    std::uint32_t crc = wire::k_crc32_start;
    for (std::size_t i = 0; i < 8; ++i) crc = wire::crc32_step(crc, part[i]);
    for (std::size_t i = 0; i < size; ++i) crc = wire::crc32_step(crc, part[12 + i]);
    engine::put32(part + 8, crc ^ wire::k_crc32_final);
}

std::size_t next_part_at(const std::string& bytes, std::size_t at) {
    return at + 12 + engine::get32(reinterpret_cast<const std::uint8_t*>(bytes.data()) + at + 4);
}

/// Where the part with this tag begins.
std::size_t part_at(const std::string& bytes, std::string_view tag) {
    std::size_t at = k_head_part_at;
    while (at < bytes.size() && bytes.compare(at, 4, tag) != 0) at = next_part_at(bytes, at);
    REQUIRE(at < bytes.size());
    return at;
}

}  // namespace

TEST_CASE("roll file: 500 random events with gaps, and 7 names come back equal") {
    const Roll roll = some_roll();
    auto read = trace::roll_from_bytes(bytes_of(roll), "f");
    REQUIRE(read.has_value());
    CHECK(is_same(read->roll, roll));
    CHECK(read->label == label());
    CHECK(roll.count_of(trace::Wanted::telemetry_lost) > 0);
    CHECK(read->roll.count_of(trace::Wanted::telemetry_lost) == roll.count_of(trace::Wanted::telemetry_lost));
}

TEST_CASE(
    "roll file: an empty roll without a name, and one of 30,000 events in several parts come back equal") {
    Roll empty;
    empty.clear({0x12345678, 7, true});
    auto read = trace::roll_from_bytes(bytes_of(empty, {}), "f");
    REQUIRE(read.has_value());
    CHECK(is_same(read->roll, empty));
    CHECK(read->roll.info().image_crc == 0x12345678);
    CHECK(read->roll.info().has_usages);
    CHECK(read->label == RollLabel{});
    const Roll large = some_roll(5, 30000);
    const std::string bytes = bytes_of(large);
    const std::size_t first = part_at(bytes, "EVTS");
    CHECK(bytes.compare(next_part_at(bytes, first), 4, "EVTS") == 0);
    read = trace::roll_from_bytes(bytes, "f");
    REQUIRE(read.has_value());
    CHECK(is_same(read->roll, large));
}

TEST_CASE("roll file: times at both ends, 4 years apart, come back equal; farther ones count as those") {
    Roll roll;
    roll.append(-trace::k_farthest_us - 5, level(0, true));
    roll.append(INT64_MAX, level(0, false));
    roll.append_gap(3);
    roll.append(INT64_MIN, level(0, true));
    CHECK(roll.first_us() == -trace::k_farthest_us);
    auto read = trace::roll_from_bytes(bytes_of(roll), "f");
    REQUIRE(read.has_value());
    CHECK(is_same(read->roll, roll));
}

TEST_CASE("roll file: every bit of a file of 60 events flipped gives an error, never a roll") {
    const std::string whole = bytes_of(some_roll(9, 60));
    std::size_t read_ones = 0;
    for (std::size_t bit = 0; bit < whole.size() * 8; ++bit) {
        std::string bytes = whole;
        bytes[bit / 8] = static_cast<char>(bytes[bit / 8] ^ (1 << bit % 8));
        read_ones += std::size_t{trace::roll_from_bytes(bytes, "f").has_value()};
    }
    CHECK(read_ones == 0);
}

TEST_CASE("roll file: a file cut at any byte, or with a byte after its end, gives an error") {
    const std::string whole = bytes_of(some_roll(9, 60));
    std::size_t read_ones = 0;
    for (std::size_t size = 0; size < whole.size(); ++size)
        read_ones += std::size_t{trace::roll_from_bytes(whole.substr(0, size), "f").has_value()};
    CHECK(read_ones == 0);
    CHECK(error_of(whole + '\0') == Errc::garbled);
}

TEST_CASE("roll file: any byte changed under a right checksum gives an error or a roll that saves again") {
    const std::string whole = bytes_of(some_roll(21, 120));
    std::mt19937 random(4);
    std::size_t refused = 0, taken = 0;
    for (std::size_t part = k_head_part_at; part < whole.size(); part = next_part_at(whole, part)) {
        for (std::size_t at = part + 12; at < next_part_at(whole, part); ++at) {
            std::string bytes = whole;
            bytes[at] = static_cast<char>(bytes[at] ^ static_cast<char>(1 + random() % 255));
            seal(bytes, part);
            auto read = trace::roll_from_bytes(bytes, "f");
            if (!read) {
                ++refused;
                continue;
            }
            ++taken;
            auto again = trace::roll_from_bytes(bytes_of(read->roll, read->label), "f");
            REQUIRE(again.has_value());
            CHECK(is_same(again->roll, read->roll));
            CHECK(again->label == read->label);
        }
    }
    CHECK(refused > 50);
    CHECK(taken > 50);
}

TEST_CASE("roll file: 2,000 files of random changes, cuts and doubled pieces are read or refused, bounded") {
    const std::string whole = bytes_of(some_roll(22, 300));
    std::mt19937 random(8);
    for (int i = 0; i < 2000; ++i) {
        std::string bytes = whole;
        for (unsigned n = random() % 4; n > 0; --n)
            bytes[random() % bytes.size()] = static_cast<char>(random());
        if (random() % 3 == 0) bytes.resize(random() % bytes.size());
        if (random() % 3 == 0)
            bytes.insert(random() % (bytes.size() + 1), whole.substr(random() % whole.size()));
        for (std::size_t at = k_head_part_at; at + 12 <= bytes.size();) {
            const std::size_t next = next_part_at(bytes, at);
            if (next > bytes.size() || next <= at) break;
            seal(bytes, at);
            at = next;
        }
        auto read = trace::roll_from_bytes(bytes, "f");
        if (read)
            CHECK(read->roll.bytes_used() <= bytes.size() * trace::k_most_bytes_a_file_byte + (4u << 20));
    }
}

TEST_CASE("roll file: a file of nothing but gaps and snapshots that turn every input takes 64 bytes a byte") {
    Roll roll;
    for (int i = 0; i < 20000; ++i) {
        roll.append(i, lost(1));
        roll.append(i, snapshot(i % 200, i % 2 == 0 ? 0xFFFFFF : 0));
    }
    const std::string bytes = bytes_of(roll);
    CHECK(roll.bytes_used() <= bytes.size() * trace::k_most_bytes_a_file_byte + (4u << 20));
    auto read = trace::roll_from_bytes(bytes, "f");
    REQUIRE(read.has_value());
    CHECK(read->roll.bytes_used() <= bytes.size() * trace::k_most_bytes_a_file_byte + (4u << 20));
}

TEST_CASE("roll file: sizes that claim 4 GB, 65,535 names or 4 billion events are refused at once") {
    const std::string whole = bytes_of(some_roll(9, 60));
    std::string bytes = whole;
    engine::put32(reinterpret_cast<std::uint8_t*>(bytes.data()) + k_head_part_at + 4, 0xFFFFFFFF);
    CHECK(error_of(bytes) == Errc::garbled);
    bytes = bytes_of(some_roll(9, 60), {});
    const std::size_t text = part_at(bytes, "TEXT");
    engine::put16(reinterpret_cast<std::uint8_t*>(bytes.data()) + text + 12 + 4, 0xFFFF);
    seal(bytes, text);
    CHECK(error_of(bytes) == Errc::garbled);
    bytes = whole;
    const std::size_t events = part_at(bytes, "EVTS");
    engine::put32(reinterpret_cast<std::uint8_t*>(bytes.data()) + events + 12 + 8, 0xFFFFFFFF);
    seal(bytes, events);
    CHECK(error_of(bytes) == Errc::garbled);
}

TEST_CASE("roll file: parts left out, twice or in another order are refused") {
    const std::string whole = bytes_of(some_roll(9, 60));
    const std::size_t head = k_head_part_at, text = next_part_at(whole, head),
                      image = next_part_at(whole, text);
    const std::size_t events = next_part_at(whole, image), end = next_part_at(whole, events);
    const auto piece = [&](std::size_t from, std::size_t to) { return whole.substr(from, to - from); };
    const std::string magic = piece(0, head);
    CHECK(error_of(magic + piece(text, whole.size())) == Errc::garbled);
    CHECK(error_of(piece(0, text) + piece(image, whole.size())) == Errc::garbled);
    CHECK(error_of(piece(0, events) + piece(end, whole.size())) == Errc::garbled);
    CHECK(error_of(piece(0, text) + piece(head, whole.size())) == Errc::garbled);
    CHECK(error_of(magic + piece(text, image) + piece(head, text) + piece(image, whole.size())) ==
          Errc::garbled);
    CHECK(error_of(piece(0, end) + piece(events, whole.size())) == Errc::garbled);
    CHECK(error_of(piece(0, events) + piece(image, whole.size())) == Errc::garbled);
    CHECK(error_of(piece(0, end)) == Errc::garbled);
    std::string other = whole;
    other[events] = 'Z';
    seal(other, events);
    CHECK(error_of(other) == Errc::garbled);
}

TEST_CASE(
    "roll file: something else is no recording, version 2 is another version, a wrong head is garbled") {
    CHECK(error_of("") == Errc::syntax);
    CHECK(error_of("{\"inputs\": []}") == Errc::syntax);
    std::string bytes = bytes_of(some_roll(9, 60));
    bytes[8] = 2;
    auto read = trace::roll_from_bytes(bytes, "f");
    CHECK(read.error().code == Errc::version);
    CHECK(read.error().detail == "2");
    for (const unsigned at : {6u, 7u, 8u, 12u, 32u}) {  // usages, spare, lost batches and events, count
        CAPTURE(at);
        bytes = bytes_of(some_roll(9, 60));
        bytes[k_body_at + at] = static_cast<char>(bytes[k_body_at + at] + 2);
        seal(bytes, k_head_part_at);
        CHECK(error_of(bytes) == Errc::garbled);
    }
}

TEST_CASE("roll file: an end 1 us before the last event is refused") {
    Roll roll;
    roll.append(5000, level(0, true));
    std::string bytes = bytes_of(roll);
    CHECK(bytes[k_body_at + 24] == static_cast<char>(5000 & 0xFF));
    bytes[k_body_at + 24] = static_cast<char>(4999 & 0xFF);
    seal(bytes, k_head_part_at);
    CHECK(error_of(bytes) == Errc::garbled);
}

TEST_CASE("roll file: an error names the part and the byte") {
    std::string bytes = bytes_of(some_roll(9, 60));
    const std::size_t events = part_at(bytes, "EVTS");
    bytes[events + 12] = static_cast<char>(bytes[events + 12] ^ 1);
    auto read = trace::roll_from_bytes(bytes, "f");
    CHECK(read.error().detail == "checksum at byte " + std::to_string(events));
    bytes[events + 12 + 12] = 0x1F;  // no such kind
    seal(bytes, events);
    read = trace::roll_from_bytes(bytes, "f");
    CHECK(read.error().detail == "event at byte " + std::to_string(events + 24));
}

TEST_CASE("roll file: a name of 4,097 bytes, 257 names, an image of 65,537 bytes or no UTF-8 is not saved") {
    const Roll roll = some_roll(9, 60);
    RollLabel of = label();
    of.name = std::string(4097, 'x');
    CHECK(trace::roll_to_bytes(roll, of).error().code == Errc::too_large);
    of.name = std::string(4096, 'x');
    CHECK(trace::roll_from_bytes(bytes_of(roll, of), "f")->label == of);
    of.mode_names.assign(257, "m");
    CHECK(trace::roll_to_bytes(roll, of).error().code == Errc::too_large);
    of = label();
    of.profile_image.assign(65537, 1);
    CHECK(trace::roll_to_bytes(roll, of).error().code == Errc::too_large);
    of = label();
    of.device_serial = "\xC0\x80";
    CHECK(trace::roll_to_bytes(roll, of).error().code == Errc::syntax);
}

TEST_CASE("roll file: saved, it is mode 0600 and opens equal; a missing and a foreign file give errors") {
    const Folder folder;
    const Roll roll = some_roll();
    REQUIRE(trace::save_roll(folder / "a.roll", roll, label()));
    CHECK(mode_of(folder / "a.roll") == 0600);
    auto read = trace::open_roll(folder / "a.roll");
    REQUIRE(read.has_value());
    CHECK(is_same(read->roll, roll));
    CHECK(trace::open_roll(folder / "none").error().code == Errc::not_found);
    std::ofstream(folder / "b") << "time,value\n";
    CHECK(trace::open_roll(folder / "b").error().code == Errc::syntax);
    CHECK(trace::open_roll(folder / "b").error().where == folder / "b");
}

TEST_CASE("roll file: with every step of saving failing or killed, the file is the old roll or the new one") {
    const Roll before = some_roll(1, 50), after = some_roll(2, 80);
    int steps = 1;
    for (const bool killed : {false, true}) {
        for (int fail_at = 0; fail_at <= steps; ++fail_at) {
            CAPTURE(fail_at);
            CAPTURE(killed);
            const Folder folder;
            REQUIRE(trace::save_roll(folder / "a", before, label()));
            FailingDisk disk(system_files(), fail_at, -EIO, killed);
            const Status saved = trace::save_roll(folder / "a", after, label(), disk);
            steps = std::max(steps, disk.steps());
            auto read = trace::open_roll(folder / "a");
            REQUIRE(read.has_value());
            CHECK((is_same(read->roll, before) || is_same(read->roll, after)));
            if (saved) CHECK(is_same(read->roll, after));
        }
    }
    CHECK(steps > 5);
}

TEST_CASE("roll file: with every step of opening failing, there is an error or the whole roll") {
    const Folder folder;
    const Roll roll = some_roll(1, 50);
    REQUIRE(trace::save_roll(folder / "a", roll, label()));
    int steps = 1, failed = 0;
    for (int fail_at = 0; fail_at <= steps; ++fail_at) {
        FailingDisk disk(system_files(), fail_at, -EIO, false);
        auto read = trace::open_roll(folder / "a", disk);
        steps = std::max(steps, disk.steps());
        if (read)
            CHECK(is_same(read->roll, roll));
        else
            ++failed;
    }
    CHECK(failed > 1);
}

TEST_CASE(
    "roll file: after a power cut at any time of saving, what is on the disk opens as the old or the new") {
    const Roll before = some_roll(1, 20), after = some_roll(2, 30);
    ModelDisk disk(4096);
    REQUIRE(trace::save_roll("d/a", before, label(), disk));
    const std::string old_bytes = bytes_of(before), new_bytes = bytes_of(after);
    int steps = 1;
    for (int fail_at = 0; fail_at <= steps; ++fail_at) {
        CAPTURE(fail_at);
        ModelDisk fresh(4096);
        REQUIRE(trace::save_roll("d/a", before, label(), fresh));
        FailingDisk failing(fresh, fail_at, -EIO, true);
        (void)trace::save_roll("d/a", after, label(), failing);
        steps = std::max(steps, failing.steps());
        for (const auto& left : fresh.after_power_cut()) {
            const auto file = left.find("d/a");
            REQUIRE(file != left.end());
            CHECK((file->second == old_bytes || file->second == new_bytes));
        }
    }
}
