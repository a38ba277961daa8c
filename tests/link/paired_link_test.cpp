// Two channels as one, without a session.

#include "core/link/paired_link.hpp"

#include <doctest/doctest.h>

#include "tests/link/scripted_link.hpp"

using namespace fettle;
using namespace fettle::test;
using link::PairedLink;

namespace {

/// What a test wants of one channel, and what it saw.
struct Channel {
    link::ChannelKind kind = link::ChannelKind::hid;
    std::optional<Error> send_error, receive_error;
    std::deque<link::Message> says;
    std::vector<link::Message> got;
    int receives = 0;
    bool is_open = true;
};

class ChannelLink : public link::Link {
public:
    explicit ChannelLink(Channel& channel) : channel_(channel) {}
    ~ChannelLink() override { channel_.is_open = false; }
    Status send(std::span<const std::uint8_t> message) override {
        if (channel_.send_error) return Unexpected{*channel_.send_error};
        channel_.got.emplace_back(message.begin(), message.end());
        return Done{};
    }
    Result<std::optional<link::Message>> receive(std::uint32_t wait_ms) override {
        ++channel_.receives;
        if (channel_.receive_error) return Unexpected{*channel_.receive_error};
        if (channel_.says.empty()) {
            now_ms_ += wait_ms;
            return std::optional<link::Message>{};
        }
        link::Message first = std::move(channel_.says.front());
        channel_.says.pop_front();
        return std::optional(std::move(first));
    }
    std::uint64_t now_ms() const override { return now_ms_; }
    link::ChannelKind channel() const override { return channel_.kind; }

private:
    Channel& channel_;
    std::uint64_t now_ms_ = 0;
};

struct Both {
    Channel hid{}, serial{link::ChannelKind::serial, {}, {}, {}, {}, 0, true};
    PairedLink link{std::make_unique<ChannelLink>(hid), std::make_unique<ChannelLink>(serial)};
};

const link::Message k_message{1, 2, 3};
const std::vector<link::Message> k_one(1, k_message);

}  // namespace

TEST_CASE("paired link: as long as the first channel works, the second is not touched") {
    Both both;
    both.serial.receive_error = Error{Errc::closed, "tty", "gone"};
    both.hid.says = {k_message};
    CHECK(both.link.send(k_message).has_value());
    CHECK(both.link.receive(5).value() == k_message);
    CHECK_FALSE(both.link.receive(5).value().has_value());
    CHECK(both.link.now_ms() == 5);
    CHECK(both.link.now_us() == 5000);
    CHECK(both.link.channel() == link::ChannelKind::hid);
    CHECK(both.link.changeovers() == 0);
    CHECK(both.hid.got == k_one);
    CHECK(both.serial.receives == 0);
    CHECK(both.serial.got.empty());
}

TEST_CASE("paired link: closed, io and timed out while sending: the message goes over the second, once") {
    for (const Errc code : {Errc::closed, Errc::io, Errc::timed_out}) {
        Both both;
        both.hid.send_error = Error{code, "hid", "broken"};
        CHECK(both.link.send(k_message).has_value());
        CHECK(both.serial.got == k_one);
        CHECK(both.link.changeovers() == 1);
        CHECK(both.link.channel() == link::ChannelKind::serial);
        CHECK_FALSE(both.hid.is_open);
        CHECK(both.link.send(k_message).has_value());
        CHECK(both.serial.got.size() == 2);
        CHECK(both.link.changeovers() == 1);
    }
}

TEST_CASE("paired link: a message that is too large is its own fault: the channel stays") {
    Both both;
    both.hid.send_error = Error{Errc::too_large, "message", ""};
    CHECK(both.link.send(k_message).error().code == Errc::too_large);
    CHECK(both.link.changeovers() == 0);
    CHECK(both.hid.is_open);
}

TEST_CASE("paired link: closed while receiving: nothing at once, and from then on the second is heard") {
    for (const Errc code : {Errc::closed, Errc::io}) {
        Both both;
        both.hid.receive_error = Error{code, "hid", "broken"};
        both.serial.says = {k_message};
        CHECK_FALSE(both.link.receive(1000).value().has_value());
        CHECK(both.serial.receives == 0);
        CHECK(both.link.now_ms() == 0);
        CHECK(both.link.changeovers() == 1);
        CHECK(both.link.receive(5).value() == k_message);
    }
}

TEST_CASE("paired link: both dead is closed, with the reason of each, whichever is met first") {
    for (const bool is_sent : {false, true}) {
        Both both;
        both.hid.receive_error = both.hid.send_error = Error{Errc::io, "hid", "stalled"};
        both.serial.receive_error = both.serial.send_error = Error{Errc::closed, "tty", "gone"};
        std::optional<Error> met;
        if (is_sent) met = both.link.send(k_message).error();
        CHECK((is_sent || both.link.receive(1).has_value()));
        if (!is_sent) met = both.link.receive(1).error();
        CHECK(met->code == Errc::closed);
        CHECK(met->detail.find("stalled") != std::string::npos);
        CHECK(met->detail.find("gone") != std::string::npos);
        CHECK(both.link.send(k_message).error() == *met);
    }
}

TEST_CASE("paired link: asked to change over it does so once, and what the second had to say is dropped") {
    Both both;
    both.serial.says = {{9, 9}, {8, 8}};
    CHECK(both.link.change_over());
    CHECK(both.link.changeovers() == 1);
    CHECK(both.link.channel() == link::ChannelKind::serial);
    CHECK_FALSE(both.link.receive(1).value().has_value());
    CHECK_FALSE(both.link.change_over());
    CHECK(both.link.changeovers() == 1);
    CHECK_FALSE(both.hid.is_open);
}

TEST_CASE("paired link: a second that babbles without end does not hold up a changeover") {
    Both both;
    both.serial.says.assign(10000, link::Message{9, 9});
    CHECK(both.link.change_over());
    CHECK(both.serial.receives <= 64);
}

TEST_CASE("paired link: asked to change over to a dead second, it stays, and never looks there again") {
    Both both;
    both.serial.receive_error = Error{Errc::closed, "tty", "gone"};
    CHECK_FALSE(both.link.change_over());
    CHECK(both.link.changeovers() == 0);
    CHECK(both.link.channel() == link::ChannelKind::hid);
    CHECK_FALSE(both.serial.is_open);
    CHECK(both.link.send(k_message).has_value());
    CHECK_FALSE(both.link.change_over());
    CHECK(both.serial.receives == 1);
    both.hid.receive_error = Error{Errc::io, "hid", "stalled"};
    const Error met = both.link.receive(1).error();
    CHECK(met.code == Errc::closed);
    CHECK(met.detail.find("gone") != std::string::npos);
    CHECK(met.detail.find("stalled") != std::string::npos);
}
