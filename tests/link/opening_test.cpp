#include "core/link/opening.hpp"

#include <doctest/doctest.h>

#include <sys/stat.h>
#include <unistd.h>

#include <fstream>
#include <map>

#include "core/link/claimed_link.hpp"
#include "tests/base/folder.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Attached;
using link::ChannelKind;
using link::Claim;

namespace {

Attached attached(ChannelKind channel, const std::string& path) {
    Attached made;
    made.channel = channel;
    made.path = path;
    made.serial = "SIM00001";
    made.place = "1-1";
    return made;
}

Errc code_of(const Result<std::unique_ptr<link::Link>>& opened) {
    REQUIRE_FALSE(opened.has_value());
    return opened.error().code;
}

/// Keeps what it was asked, and whether the claim was still held when it was closed.
class NotingLink : public link::Link {
public:
    struct Notes {
        link::Message sent;
        std::uint32_t waited_ms = 0;
        int changes = 0;
        bool was_claimed_at_the_end = false;
        std::string folder;
    };
    explicit NotingLink(Notes& notes) : notes_(notes) {}
    ~NotingLink() override {
        const auto again = Claim::take(notes_.folder, "device");
        notes_.was_claimed_at_the_end = !again && again.error().code == Errc::in_use;
    }
    Status send(std::span<const std::uint8_t> message) override {
        notes_.sent.assign(message.begin(), message.end());
        return fail(Errc::timed_out, "noting");
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        notes_.waited_ms = wait_ms;
        return std::optional(link::Message{7, 8});
    }
    std::uint64_t now_ms() const override { return 11; }
    std::uint64_t now_us() const override { return 11222; }
    ChannelKind channel() const override { return ChannelKind::serial; }
    std::uint32_t changeovers() const override { return 33; }
    bool change_over() override { return ++notes_.changes == 1; }

private:
    Notes& notes_;
};

Environment environment_of(std::map<std::string, std::string> values) {
    return [values = std::move(values)](const std::string& name) -> std::optional<std::string> {
        const auto found = values.find(name);
        if (found == values.end()) return std::nullopt;
        return found->second;
    };
}

}  // namespace

TEST_CASE("opening: a node that is gone is not found over either channel, and the claim is let go again") {
    const SystemClock clock;
    const Folder folder;
    for (const ChannelKind channel : {ChannelKind::hid, ChannelKind::serial}) {
        Attached device = attached(channel, folder / "node");
        for (int i = 0; i < 2; ++i)
            CHECK(code_of(link::open_device(device, folder / "c", clock)) == Errc::not_found);
        CHECK(code_of(link::open_device(device, "", clock)) == Errc::not_found);
        device.fallback_path = folder / "fallback";
        CHECK(code_of(link::open_device(device, folder / "c", clock)) == Errc::not_found);
    }
}

TEST_CASE("opening: a device that is claimed is in use before its node is touched, whichever the channel") {
    const SystemClock clock;
    const Folder folder;
    const auto held = Claim::take(folder.path(), "SIM00001@1-1");
    REQUIRE(held.has_value());
    for (const ChannelKind channel : {ChannelKind::hid, ChannelKind::serial}) {
        const auto refused = link::open_device(attached(channel, folder / "node"), folder.path(), clock);
        CHECK(code_of(refused) == Errc::in_use);
        CHECK(refused.error().where == folder / "node");
        CHECK(refused.error().detail == "process " + std::to_string(::getpid()));
    }
    Attached other = attached(ChannelKind::hid, folder / "node");
    other.place = "1-2";
    CHECK(code_of(link::open_device(other, folder.path(), clock)) == Errc::not_found);
    CHECK(code_of(link::open_device(attached(ChannelKind::hid, folder / "node"), "", clock)) ==
          Errc::not_found);
}

TEST_CASE("opening: devices without serial number and place are told apart by their nodes") {
    const SystemClock clock;
    const Folder folder;
    const auto held = Claim::take(folder.path(), folder / "a");
    REQUIRE(held.has_value());
    Attached plain;
    plain.channel = ChannelKind::hid;
    plain.path = folder / "a";
    CHECK(code_of(link::open_device(plain, folder.path(), clock)) == Errc::in_use);
    plain.path = folder / "b";
    CHECK(code_of(link::open_device(plain, folder.path(), clock)) == Errc::not_found);
}

TEST_CASE(
    "opening: where no lock can be had the device is opened without one; a simulated one is unsupported") {
    const SystemClock clock;
    const Folder folder;
    std::ofstream(folder / "file") << "x";
    const auto device = attached(ChannelKind::hid, folder / "node");
    const auto refused = link::open_device(device, folder / "file", clock);
    CHECK(code_of(refused) == Errc::not_found);  // of the node: it was tried
    CHECK(refused.error().where == folder / "node");
    CHECK(code_of(link::open_device(attached(ChannelKind::simulated, "sim"), "", clock)) ==
          Errc::unsupported);
}

TEST_CASE("claimed link: everything is handed on, and the claim ends after the link") {
    const Folder folder;
    NotingLink::Notes notes;
    notes.folder = folder.path();
    {
        auto claim = Claim::take(folder.path(), "device");
        REQUIRE(claim.has_value());
        link::ClaimedLink claimed(std::move(*claim), std::make_unique<NotingLink>(notes));
        CHECK(claimed.send(link::Message{1, 2, 3}).error().code == Errc::timed_out);
        CHECK(notes.sent == link::Message{1, 2, 3});
        CHECK(**claimed.receive(99) == link::Message{7, 8});
        CHECK(notes.waited_ms == 99);
        CHECK(claimed.now_ms() == 11);
        CHECK(claimed.now_us() == 11222);
        CHECK(claimed.channel() == ChannelKind::serial);
        CHECK(claimed.changeovers() == 33);
        CHECK(claimed.change_over());
        CHECK_FALSE(claimed.change_over());
        CHECK(Claim::take(folder.path(), "device").error().code == Errc::in_use);
    }
    CHECK(notes.was_claimed_at_the_end);
    CHECK(Claim::take(folder.path(), "device").has_value());
}

TEST_CASE(
    "claims folder: in the runtime folder where that is there, else with the program's state, else nowhere") {
    const Folder folder;
    CHECK(link::claims_folder(environment_of({{"XDG_RUNTIME_DIR", folder.path()}, {"HOME", "/home/none"}})) ==
          folder / "fettle/claims");
    for (const std::string& runtime : {folder / "none", std::string("relative"), std::string()}) {
        CAPTURE(runtime);
        CHECK(link::claims_folder(environment_of(
                  {{"XDG_RUNTIME_DIR", runtime}, {"XDG_STATE_HOME", folder / "state"}, {"HOME", "/none"}})) ==
              folder / "state/fettle/claims");
    }
    CHECK(link::claims_folder(environment_of({})).empty());
}

// Source: XDG Base Directory Specification 0.8: $XDG_RUNTIME_DIR must be owned by the user.
TEST_CASE("claims folder: a runtime folder that is another user's, as after a change of user, is not taken") {
    const Folder folder;
    std::string others = "/";  // the administrator's
    if (::geteuid() == 0) {
        others = folder / "others";
        REQUIRE(::mkdir(others.c_str(), 0777) == 0);
        REQUIRE(::chown(others.c_str(), 1, 1) == 0);
    }
    CHECK(link::claims_folder(environment_of(
              {{"XDG_RUNTIME_DIR", others}, {"XDG_STATE_HOME", folder / "state"}, {"HOME", "/none"}})) ==
          folder / "state/fettle/claims");
}
