#include "core/base/log.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

#include "core/base/files.hpp"
#include "core/base/utf8.hpp"
#include "tests/base/folder.hpp"

namespace fettle {
namespace {

using test::Folder;
using test::mode_of;

constexpr size_t k_limit = 1 << 20;
constexpr int64_t k_monday_ms = 1767603600000;  // 2026-01-05 09:00:00 UTC: `date -u -d @1767603600`

/// "" when there is no such file.
std::string text_of(const std::string& path) {
    const auto text = read_file(path, k_limit);
    return text ? text.value() : std::string{};
}

TEST_CASE("log: 1 line has the calendar time and the sentence, in a file of mode 0600") {
    const Folder folder;
    const FakeClock clock(k_monday_ms);
    auto log = Log::open(folder / "state", clock).value();
    log->line("opened the simulated device");
    CHECK(read_file(folder / "state/fettle.log", k_limit).value() ==
          "2026-01-05T09:00:00.000Z opened the simulated device\n");
    CHECK(mode_of(folder / "state/fettle.log") == 0600);
    CHECK(mode_of(folder / "state") == 0700);
    CHECK(log->lost_lines() == 0);
}

TEST_CASE("log: a second opening adds to the file and takes rights from mode 0644") {
    const Folder folder;
    const FakeClock clock(k_monday_ms);
    std::ofstream(folder / "fettle.log") << "older\n";
    std::filesystem::permissions(folder / "fettle.log", std::filesystem::perms(0644));
    Log::open(folder.path(), clock).value()->line("newer");
    CHECK(read_file(folder / "fettle.log", k_limit).value() == "older\n2026-01-05T09:00:00.000Z newer\n");
    CHECK(mode_of(folder / "fettle.log") == 0600);
}

TEST_CASE("log: 100 lines of 125 bytes stay within 3 files of 1,000 bytes, the newest line last") {
    const Folder folder;
    const FakeClock clock(k_monday_ms);
    auto log = Log::open(folder.path(), clock, {1000, 2, 1000}).value();
    for (int n = 0; n < 100; ++n) log->line(std::string(95, 'x') + std::to_string(1000 + n));
    CHECK(log->lost_lines() == 0);
    const std::string now = read_file(folder / "fettle.log", k_limit).value();
    const std::string before = read_file(folder / "fettle.log.1", k_limit).value();
    const std::string oldest = read_file(folder / "fettle.log.2", k_limit).value();
    CHECK(now.size() <= 1000);
    CHECK(before.size() == 1000);  // 8 lines of 25 + 99 + 1 bytes
    CHECK(oldest.size() == 1000);
    CHECK(now.ends_with("1099\n"));
    CHECK(before.ends_with("1095\n"));
    CHECK(oldest.ends_with("1087\n"));
    CHECK_FALSE(std::filesystem::exists(folder / "fettle.log.3"));
    CHECK(mode_of(folder / "fettle.log.1") == 0600);
}

TEST_CASE("log: with 0 old files the one file starts again") {
    const Folder folder;
    const FakeClock clock(k_monday_ms);
    auto log = Log::open(folder.path(), clock, {60, 0, 1000}).value();
    log->line("first sentence of some length");
    log->line("second");
    CHECK(read_file(folder / "fettle.log", k_limit).value() == "2026-01-05T09:00:00.000Z second\n");
    CHECK_FALSE(std::filesystem::exists(folder / "fettle.log.1"));
}

TEST_CASE("log: a sentence with a line end, an escape and a broken byte stays 1 line of clean text") {
    const Folder folder;
    const FakeClock clock(k_monday_ms);
    auto log = Log::open(folder.path(), clock).value();
    log->line("a\n2026 forged\x1B[2J\xFF\x7F");
    CHECK(read_file(folder / "fettle.log", k_limit).value() ==
          "2026-01-05T09:00:00.000Z a?2026 forged?[2J??\n");
}

TEST_CASE("log: a line over 10 bytes is cut between 2 characters") {
    const Folder folder;
    const FakeClock clock(k_monday_ms);
    auto log = Log::open(folder.path(), clock, {1000, 1, 10}).value();
    log->line("123456789\xC3\xA9more");  // the tenth byte is inside the letter
    CHECK(read_file(folder / "fettle.log", k_limit).value() == "2026-01-05T09:00:00.000Z 123456789...\n");
}

TEST_CASE("log: 2 lines that cannot be written are counted") {
    const FakeClock clock;
    // A file that takes nothing: every write to it says that the disk is full (full(4)).
    const Folder folder;
    std::filesystem::create_symlink("/dev/full", folder / "fettle.log");
    CHECK(Log::open(folder.path(), clock).error().code ==
          Errc::io);  // not through a link somebody laid there

    auto log = Log::open(folder / "ok", clock, {40, 1, 1000}).value();
    log->line("one");
    std::filesystem::remove_all(folder / "ok");
    std::ofstream(folder / "ok") << "now a file";
    log->line("two, after which the file is full");
    log->line("three");
    CHECK(log->lost_lines() == 2);
    std::filesystem::remove(folder / "ok");
    std::filesystem::create_directory(folder / "ok");
    log->line("four");
    CHECK(read_file(folder / "ok/fettle.log", k_limit).value().ends_with(" four\n"));
    CHECK(log->lost_lines() == 2);
}

TEST_CASE("log: 4 threads with 200 lines each leave 800 whole lines over a rotation") {
    const Folder folder;
    const FakeClock clock(k_monday_ms);
    auto log = Log::open(folder.path(), clock, {30000, 3, 1000}).value();
    std::vector<std::thread> threads;
    for (int t = 0; t < 4; ++t) {
        threads.emplace_back([&log, t] {
            for (int n = 0; n < 200; ++n) log->line("thread " + std::to_string(t) + std::string(30, 'x'));
        });
    }
    for (auto& thread : threads) thread.join();
    size_t whole = 0;
    for (const char* name : {"fettle.log", "fettle.log.1", "fettle.log.2", "fettle.log.3"}) {
        std::istringstream lines(text_of(folder / name));
        for (std::string line; std::getline(lines, line);) {
            const bool is_whole = line.size() == 25 + 8 + 30 &&
                                  line.starts_with("2026-01-05T09:00:00.000Z thread ") &&
                                  line.ends_with(std::string(30, 'x'));
            whole += size_t{is_whole};
        }
    }
    CHECK(whole == 800);
    CHECK(log->lost_lines() == 0);
}

// Source: GNU date, `date -u -d @N +%FT%TZ`.
TEST_CASE("log: 4 calendar texts, before 1970 and on a leap day too") {
    CHECK(calendar_text(0) == "1970-01-01T00:00:00.000Z");
    CHECK(calendar_text(-1) == "1969-12-31T23:59:59.999Z");
    CHECK(calendar_text(1709210096789) == "2024-02-29T12:34:56.789Z");
    CHECK(calendar_text(4102444800000) == "2100-01-01T00:00:00.000Z");
}

}  // namespace
}  // namespace fettle
