// Locks against a second opening in this process (another open file conflicts as another process does) and
// against a child process.

#include "core/link/claim.hpp"

#include <doctest/doctest.h>
#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <array>
#include <fstream>
#include <vector>

#include "tests/base/folder.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Claim;

namespace {

const std::string k_remote = "SIM00001@1-1";

std::string own_pid() {
    return "process " + std::to_string(::getpid());
}

std::vector<std::string> names_in(const std::string& folder) {
    std::vector<std::string> names;
    for (const auto& entry : std::filesystem::recursive_directory_iterator(folder))
        names.push_back(entry.path().filename().string());
    return names;
}

std::string content_of(const std::string& path) {
    std::ifstream file(path);
    return {std::istreambuf_iterator<char>(file), {}};
}

/// A child that takes a claim, says over a pipe whether it has it, and sleeps until it is killed.
class Holder {
public:
    Holder(const std::string& folder, const std::string& device) {
        std::array<int, 2> ends{};
        REQUIRE(::pipe(ends.data()) == 0);
        pid_ = ::fork();
        if (pid_ == 0) {
            ::close(ends[0]);
            const auto claim = Claim::take(folder, device);
            const char said = claim && claim->is_held() ? 'y' : 'n';
            if (::write(ends[1], &said, 1) == 1)
                for (;;) ::pause();
            ::_exit(1);
        }
        ::close(ends[1]);
        char said = 0;
        REQUIRE(pid_ > 0);
        REQUIRE(::read(ends[0], &said, 1) == 1);
        ::close(ends[0]);
        REQUIRE(said == 'y');
    }
    ~Holder() { kill(); }
    Holder(const Holder&) = delete;
    Holder& operator=(const Holder&) = delete;

    pid_t pid() const { return pid_; }
    void kill() {
        if (pid_ <= 0) return;
        ::kill(pid_, SIGKILL);
        ::waitpid(pid_, nullptr, 0);
        pid_ = 0;
    }

private:
    pid_t pid_ = 0;
};

}  // namespace

TEST_CASE("claim: the second of two for one device is in use, with the device and who has it") {
    const Folder folder;
    const auto first = Claim::take(folder / "claims", k_remote);
    REQUIRE(first.has_value());
    CHECK(first->is_held());
    const auto second = Claim::take(folder / "claims", k_remote);
    REQUIRE_FALSE(second.has_value());
    CHECK(second.error() == Error{Errc::in_use, k_remote, own_pid()});
    CHECK(Claim::take(folder / "claims", "SIM00002@1-2").has_value());
    CHECK(Claim::take(folder / "other claims", k_remote).has_value());
}

TEST_CASE("claim: let go it can be taken again, 100 times, and one file stays, which names nobody") {
    const Folder folder;
    for (int i = 0; i < 100; ++i) REQUIRE(Claim::take(folder.path(), k_remote).has_value());
    const auto names = names_in(folder.path());
    REQUIRE(names.size() == 1);
    CHECK(content_of(folder / names[0]).empty());
}

TEST_CASE("claim: moved it is still held, once; another one assigned to it lets the first go") {
    const Folder folder;
    Claim kept;
    CHECK_FALSE(kept.is_held());
    {
        auto taken = Claim::take(folder.path(), k_remote);
        REQUIRE(taken.has_value());
        Claim moved(std::move(*taken));
        CHECK_FALSE(taken->is_held());
        CHECK(moved.is_held());
        kept = std::move(moved);
        CHECK_FALSE(moved.is_held());
    }
    CHECK(kept.is_held());
    CHECK(Claim::take(folder.path(), k_remote).error().code == Errc::in_use);
    kept = std::move(*Claim::take(folder.path(), "another"));
    CHECK(kept.is_held());
    CHECK(Claim::take(folder.path(), k_remote).has_value());
    CHECK(Claim::take(folder.path(), "another").error().code == Errc::in_use);
    kept = Claim();
    CHECK(Claim::take(folder.path(), "another").has_value());
}

TEST_CASE("claim: a child process that has it is named; killed, it has it no more") {
    const Folder folder;
    for (int i = 0; i < 3; ++i) {
        Holder holder(folder.path(), k_remote);
        const auto refused = Claim::take(folder.path(), k_remote);
        REQUIRE_FALSE(refused.has_value());
        CHECK(refused.error().code == Errc::in_use);
        CHECK(refused.error().detail == "process " + std::to_string(holder.pid()));
        holder.kill();
        CHECK(Claim::take(folder.path(), k_remote).has_value());
    }
}

TEST_CASE("claim: what is no number of a living process in the file names nobody") {
    const Folder folder;
    const auto held = Claim::take(folder.path(), k_remote);
    REQUIRE(held.has_value());
    const std::string file = folder / names_in(folder.path()).at(0);
    CHECK(content_of(file) == std::to_string(::getpid()) + "\n");
    pid_t dead = ::fork();
    if (dead == 0) ::_exit(0);
    REQUIRE(::waitpid(dead, nullptr, 0) == dead);
    for (const std::string& text :
         {std::string(), std::string("\n"), std::string("rubbish\n"), std::string("-1\n"), std::string("0\n"),
          std::string("1"), std::string("12x\n"), std::string("99999999999999999999999999\n"),
          std::string(5000, '1'), std::string(20, '\0'), std::to_string(dead) + "\n"}) {
        CAPTURE(text);
        std::ofstream(file, std::ios::trunc) << text;
        const auto refused = Claim::take(folder.path(), k_remote);
        REQUIRE_FALSE(refused.has_value());
        CHECK(refused.error() == Error{Errc::in_use, k_remote, ""});
    }
}

TEST_CASE("claim: 16 strange names of devices are 16 plain files in the folder") {
    const Folder folder;
    const std::string claims = folder / "claims";
    const std::vector<std::string> devices = {"",
                                              ".",
                                              "..",
                                              "/",
                                              "../../outside",
                                              "/etc/outside",
                                              "a/b",
                                              "a_b",
                                              "a\nb",
                                              "a b",
                                              std::string("a\0b", 3),
                                              std::string(5000, 'x'),
                                              "\xC3\xA4",
                                              "%s%n",
                                              "$(true)",
                                              std::string(5000, '/')};
    std::vector<Claim> held;
    for (const auto& device : devices) {
        CAPTURE(device);
        auto claim = Claim::take(claims, device);
        REQUIRE(claim.has_value());
        held.push_back(std::move(*claim));
        CHECK(Claim::take(claims, device).error().code == Errc::in_use);
    }
    const auto names = names_in(claims);
    CHECK(names.size() == devices.size());
    CHECK(names_in(folder.path()).size() == devices.size() + 1);
    for (const auto& name : names) {
        CHECK(name.size() < 100);
        CHECK(name.find_first_not_of("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_.") ==
              std::string::npos);
    }
}

TEST_CASE(
    "claim: the folder is made with mode 0700 and its files with 0600; an open one is closed to others") {
    const Folder folder;
    CHECK(Claim::take(folder / "a/b", k_remote).has_value());
    CHECK(mode_of(folder / "a/b") == 0700);
    CHECK(mode_of((folder / "a/b/") + names_in(folder / "a/b").at(0)) == 0600);
    std::filesystem::create_directory(folder / "open");
    std::filesystem::permissions(folder / "open", std::filesystem::perms::all);
    CHECK(Claim::take(folder / "open", k_remote).has_value());
    CHECK(mode_of(folder / "open") == 0700);
}

TEST_CASE("claim: a folder that is a file or a symbolic link, and a lock that is a link, are refused") {
    const Folder folder;
    std::ofstream(folder / "file") << "x";
    CHECK_FALSE(Claim::take(folder / "file", k_remote).has_value());
    CHECK_FALSE(Claim::take(folder / "file/below", k_remote).has_value());
    CHECK(content_of(folder / "file") == "x");
    std::filesystem::create_directory(folder / "real");
    std::filesystem::create_directory_symlink(folder / "real", folder / "link");
    CHECK_FALSE(Claim::take(folder / "link", k_remote).has_value());

    REQUIRE(Claim::take(folder / "real", k_remote).has_value());
    const std::string lock = (folder / "real/") + names_in(folder / "real").at(0);
    std::filesystem::remove(lock);
    std::filesystem::create_symlink(folder / "file", lock);
    CHECK_FALSE(Claim::take(folder / "real", k_remote).has_value());
    CHECK(content_of(folder / "file") == "x");
}

TEST_CASE("claim: a folder of another user is refused") {
    if (::geteuid() != 0) {
        MESSAGE("left out: only the administrator can give a folder away");
        return;
    }
    const Folder folder;
    std::filesystem::create_directory(folder / "theirs");
    REQUIRE(::chown((folder / "theirs").c_str(), 65534, 65534) == 0);
    CHECK(Claim::take(folder / "theirs", k_remote).error().code == Errc::denied);
    CHECK(names_in(folder / "theirs").empty());
}
