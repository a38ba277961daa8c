// Openings that fail, through the real libraries: what can be tried without a device. What works, and what a
// device can do, is tried with a real kernel (tests/rig_kernel) and with libraries of the test's own
// (library_faults_test.cpp).

#include "core/link/ports.hpp"

#include <doctest/doctest.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <functional>

#include "tests/base/folder.hpp"

using namespace fettle;
using namespace fettle::test;

namespace {

using Opened = Result<std::unique_ptr<link::Port>>;
using Opener = Opened (*)(const std::string&, const Clock&);
constexpr Opener k_openers[] = {link::open_hid_port, link::open_serial_port};

Errc code_of(const Opened& opened) {
    REQUIRE_FALSE(opened.has_value());
    return opened.error().code;
}

/// The code of an opening by somebody who is not the administrator; -1: it went well.
int code_without_rights(Opener open, const std::string& path) {
    const pid_t child = ::fork();
    if (child == 0) {
        if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) ::_exit(100);
        const SystemClock clock;
        const auto opened = open(path, clock);
        ::_exit(opened ? 101 : static_cast<int>(opened.error().code));
    }
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    REQUIRE(WIFEXITED(status));
    return WEXITSTATUS(status);
}

}  // namespace

TEST_CASE("ports: where there is no node, nothing is found, and the error says which") {
    const SystemClock clock;
    const Folder folder;
    for (const Opener open : k_openers)
        for (const std::string& path : {folder / "hidraw9", folder / "none/hidraw9",
                                        std::string("/dev/none-9"), std::string("hidraw9"), std::string()}) {
            CAPTURE(path);
            const auto opened = open(path, clock);
            CHECK(code_of(opened) == Errc::not_found);
            CHECK(opened.error().where == path);
        }
}

TEST_CASE(
    "ports: a file, a folder, /dev/null, a path of 5,000 characters are errors of the system, in words") {
    const SystemClock clock;
    const Folder folder;
    std::ofstream(folder / "file") << "x";
    for (const Opener open : k_openers)
        for (const std::string& path :
             {folder / "file", folder.path(), std::string("/dev/null"), "/" + std::string(5000, 'x')}) {
            CAPTURE(path.substr(0, 60));
            const auto opened = open(path, clock);
            CHECK(code_of(opened) == Errc::io);
            CHECK_FALSE(opened.error().detail.empty());
            CHECK(opened.error().detail.size() <= 200);
        }
}

TEST_CASE("ports: a node that this user may not open says so, over both libraries") {
    const Folder folder;
    REQUIRE(::chmod(folder.path().c_str(), 0755) == 0);
    std::ofstream(folder / "node") << "x";
    REQUIRE(::chmod((folder / "node").c_str(), 0) == 0);
    for (const Opener open : k_openers)
        CHECK(code_without_rights(open, folder / "node") == static_cast<int>(Errc::no_access));
}

TEST_CASE("ports: a terminal of the system that is the administrator's says so too, past the library") {
    struct stat about {};
    const char* const console = "/dev/tty63";
    if (::stat(console, &about) != 0 || (about.st_mode & 0006) != 0 || !S_ISCHR(about.st_mode) ||
        ::access("/sys/class/tty/tty63", F_OK) != 0) {
        MESSAGE("left out: no such console here");
        return;
    }
    CHECK(code_without_rights(link::open_serial_port, console) == static_cast<int>(Errc::no_access));
}

TEST_CASE("ports: a pseudo terminal is refused by either, and stays as it was") {
    const SystemClock clock;
    const int main_end = ::posix_openpt(O_RDWR | O_NOCTTY);
    REQUIRE(main_end >= 0);
    REQUIRE(::grantpt(main_end) == 0);
    REQUIRE(::unlockpt(main_end) == 0);
    const std::string path = ::ptsname(main_end);
    for (const Opener open : k_openers) {
        const auto opened = open(path, clock);
        CHECK(code_of(opened) == Errc::io);
        CHECK_FALSE(opened.error().detail.empty());
    }
    ::close(main_end);
}
