#include "core/base/crash_note.hpp"

#include <doctest/doctest.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <string>

#include "core/base/version.hpp"
#include "tests/base/folder.hpp"

namespace fettle {
namespace {

using test::Folder;

/// Runs `crash` in a child that has the note installed; gives the signal that ended it.
template <typename Crash>
int signal_of_child(const std::string& folder, Crash crash) {
    const pid_t child = ::fork();
    if (child == 0) {
        const rlimit no_core{0, 0};
        ::setrlimit(RLIMIT_CORE, &no_core);
        if (!install_crash_note(folder)) ::_exit(90);
        name_crash_doing("a trial");
        crash();
        ::_exit(91);
    }
    int status = 0;
    if (child < 0 || ::waitpid(child, &status, 0) != child) return -1;
    return WIFSIGNALED(status) ? WTERMSIG(status) : -2;
}

TEST_CASE("crash note: an abort ends by signal 6 and leaves version, signal and doing in mode 0600") {
    const Folder folder;
    CHECK(signal_of_child(folder / "state", [] { ::abort(); }) == SIGABRT);
    CHECK(test::mode_of(folder / "state/crash-note.txt") == 0600);
    const auto note = take_crash_note(folder / "state");
    REQUIRE(note.has_value());
    CHECK(note->find(std::string("fettle ") + k_version + " build " + k_build + "\n") == 0);
    CHECK(note->find("\nended by signal 6\n") != std::string::npos);
    CHECK(note->find("\nseconds since 1970 ") != std::string::npos);
    CHECK(note->ends_with("\nwhile a trial\n"));
}

TEST_CASE("crash note: it is taken once, and where nothing crashed there is none") {
    const Folder folder;
    CHECK_FALSE(take_crash_note(folder.path()).has_value());
    CHECK(signal_of_child(folder.path(), [] { ::raise(SIGSEGV); }) == SIGSEGV);
    CHECK(take_crash_note(folder.path()).has_value());
    CHECK_FALSE(take_crash_note(folder.path()).has_value());
}

TEST_CASE("crash note: a later crash replaces the note of an earlier one") {
    const Folder folder;
    CHECK(signal_of_child(folder.path(), [] { ::raise(SIGFPE); }) == SIGFPE);
    CHECK(signal_of_child(folder.path(), [] { ::raise(SIGILL); }) == SIGILL);
    const auto note = take_crash_note(folder.path());
    REQUIRE(note.has_value());
    CHECK(note->find("signal 8") == std::string::npos);
    CHECK(note->find("signal 4") != std::string::npos);
}

#if !defined(__SANITIZE_ADDRESS__) && !defined(__SANITIZE_THREAD__) && !defined(__clang__)
/// Each level keeps 4 KB of the stack until it returns.
int deeper(volatile const char* above, int levels) {
    volatile char here[4096];
    here[0] = above[0];
    return levels == 0 ? 0 : deeper(here, levels - 1) + here[0];
}

TEST_CASE("crash note: a stack that ran over leaves its note from a second stack") {
    const Folder folder;
    CHECK(signal_of_child(folder.path(), [] {
              const rlimit one_megabyte{1 << 20, 1 << 20};
              ::setrlimit(RLIMIT_STACK, &one_megabyte);
              deeper("x", 100000);
          }) == SIGSEGV);
    const auto note = take_crash_note(folder.path());
    REQUIRE(note.has_value());
    CHECK(note->find("\nended by signal 11\n") != std::string::npos);
}
#endif

TEST_CASE("crash note: a folder name of 5,000 bytes is refused") {
    CHECK(install_crash_note("/" + std::string(5000, 'x')).error().code == Errc::too_large);
}

}  // namespace
}  // namespace fettle
