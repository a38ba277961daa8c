// Devices that answer with nonsense, never, or for ever.

#include <doctest/doctest.h>
#include <rapidcheck.h>

#include "tests/link/scripted_link.hpp"
#include "tests/sim/rig.hpp"

using namespace fettle;
using namespace fettle::test;
using link::Session;
using wire::MessageType;

namespace {

using Answers = std::deque<link::Message>;

/// Answers hello, and everything else by `other`.
std::pair<ScriptedLink*, std::unique_ptr<Session>> session_with(ScriptedLink::Device other) {
    auto made = std::make_unique<ScriptedLink>(
        [other = std::move(other)](const link::Message& message, Answers& answers) {
            if (message[0] == static_cast<std::uint8_t>(MessageType::hello))
                answers.push_back(hello_reply(message[1]));
            else
                other(message, answers);
        });
    ScriptedLink* link = made.get();
    auto opened = Session::open(std::move(made));
    REQUIRE(opened.has_value());
    return {link, std::move(*opened)};
}

/// Serves `read` from bytes of its own, as they are.
ScriptedLink::Device serves(Bytes bytes) {
    bytes.resize(4096);
    return [bytes](const link::Message& message, Answers& answers) {
        wire::ReadRequest wanted{};
        if (!wire::get_read_request(message.data() + 2, static_cast<std::uint8_t>(message.size() - 2),
                                    wanted))
            return;
        std::uint8_t raw[wire::k_message_max];
        const auto size = wire::put_read(
            raw, message[1], {wanted.slot, wanted.offset, bytes.data() + wanted.offset, wanted.count});
        answers.emplace_back(raw, raw + size);
    };
}

void answer_error(const link::Message& message, Answers& answers, wire::WireError code) {
    std::uint8_t raw[wire::k_message_max];
    const auto size = wire::put_error(raw, message[1], {message[0], code, {0, 0}});
    answers.emplace_back(raw, raw + size);
}

}  // namespace

TEST_CASE("strange device: silent from the start, it has timed out after 3 tries") {
    int sent = 0;
    auto counting = std::make_unique<ScriptedLink>([&](const link::Message&, Answers&) { ++sent; });
    CHECK(Session::open(std::move(counting)).error().code == Errc::timed_out);
    CHECK(sent == 3);
}

TEST_CASE(
    "strange device: hello too short, contract 0, a hello of zeros are foreign; contract 9 is spoken to, and "
    "said to be newer") {
    const auto open = [](std::size_t bytes, std::uint16_t version) {
        return Session::open(
            std::make_unique<ScriptedLink>([=](const link::Message& message, Answers& answers) {
                answers.push_back(hello_reply(message[1], version));
                answers.back().resize(bytes);
            }));
    };
    CHECK(open(10, 1).error().code == Errc::foreign);
    CHECK(open(47, 0).error().code == Errc::foreign);
    REQUIRE(open(47, 9).has_value());
    CHECK((*open(47, 9))->is_newer());
    CHECK((*open(47, 9))->hello().contract_version == 9);
    REQUIRE(open(60, 1).has_value());
    CHECK_FALSE((*open(60, 1))->is_newer());
}

TEST_CASE(
    "strange device: one that answers hello with any error but busy is foreign, busy for ever is busy") {
    for (int code = 0; code < 256; ++code) {
        CAPTURE(code);
        auto opened = Session::open(std::make_unique<ScriptedLink>([=](const auto& message, auto& answers) {
            answer_error(message, answers, static_cast<wire::WireError>(code));
        }));
        const bool is_busy = static_cast<wire::WireError>(code) == wire::WireError::busy;
        CHECK(opened.error().code == (is_busy ? Errc::busy : Errc::foreign));
    }
}

TEST_CASE(
    "strange device: one that talks all the time and never answers is foreign; telemetry, and answers to "
    "others, are none of that") {
    const auto open = [](const link::Message& says) {
        auto opened =
            Session::open(std::make_unique<ScriptedLink>([=](const link::Message& message, Answers& answers) {
                auto one = says;
                if (one.size() > 1) one[1] = static_cast<std::uint8_t>(message[1] + 1);
                answers.insert(answers.end(), 5, one);
            }));
        return opened.error().code;
    };
    CHECK(open({0x02, 0, 7, 7}) == Errc::foreign);          // a request
    CHECK(open({0xC1, 0, 7, 7}) == Errc::foreign);          // no reply that there is
    CHECK(open({0x81}) == Errc::foreign);                   // no message at all
    CHECK(open(link::Message(63, 0x81)) == Errc::foreign);  // too long for one
    CHECK(open({0x81, 0, 7, 7}) == Errc::timed_out);        // an answer to another
    CHECK(open({0x40, 0, 7, 7}) == Errc::timed_out);        // telemetry
    CHECK(open({0x7F, 0, 1, 1, 0, 0}) == Errc::timed_out);  // an error of another request
}

TEST_CASE("strange device: one that reads image format 0 only gets no image of format 1") {
    auto opened = Session::open(std::make_unique<ScriptedLink>(
        [](const link::Message& m, Answers& answers) { answers.push_back(hello_reply(m[1], 1, 0)); }));
    REQUIRE(opened.has_value());
    CHECK((*opened)->push(plain_image(1), 0).error().code == Errc::version);
}

TEST_CASE("strange device: busy for ever ends as busy after 10 s and a little") {
    auto [link, session] = session_with([](const link::Message& message, Answers& answers) {
        answer_error(message, answers, wire::WireError::busy);
    });
    const auto begin = link->now_ms();
    CHECK(session->read_image(0).error().code == Errc::busy);
    CHECK(link->now_ms() - begin >= 10000);
    CHECK(link->now_ms() - begin <= 10020);
}

TEST_CASE("strange device: silent for ever it is asked 3 times, 500 ms each") {
    auto [link, session] = session_with([](const link::Message&, Answers&) {});
    const auto begin = link->now_ms();
    const int sent = link->sent();
    CHECK(session->info().error().code == Errc::timed_out);
    CHECK(link->now_ms() - begin == 1500);
    CHECK(link->sent() - sent == 3);
}

TEST_CASE(
    "strange device: one that floods answers nobody asked for cannot hold a request longer than its time") {
    auto [link, session] = session_with([](const link::Message& message, Answers& answers) {
        for (int i = 0; i < 5000; ++i)
            answers.push_back({0x81, static_cast<std::uint8_t>(message[1] + 1), 0});
    });
    const auto begin = link->now_ms();
    CHECK(session->info().error().code == Errc::timed_out);
    CHECK(link->now_ms() - begin <= 1505);
}

TEST_CASE("strange device: each error code becomes the right error") {
    const struct {
        wire::WireError sent;
        Errc code;
    } table[] = {
        {wire::WireError::unknown_type, Errc::unsupported}, {wire::WireError::malformed, Errc::garbled},
        {wire::WireError::no_trial, Errc::not_found},       {wire::WireError::unproven, Errc::unproven},
        {wire::WireError::bad_image, Errc::refused},        {wire::WireError::out_of_order, Errc::mismatch},
        {wire::WireError::too_large, Errc::too_large},      {wire::WireError::unsupported, Errc::unsupported},
        {wire::WireError::verify, Errc::mismatch},
    };
    for (const auto& row : table) {
        auto [link, session] = session_with([&](const link::Message& message, Answers& answers) {
            answer_error(message, answers, row.sent);
        });
        CHECK(session->info().error().code == row.code);
    }
}

TEST_CASE("strange device: an image whose size is 0, 19, 481 or 65,535 is garbled before more is read") {
    for (const std::size_t size : {std::size_t{0}, std::size_t{19}, std::size_t{481}, std::size_t{65535}}) {
        CAPTURE(size);
        auto image = plain_image(1);
        engine::put16(image.data() + 2, static_cast<std::uint16_t>(size));
        auto [link, session] = session_with(serves(image));
        const int sent = link->sent();
        CHECK(session->read_image(0).error().code == Errc::garbled);
        CHECK(link->sent() - sent == 1);
    }
}

TEST_CASE("strange device: an image with any one bit flipped is garbled") {
    const auto image = plain_image(1);
    for (std::size_t i = 0; i < image.size(); ++i) {
        auto flipped = image;
        flipped[i] = static_cast<std::uint8_t>(flipped[i] ^ (1u << i % 8));
        auto [link, session] = session_with(serves(flipped));
        const auto read = session->read_image(0);
        if (read || read.error().code != Errc::garbled) FAIL("byte ", i);
    }
    auto [link, session] = session_with(serves(image));
    CHECK(*session->read_image(0) == image);
}

TEST_CASE("strange device: read replies that are short, of another offset or of another count are garbled") {
    const auto with = [](int offset, int count, int cut) {
        auto [link, session] = session_with([=](const link::Message& message, Answers& answers) {
            const Bytes bytes(64, 1);
            std::uint8_t raw[wire::k_message_max];
            const auto size = wire::put_read(
                raw, message[1],
                {0, static_cast<std::uint32_t>(offset), bytes.data(), static_cast<std::uint8_t>(count)});
            answers.emplace_back(raw, raw + size - cut);
        });
        return session->read_image(0).error().code;
    };
    CHECK(with(4, 20, 0) == Errc::garbled);
    CHECK(with(0, 19, 0) == Errc::garbled);
    CHECK(with(0, 21, 0) == Errc::garbled);
    CHECK(with(0, 20, 18) == Errc::garbled);
    CHECK(with(0, 20, 25) == Errc::garbled);
}

TEST_CASE(
    "strange device: whatever bytes it answers, every call ends, in bounded time, with a value or an error") {
    CHECK(rc::check([](std::vector<std::vector<std::uint8_t>> bodies) {
        std::size_t next = 0;
        auto [link, session] = session_with([&](const link::Message& message, Answers& answers) {
            if (bodies.empty()) return;
            link::Message answer = bodies[next++ % bodies.size()];
            answer.insert(answer.begin(),
                          {static_cast<std::uint8_t>(message[0] | wire::k_reply), message[1]});
            answers.push_back(answer);
        });
        const auto begin = link->now_ms();
        (void)session->info().has_value();
        (void)session->trial().has_value();
        (void)session->display(0).has_value();
        (void)session->read_image(wire::k_slot_current).has_value();
        (void)session->push(plain_image(1), 0).has_value();
        (void)session->keep(1, 2, true).has_value();
        (void)session->subscribe(true, true, {}).has_value();
        RC_ASSERT(link->now_ms() - begin < 200000u);
    }));
}

TEST_CASE("strange device: what is no ASCII in its display is shown as a question mark") {
    auto [link, session] = session_with([](const link::Message& message, Answers& answers) {
        const std::uint8_t text[] = {'a', 0x1B, 0x80, '~', 0x7F, ' '};
        std::uint8_t raw[wire::k_message_max];
        const auto size = wire::put_display(raw, message[1], {0, 4, 6, text});
        answers.emplace_back(raw, raw + size);
    });
    const auto row = session->display(0);
    REQUIRE(row.has_value());
    CHECK(*row == "a??~? ");
}

TEST_CASE("strange device: a block answered with another's offset or count is garbled, and the push ends") {
    for (const int kind : {0, 1, 2, 3}) {
        CAPTURE(kind);
        auto [link, session] = session_with([=](const link::Message& message, Answers& answers) {
            std::uint8_t raw[wire::k_message_max];
            std::uint8_t size = 0;
            const std::uint32_t offset = kind == 0 ? 48 : 0;
            const std::uint8_t count = kind == 1 ? 47 : 48;
            const auto type = static_cast<MessageType>(message[0]);
            const std::uint16_t bytes = kind == 3 ? 2000 : 10;  // more than image and slot have
            if (type == MessageType::begin_write) size = wire::put_begin_write(raw, message[1], bytes);
            if (type == MessageType::write) size = wire::put_write(raw, message[1], {offset, count});
            if (kind == 2 && type == MessageType::write) --size;
            answers.emplace_back(raw, raw + size);
        });
        const int sent = link->sent();
        CHECK(session->push(plain_image(1), 0).error().code == Errc::garbled);
        CHECK(link->sent() - sent == (kind == 3 ? 1 : 2));
    }
}

TEST_CASE(
    "strange device: its finish answers with another image's CRC: mismatch; with a trial that is over: not "
    "found") {
    const auto push = [](std::uint32_t crc_off, wire::TrialPhase phase) {
        auto [link, session] = session_with([=](const link::Message& message, Answers& answers) {
            std::uint8_t raw[wire::k_message_max];
            std::uint8_t size = 0;
            const auto type = static_cast<MessageType>(message[0]);
            if (type == MessageType::begin_write) size = wire::put_begin_write(raw, message[1], 10);
            wire::WriteRequest block{};
            if (wire::get_write_request(message.data() + 2, static_cast<std::uint8_t>(message.size() - 2),
                                        block) &&
                type == MessageType::write)
                size = wire::put_write(raw, message[1], {block.offset, block.count});
            if (type == MessageType::finish)
                size = wire::put_trial(raw, type, message[1],
                                       {phase, 1, crc_of(plain_image(1)) + crc_off, 60, 0, 0});
            answers.emplace_back(raw, raw + size);
        });
        const auto result = session->push(plain_image(1), 0);
        return result ? Errc::cancelled : result.error().code;  // cancelled stands for: pushed
    };
    CHECK(push(0, wire::TrialPhase::running) == Errc::cancelled);
    CHECK(push(1, wire::TrialPhase::running) == Errc::mismatch);
    CHECK(push(0, wire::TrialPhase::expired) == Errc::not_found);
    CHECK(push(0, wire::TrialPhase::reverted) == Errc::not_found);
}
