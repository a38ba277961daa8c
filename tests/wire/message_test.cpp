#include "core/wire/message.hpp"

#include <doctest/doctest.h>

#include <functional>
#include <vector>

#include "core/wire/reply.hpp"
#include "core/wire/request.hpp"

using namespace fettle::wire;

namespace {

using Bytes = std::vector<uint8_t>;
using Put = std::function<uint8_t(uint8_t*)>;
using Get = std::function<bool(const uint8_t*, uint8_t)>;

Bytes written(const Put& put) {
    uint8_t raw[k_message_max];
    return Bytes(raw, raw + put(raw));
}

/// The body is read when it is whole or longer, and refused at every shorter length.
void check_lengths(const Bytes& message, const Get& get) {
    for (size_t size = 0; size + k_message_head < message.size(); ++size) {
        CAPTURE(size);
        CHECK_FALSE(get(message.data() + k_message_head, static_cast<uint8_t>(size)));
    }
    Bytes longer = message;
    CHECK(get(longer.data() + k_message_head, static_cast<uint8_t>(longer.size() - k_message_head)));
    longer.resize(k_message_max, 0xEE);
    CHECK(get(longer.data() + k_message_head, static_cast<uint8_t>(longer.size() - k_message_head)));
}

const HelloReply k_hello = {0x0102,
                            0x0304,
                            5,
                            0x06070809,
                            2,
                            480,
                            256,
                            24,
                            16,
                            4,
                            0xFF,
                            480,
                            0xCBF43926,
                            {1, 2, 3, 4, 5, 6, 7, 8},
                            0x1112,
                            0x1314,
                            {'F', 'T', '0', '1', 0, 0, 0, 0},
                            1};

}  // namespace

TEST_CASE("messages: hello is 47 bytes, each field at its place, low byte first") {
    const Bytes message = written([](uint8_t* to) { return put_hello(to, 7, k_hello); });
    CHECK(message == Bytes{0x81, 7,    0x02, 0x01, 0x04, 0x03, 5, 0x09, 0x08, 0x07, 0x06, 2,
                           0xE0, 0x01, 0x00, 0x01, 24,   16,   4, 0xFF, 0xE0, 0x01, 0x26, 0x39,
                           0xF4, 0xCB, 1,    2,    3,    4,    5, 6,    7,    8,    0x12, 0x11,
                           0x14, 0x13, 'F',  'T',  '0',  '1',  0, 0,    0,    0,    1});
}

TEST_CASE("messages: hello comes back whole, from every longer body and from no shorter one") {
    HelloReply out = {};
    const Bytes message = written([](uint8_t* to) { return put_hello(to, 7, k_hello); });
    check_lengths(message, [&](const uint8_t* body, uint8_t size) { return get_hello(body, size, out); });
    const Bytes again = written([&](uint8_t* to) { return put_hello(to, 7, out); });
    CHECK(again == message);
    CHECK(out.image_crc == 0xCBF43926);
    CHECK(out.current_slot == k_slot_built_in);
}

TEST_CASE("messages: info is 27 bytes and comes back whole") {
    const InfoReply info = {0x01020304, 5, 6, 7, 8, 9, 10, 0x11121314, 15, 2, 16, 17};
    InfoReply out = {};
    const Bytes message = written([&](uint8_t* to) { return put_info(to, 9, info); });
    CHECK(message == Bytes{0x83, 9, 4,  3, 2,    1,    5,    0,    6,  0, 7,  0, 8, 0,
                           9,    0, 10, 0, 0x14, 0x13, 0x12, 0x11, 15, 2, 16, 0, 17});
    check_lengths(message, [&](const uint8_t* body, uint8_t size) { return get_info(body, size, out); });
    CHECK(written([&](uint8_t* to) { return put_info(to, 9, out); }) == message);
}

TEST_CASE("messages: a trial reply comes back whole; a phase past 6 is refused") {
    const TrialReply reply = {TrialPhase::expired, 0x0102, 0xA1B2C3D4, 600, 5, 7};
    TrialReply out = {};
    Bytes message = written([&](uint8_t* to) { return put_trial(to, MessageType::keep, 3, reply); });
    CHECK(message == Bytes{0x88, 3, 5, 0x02, 0x01, 0xD4, 0xC3, 0xB2, 0xA1, 0x58, 0x02, 5, 7});
    check_lengths(message, [&](const uint8_t* body, uint8_t size) { return get_trial(body, size, out); });
    CHECK(out.phase == TrialPhase::expired);
    CHECK(out.seconds_left == 600);
    message[2] = 7;
    CHECK_FALSE(get_trial(message.data() + 2, static_cast<uint8_t>(message.size() - 2), out));
}

TEST_CASE("messages: an error names the request and two bytes of detail, and has no reply bit") {
    ErrorReply out = {};
    const Bytes message = written([](uint8_t* to) {
        return put_error(to, 4, ErrorReply{0x05, WireError::too_large, {0xE0, 1}});
    });
    CHECK(message == Bytes{0x7F, 4, 0x05, 8, 0xE0, 0x01});
    check_lengths(message, [&](const uint8_t* body, uint8_t size) { return get_error(body, size, out); });
    CHECK(out.code == WireError::too_large);
}

TEST_CASE("messages: requests of fixed size are read at their size or longer and at no shorter one") {
    uint16_t word = 0;
    uint32_t stamp = 0;
    uint8_t byte = 0;
    ReadRequest read = {};
    BeginWriteRequest begin = {};
    FinishRequest finish = {};
    TrialRequest trial = {};
    const TrialRequest asked = {0x0102, 0xA1B2C3D4, 1, 300};
    struct Row {
        Bytes message, expected;
        Get get;
    };
    const Row rows[] = {
        {written([](uint8_t* to) { return put_hello_request(to, 1, 0x0102); }),
         {0x01, 1, 2, 1},
         [&](const uint8_t* b, uint8_t n) { return get_hello_request(b, n, word); }},
        {written([](uint8_t* to) { return put_ping_request(to, 2, 0x01020304); }),
         {0x02, 2, 4, 3, 2, 1},
         [&](const uint8_t* b, uint8_t n) { return get_ping_request(b, n, stamp); }},
        {written([](uint8_t* to) {
             return put_read_request(to, 3, {1, 0x100, 48});
         }),
         {0x04, 3, 1, 0, 1, 0, 0, 48},
         [&](const uint8_t* b, uint8_t n) { return get_read_request(b, n, read); }},
        {written([](uint8_t* to) {
             return put_begin_write_request(to, 4, {480, 0xCBF43926});
         }),
         {0x05, 4, 0xE0, 1, 0x26, 0x39, 0xF4, 0xCB},
         [&](const uint8_t* b, uint8_t n) { return get_begin_write_request(b, n, begin); }},
        {written([](uint8_t* to) {
             return put_finish_request(to, 5, {0xCBF43926, 20});
         }),
         {0x07, 5, 0x26, 0x39, 0xF4, 0xCB, 20, 0},
         [&](const uint8_t* b, uint8_t n) { return get_finish_request(b, n, finish); }},
        {written([&](uint8_t* to) { return put_keep_request(to, 6, asked); }),
         {0x08, 6, 2, 1, 0xD4, 0xC3, 0xB2, 0xA1, 1},
         [&](const uint8_t* b, uint8_t n) { return get_keep_request(b, n, trial); }},
        {written([&](uint8_t* to) { return put_revert_request(to, 7, asked); }),
         {0x09, 7, 2, 1, 0xD4, 0xC3, 0xB2, 0xA1},
         [&](const uint8_t* b, uint8_t n) { return get_revert_request(b, n, trial); }},
        {written([&](uint8_t* to) { return put_extend_request(to, 8, asked); }),
         {0x0A, 8, 2, 1, 0xD4, 0xC3, 0xB2, 0xA1, 0x2C, 1},
         [&](const uint8_t* b, uint8_t n) { return get_extend_request(b, n, trial); }},
        {written([](uint8_t* to) { return put_byte_request(to, MessageType::set_mode, 9, 3); }),
         {0x10, 9, 3},
         [&](const uint8_t* b, uint8_t n) { return get_byte_request(b, n, byte); }},
    };
    for (const auto& row : rows) {
        CAPTURE(int(row.message[0]));
        CHECK(row.message == row.expected);
        check_lengths(row.message, row.get);
    }
    CHECK(word == 0x0102);
    CHECK(stamp == 0x01020304);
    CHECK(read.offset == 0x100);
    CHECK(begin.image_crc == 0xCBF43926);
    CHECK(finish.seconds == 20);
    CHECK(trial.image_crc == 0xA1B2C3D4);
    CHECK(byte == 3);
}

TEST_CASE("messages: requests without a body are two bytes") {
    CHECK(written([](uint8_t* to) { return put_request(to, MessageType::info, 1); }) == Bytes{0x03, 1});
    CHECK(written([](uint8_t* to) { return put_reply(to, MessageType::release, 2); }) == Bytes{0x8C, 2});
}

TEST_CASE("messages: read asks for 1 to 48 bytes, a write brings 1 to 48") {
    for (int count = 0; count < 256; ++count) {
        ReadRequest read = {};
        const Bytes message = written([&](uint8_t* to) {
            return put_read_request(to, 1, {0, 0, static_cast<uint8_t>(count)});
        });
        CHECK(get_read_request(message.data() + 2, 6, read) == (count >= 1 && count <= 48));
    }
    const Bytes data(60, 0x5A);
    for (uint8_t size = 0; size <= k_body_max; ++size) {
        WriteRequest write = {};
        const Bytes message = written([&](uint8_t* to) {
            return put_write_request(to, 1, {0x01020304, data.data(), size});
        });
        const auto body = static_cast<uint8_t>(message.size() - 2);
        CAPTURE(int(size));
        REQUIRE(get_write_request(message.data() + 2, body, write) == (size >= 1 && size <= 48));
        if (size >= 1 && size <= 48) {
            CHECK(write.offset == 0x01020304);
            CHECK(write.count == size);
            CHECK(Bytes(write.bytes, write.bytes + write.count) == Bytes(size, 0x5A));
        }
    }
}

TEST_CASE("messages: a trial time is 20 to 600 s; only finish may leave it to the profile with 0") {
    for (const uint16_t seconds : std::vector<uint16_t>{0, 1, 19, 20, 600, 601, 65535}) {
        FinishRequest finish = {};
        TrialRequest extend = {};
        const bool lawful = seconds >= 20 && seconds <= 600;
        const Bytes a = written([&](uint8_t* to) { return put_finish_request(to, 1, {1, seconds}); });
        const Bytes b = written([&](uint8_t* to) {
            return put_extend_request(to, 1, TrialRequest{1, 1, 0, seconds});
        });
        CAPTURE(seconds);
        CHECK(get_finish_request(a.data() + 2, 6, finish) == (lawful || seconds == 0));
        CHECK(get_extend_request(b.data() + 2, 8, extend) == lawful);
    }
}

TEST_CASE("messages: inject brings 1 to 19 whole steps on lines 0 to 8") {
    InjectRequest full = {8, 19, {}};
    for (uint8_t i = 0; i < 19; ++i)
        full.steps[i] = InjectStep{static_cast<uint8_t>(i & 1), static_cast<uint16_t>(560 * i)};
    const Bytes message = written([&](uint8_t* to) { return put_inject_request(to, 1, full); });
    REQUIRE(message.size() == 2 + 1 + 57);
    for (uint8_t size = 0; size <= message.size() - 2; ++size) {
        InjectRequest out = {};
        CAPTURE(int(size));
        REQUIRE(get_inject_request(message.data() + 2, size, out) == (size >= 4 && size % 3 == 1));
        if (size >= 4 && size % 3 == 1) {
            CHECK(out.count == size / 3);
            CHECK(out.steps[out.count - 1].after_us == 560 * (out.count - 1));
        }
    }
    Bytes wrong = message;
    InjectRequest out = {};
    wrong[2] = 9;
    CHECK_FALSE(get_inject_request(wrong.data() + 2, 58, out));
    wrong = message;
    wrong[3] = 2;
    CHECK_FALSE(get_inject_request(wrong.data() + 2, 58, out));
}

TEST_CASE("messages: the smaller replies come back whole") {
    const uint8_t bytes[] = {9, 8, 7};
    PingReply ping = {};
    ReadReply read = {};
    WriteReply write = {};
    SubscribeReply subscribe = {};
    DisplayReply display = {};
    uint16_t size = 0;
    uint8_t byte = 0;
    Bytes message = written([](uint8_t* to) { return put_ping(to, 1, {1, 2, 3}); });
    check_lengths(message, [&](const uint8_t* b, uint8_t n) { return get_ping(b, n, ping); });
    CHECK(ping.sent_us == 3);
    message = written([&](uint8_t* to) { return put_read(to, 1, {0xFE, 48, bytes, 3}); });
    CHECK(message == Bytes{0x84, 1, 0xFE, 48, 0, 0, 0, 9, 8, 7});
    REQUIRE(get_read(message.data() + 2, 8, read));
    CHECK(Bytes(read.bytes, read.bytes + read.count) == Bytes{9, 8, 7});
    CHECK_FALSE(get_read(message.data() + 2, 4, read));
    message = written([](uint8_t* to) { return put_begin_write(to, 1, 480); });
    check_lengths(message, [&](const uint8_t* b, uint8_t n) { return get_begin_write(b, n, size); });
    CHECK(size == 480);
    message = written([](uint8_t* to) { return put_write(to, 1, {96, 48}); });
    check_lengths(message, [&](const uint8_t* b, uint8_t n) { return get_write(b, n, write); });
    CHECK(write.offset == 96);
    message = written([](uint8_t* to) { return put_subscribe(to, 1, {0x1234, 77}); });
    check_lengths(message, [&](const uint8_t* b, uint8_t n) { return get_subscribe(b, n, subscribe); });
    CHECK(subscribe.next_sequence == 77);
    message = written([](uint8_t* to) { return put_byte_reply(to, MessageType::set_variant, 1, 2); });
    check_lengths(message, [&](const uint8_t* b, uint8_t n) { return get_byte_reply(b, n, byte); });
    CHECK(byte == 2);
    message = written([&](uint8_t* to) { return put_display(to, 1, {1, 4, 3, bytes}); });
    check_lengths(message, [&](const uint8_t* b, uint8_t n) { return get_display(b, n, display); });
    CHECK(display.columns == 3);
}

TEST_CASE("messages: a row of a display has at most 40 columns, as many as are there") {
    for (int columns = 0; columns <= 255; ++columns) {
        CAPTURE(columns);
        Bytes body(k_body_max, 'x');
        body[2] = static_cast<uint8_t>(columns);
        DisplayReply display = {};
        CHECK(get_display(body.data(), k_body_max, display) == (columns <= k_display_columns_max));
        if (columns > 0) CHECK_FALSE(get_display(body.data(), static_cast<uint8_t>(2 + columns), display));
    }
}

TEST_CASE("messages: only a ping reply is stamped when it leaves") {
    Bytes ping = written([](uint8_t* to) { return put_ping(to, 1, {1, 2, 0}); });
    set_sent(ping.data(), static_cast<uint8_t>(ping.size()), 0x01020304);
    CHECK(Bytes(ping.begin() + 10, ping.end()) == Bytes{4, 3, 2, 1});
    Bytes hello = written([](uint8_t* to) { return put_hello(to, 7, k_hello); });
    const Bytes before = hello;
    set_sent(hello.data(), static_cast<uint8_t>(hello.size()), 0x01020304);
    CHECK(hello == before);
}
