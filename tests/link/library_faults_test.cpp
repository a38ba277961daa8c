// What the ports make of what hidapi and libserialport say. The libraries are the test's own; a serial port's
// node is a pseudo terminal, so that locks and terminal settings are real.
// Source of the error numbers and results: measured with hidapi 0.13.1 and libserialport 0.1.1 on Linux 6.1.

#include <doctest/doctest.h>
#include <errno.h>
#include <fcntl.h>
#include <hidapi.h>
#include <stdlib.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <array>
#include <fstream>
#include <limits>

#include "core/link/hid_port.hpp"
#include "core/link/ports.hpp"
#include "core/wire/message.hpp"
#include "tests/base/folder.hpp"
#include "tests/link/fake_libraries.hpp"

using namespace fettle;
using namespace fettle::test;
using Report = std::array<std::uint8_t, wire::k_hid_report_bytes>;

namespace {

class TestClock final : public Clock {
public:
    std::int64_t now_us = 5000000;
    std::int64_t monotonic_us() const override { return now_us; }
    std::int64_t calendar_ms() const override { return 0; }
};

/// A fresh port over a hidraw node that is a plain file.
struct Hid {
    Folder folder;
    std::string node = folder / "hidraw0";
    TestClock clock;
    std::unique_ptr<link::Port> port;
    Hid() {
        std::ofstream(node) << "x";
        libraries() = FakeLibraries{};
        port = link::hid_port_over(handle<hid_device>(), node, clock);
        libraries().calls.clear();
    }
};

/// The node of a serial port.
class Terminal {
public:
    Terminal() : main_end_(::posix_openpt(O_RDWR | O_NOCTTY | O_CLOEXEC)) {
        REQUIRE(::grantpt(main_end_) == 0);
        REQUIRE(::unlockpt(main_end_) == 0);
        path_ = ::ptsname(main_end_);
    }
    ~Terminal() { ::close(main_end_); }
    Terminal(const Terminal&) = delete;
    Terminal& operator=(const Terminal&) = delete;
    const std::string& path() const { return path_; }
    int open() const { return ::open(path_.c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC); }
    /// Nobody has it locked or to himself.
    bool is_free() const {
        const int fd = open();
        int is_exclusive = 1;
        const bool is_so = fd >= 0 && ::flock(fd, LOCK_EX | LOCK_NB) == 0 &&
                           ::ioctl(fd, TIOCGEXCL, &is_exclusive) == 0 && is_exclusive == 0;
        ::close(fd);
        return is_so;
    }

private:
    int main_end_;
    std::string path_;
};

struct Serial {
    Terminal terminal;
    TestClock clock;
    std::unique_ptr<link::Port> port;
    Serial() {
        libraries() = FakeLibraries{};
        auto opened = link::open_serial_port(terminal.path(), clock);
        REQUIRE(opened.has_value());
        port = std::move(*opened);
        libraries().calls.clear();
        libraries().clock_us = &clock.now_us;
    }
};

}  // namespace

TEST_CASE("hid port: 64 bytes are written as they are, with their id first, and the device is closed once") {
    {
        Hid hid;
        libraries().answers = {{64, 0, {}}};
        Report report{};
        report[0] = wire::k_hid_report_id;
        CHECK(hid.port->write(report).has_value());
        CHECK(libraries().calls == std::vector<std::string>{"hid_write 64 id 1"});
        CHECK(hid.port->now_us() == 5000000);
        hid.port.reset();
        CHECK(libraries().count("hid_close") == 1);
    }
    CHECK(libraries().count("hid_close") == 1);
}

TEST_CASE("hid port: a write that fails is timed out, closed or an error of the system, by its number") {
    struct Row {
        Answer answer;
        Errc while_there, when_gone;
    };
    const Row rows[] = {
        {{-1, ETIMEDOUT, {}}, Errc::timed_out, Errc::timed_out},
        {{-1, ENODEV, {}}, Errc::closed, Errc::closed},
        {{-1, EPROTO, {}}, Errc::closed, Errc::closed},
        {{-1, ENXIO, {}}, Errc::closed, Errc::closed},
        {{-1, ESHUTDOWN, {}}, Errc::closed, Errc::closed},
        {{-1, EPIPE, {}}, Errc::io, Errc::closed},
        {{-1, EIO, {}}, Errc::io, Errc::closed},
        {{-1, 0, {}}, Errc::io, Errc::closed},
        {{11, 0, {}}, Errc::io, Errc::io},
        {{0, 0, {}}, Errc::io, Errc::io},
    };
    Hid hid;
    for (const bool is_gone : {false, true}) {
        if (is_gone) std::filesystem::remove(hid.node);
        for (const Row& row : rows) {
            CAPTURE(row.answer.result);
            CAPTURE(row.answer.error);
            libraries().answers = {row.answer};
            const auto put = hid.port->write(Report{});
            REQUIRE_FALSE(put.has_value());
            CHECK(put.error().code == (is_gone ? row.when_gone : row.while_there));
            CHECK(put.error().where == hid.node);
            if (row.answer.result < 0) CHECK(put.error().detail == "words");
        }
    }
}

TEST_CASE(
    "hid port: reads of 64, 65, 11 and 0 bytes are what they are; a signal is nothing; else it is closed") {
    Hid hid;
    std::array<std::uint8_t, 65> to{};
    for (const int size : {64, 65, 11, 0}) {
        libraries().answers = {{size, 0, std::vector<std::uint8_t>(static_cast<std::size_t>(size), 0x5A)}};
        const auto got = hid.port->read(to, 250);
        REQUIRE(got.has_value());
        CHECK(*got == static_cast<std::size_t>(size));
        CHECK(libraries().calls.back() == "hid_read_timeout 250");
        if (size > 0) CHECK(to[static_cast<std::size_t>(size) - 1] == 0x5A);
    }
    libraries().answers = {{-1, EINTR, {}}};
    CHECK(*hid.port->read(to, 5) == 0);
    for (const int error : {0, EIO, ENODEV}) {
        libraries().answers = {{-1, error, {}}};
        const auto got = hid.port->read(to, 5);
        REQUIRE_FALSE(got.has_value());
        CHECK(got.error() == Error{Errc::closed, hid.node, "words"});
    }
}

TEST_CASE("hid port: the longest wait is no wait for ever") {
    Hid hid;
    std::array<std::uint8_t, 64> to{};
    CHECK(hid.port->read(to, std::numeric_limits<std::uint32_t>::max()).has_value());
    // Source: hidapi, hid_read_timeout: -1 waits for ever.
    CHECK(libraries().calls.back() == "hid_read_timeout 2147483647");
}

TEST_CASE("hid port: what a library says is kept to 200 printable characters") {
    Hid hid;
    libraries().words = L"no\tsuch \x00E4" + std::wstring(1000, L'x');
    libraries().answers = {{-1, EPIPE, {}}};
    const auto put = hid.port->write(Report{});
    CHECK(put.error().detail == "no?such ?" + std::string(191, 'x'));
}

TEST_CASE("hid port: 5 old reports are read away, of an endless row 63, and a dead device is left alone") {
    const Folder folder;
    const TestClock clock;
    struct Row {
        std::deque<Answer> answers;
        Answer otherwise;
        int reads;
    };
    const Row rows[] = {{{5, Answer{64, 0, {}}}, {}, 6}, {{}, {64, 0, {}}, 63}, {{}, {-1, EIO, {}}, 1}};
    for (const Row& row : rows) {
        libraries() = FakeLibraries{};
        libraries().answers = row.answers;
        libraries().otherwise = row.otherwise;
        const auto port = link::hid_port_over(handle<hid_device>(), folder / "node", clock);
        CHECK(libraries().count("hid_read_timeout 0") == row.reads);
    }
}

TEST_CASE("serial port: opened it is 8N1 without flow control, raw, ours alone, DTR up, and emptied last") {
    const Terminal terminal;
    const TestClock clock;
    libraries() = FakeLibraries{};
    auto opened = link::open_serial_port(terminal.path(), clock);
    REQUIRE(opened.has_value());
    CHECK(libraries().calls == std::vector<std::string>{"sp_get_port_by_name", "sp_open", "baud 115200",
                                                        "bits 8", "no parity", "stop bits 1",
                                                        "no flow control", "sp_new_event_set",
                                                        "events: bytes came", "DTR up", "flush"});
    CHECK_FALSE(terminal.is_free());
    const auto second = link::open_serial_port(terminal.path(), clock);
    REQUIRE_FALSE(second.has_value());
    CHECK(second.error().code == Errc::in_use);
    {
        const int fd = terminal.open();
        termios now{};
        // Source: termios(3), cfmakeraw; HUPCL lowers DTR at the last closing.
        if (fd >= 0) {  // the administrator may open it all the same
            REQUIRE(::tcgetattr(fd, &now) == 0);
            CHECK((now.c_lflag & (ICANON | ECHO | ISIG | IEXTEN)) == 0);
            CHECK((now.c_iflag & (IXON | ICRNL | INLCR | IGNCR | ISTRIP)) == 0);
            CHECK((now.c_oflag & OPOST) == 0);
            CHECK((now.c_cflag & HUPCL) != 0);
            CHECK((now.c_cflag & CSIZE) == CS8);
            ::close(fd);
        }
    }
    libraries().calls.clear();
    opened->reset();
    CHECK(libraries().calls == std::vector<std::string>{"flush output", "DTR down", "sp_close",
                                                        "sp_free_event_set", "sp_free_port"});
    CHECK(terminal.is_free());
}

TEST_CASE("serial port: whichever of the 11 steps of opening fails, everything before it is undone") {
    const TestClock clock;
    for (int at = 0; at < 11; ++at) {
        CAPTURE(at);
        const Terminal terminal;
        libraries() = FakeLibraries{};
        libraries().failing = at;
        libraries().failing_errno = EIO;
        const auto opened = link::open_serial_port(terminal.path(), clock);
        REQUIRE_FALSE(opened.has_value());
        CHECK(opened.error().code == Errc::io);
        CHECK_FALSE(opened.error().detail.empty());
        CHECK(libraries().count("sp_free_port") == (at >= 1 ? 1 : 0));
        CHECK(libraries().count("sp_close") == (at >= 2 ? 1 : 0));
        CHECK(libraries().count("DTR down") == (at >= 2 ? 1 : 0));
        CHECK(libraries().count("sp_free_event_set") == (at >= 8 ? 1 : 0));
        CHECK(terminal.is_free());
    }
}

TEST_CASE(
    "serial port: refused by the library as busy it is in use, as gone not found, for rights no access") {
    const TestClock clock;
    const std::pair<int, Errc> rows[] = {{EBUSY, Errc::in_use},     {ENODEV, Errc::not_found},
                                         {ENXIO, Errc::not_found},  {ENOENT, Errc::not_found},
                                         {EACCES, Errc::no_access}, {EPERM, Errc::no_access}};
    for (const auto& [error, code] : rows) {
        const Terminal terminal;
        libraries() = FakeLibraries{};
        libraries().failing = 1;  // sp_open
        libraries().failing_errno = error;
        const auto opened = link::open_serial_port(terminal.path(), clock);
        REQUIRE_FALSE(opened.has_value());
        CHECK(opened.error().code == code);
        CHECK(opened.error().where == terminal.path());
    }
}

TEST_CASE("serial port: one that another program locked, or has to itself, is in use and not even opened") {
    const TestClock clock;
    for (const bool by_lock : {true, false}) {
        const Terminal terminal;
        const int other = terminal.open();
        REQUIRE(other >= 0);
        if (by_lock)
            REQUIRE(::flock(other, LOCK_EX | LOCK_NB) == 0);
        else
            REQUIRE(::ioctl(other, TIOCEXCL) == 0);
        libraries() = FakeLibraries{};
        const auto opened = link::open_serial_port(terminal.path(), clock);
        REQUIRE_FALSE(opened.has_value());
        CHECK(opened.error().code == Errc::in_use);
        CHECK(libraries().count("sp_open") == 0);
        CHECK(libraries().count("DTR down") == 0);
        int is_exclusive = 0;
        REQUIRE(::ioctl(other, TIOCGEXCL, &is_exclusive) == 0);
        CHECK((is_exclusive != 0) == !by_lock);  // left as it was
        ::close(other);
    }
}

TEST_CASE("serial port: bytes are waited for on the events and read; two calls, and one that does not wait") {
    Serial serial;
    libraries().answers = {{3, 0, {1, 2, 3}}, {1, 0, {4}}};
    std::array<std::uint8_t, 64> to{};
    CHECK(*serial.port->read(to, 1000) == 3);
    CHECK(to[2] == 3);
    CHECK(libraries().calls == std::vector<std::string>{"sp_wait 1000", "sp_nonblocking_read"});
    libraries().calls.clear();
    CHECK(*serial.port->read(to, 0) == 1);
    CHECK(libraries().calls == std::vector<std::string>{"sp_nonblocking_read"});
}

TEST_CASE("serial port: nothing there is waited for on the events, and never for ever") {
    Serial serial;
    std::array<std::uint8_t, 64> to{};
    CHECK(*serial.port->read(to, 250) == 0);
    CHECK(libraries().calls ==
          std::vector<std::string>{"sp_wait 250", "sp_nonblocking_read", "sp_input_waiting"});
    libraries().calls.clear();
    CHECK(*serial.port->read(to, 0) == 0);
    CHECK(libraries().calls == std::vector<std::string>{"sp_nonblocking_read", "sp_input_waiting"});
}

TEST_CASE(
    "serial port: an unplug is told by the count of waiting bytes alone, at once or after an empty wait") {
    for (const std::size_t empty : {0u, 1u}) {
        Serial serial;
        libraries().waiting.assign(empty, Answer{0, 0, {}});
        libraries().waiting.push_back({-2, EIO, {}});
        std::array<std::uint8_t, 64> to{};
        const auto got = serial.port->read(to, 250);
        REQUIRE_FALSE(got.has_value());
        CHECK(got.error() == Error{Errc::closed, serial.terminal.path(), "words"});
        CHECK(libraries().count("sp_wait 250") == static_cast<int>(empty) + 1);
    }
}

TEST_CASE("serial port: a write goes at once; a rest has a second, then it has timed out and is dropped") {
    for (const int put : {0, 5}) {
        Serial serial;
        libraries().answers = {{60, 0, {}}, {put % 4, 0, {}}};
        CHECK(serial.port->write(Report{}).error().code == Errc::timed_out);
        CHECK(libraries().calls == std::vector<std::string>{"sp_nonblocking_write 64",
                                                            "sp_blocking_write 4 for 1000", "flush output"});
    }
    Serial serial;
    libraries().answers = {{64, 0, {}}};
    CHECK(serial.port->write(Report{}).has_value());
    CHECK(libraries().calls == std::vector<std::string>{"sp_nonblocking_write 64"});
    libraries().answers = {{0, 0, {}}, {64, 0, {}}};
    CHECK(serial.port->write(Report{}).has_value());
}

TEST_CASE(
    "serial port: a write or read that fails is closed when the device is gone, else an error of the "
    "system") {
    const std::pair<int, Errc> rows[] = {{EIO, Errc::closed},
                                         {ENODEV, Errc::closed},
                                         {ENXIO, Errc::closed},
                                         {EINVAL, Errc::io},
                                         {EAGAIN, Errc::io}};
    std::array<std::uint8_t, 64> to{};
    for (const auto& [error, code] : rows) {
        Serial serial;
        libraries().answers = {{-2, error, {}}, {-2, error, {}}};
        CHECK(serial.port->write(Report{}).error().code == code);
        CHECK(serial.port->read(to, 10).error().code == code);
    }
}
