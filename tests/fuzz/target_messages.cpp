#include <cstring>

#include "core/wire/reply.hpp"
#include "core/wire/request.hpp"
#include "tests/fuzz/tape.hpp"

namespace fettle::fuzz {

using namespace wire;

namespace {

constexpr std::uint8_t k_id = 7;

/// A body that is read, written and read again is the same.
template <typename T, typename Get, typename Put>
void round_trip(const Bytes& body, Get get, Put put) {
    T first{};
    if (!get(body.data(), static_cast<std::uint8_t>(body.size()), first)) return;
    std::uint8_t written[k_message_max], again[k_message_max];
    const std::uint8_t size = put(written, first);
    must(size >= k_message_head && size <= k_message_max, "what was read can be written");
    const Bytes exact(written + k_message_head, written + size);
    T second{};
    must(get(exact.data(), static_cast<std::uint8_t>(exact.size()), second), "what was written can be read");
    must(put(again, second) == size && std::memcmp(written, again, size) == 0, "and says the same");
}

template <typename T>
auto whole(std::uint8_t (*put)(std::uint8_t*, std::uint8_t, const T&)) {
    return [put](std::uint8_t* to, const T& value) { return put(to, k_id, value); };
}
template <typename T>
auto simple(std::uint8_t (*put)(std::uint8_t*, std::uint8_t, T)) {
    return [put](std::uint8_t* to, T value) { return put(to, k_id, value); };
}
auto typed(std::uint8_t (*put)(std::uint8_t*, MessageType, std::uint8_t, std::uint8_t), MessageType type) {
    return [put, type](std::uint8_t* to, std::uint8_t value) { return put(to, type, k_id, value); };
}

void read_requests(const Bytes& body) {
    round_trip<std::uint16_t>(body, get_hello_request, simple(put_hello_request));
    round_trip<std::uint32_t>(body, get_ping_request, simple(put_ping_request));
    round_trip<ReadRequest>(body, get_read_request, whole(put_read_request));
    round_trip<BeginWriteRequest>(body, get_begin_write_request, whole(put_begin_write_request));
    round_trip<WriteRequest>(body, get_write_request, whole(put_write_request));
    round_trip<FinishRequest>(body, get_finish_request, whole(put_finish_request));
    round_trip<TrialRequest>(body, get_keep_request, whole(put_keep_request));
    round_trip<TrialRequest>(body, get_revert_request, whole(put_revert_request));
    round_trip<TrialRequest>(body, get_extend_request, whole(put_extend_request));
    round_trip<std::uint8_t>(body, get_byte_request, typed(put_byte_request, MessageType::set_mode));
    round_trip<InjectRequest>(body, get_inject_request, whole(put_inject_request));
}

void read_replies(const Bytes& body) {
    round_trip<HelloReply>(body, get_hello, whole(put_hello));
    round_trip<InfoReply>(body, get_info, whole(put_info));
    round_trip<TrialReply>(body, get_trial, [](std::uint8_t* to, const TrialReply& reply) {
        return put_trial(to, MessageType::trial, k_id, reply);
    });
    round_trip<ErrorReply>(body, get_error, whole(put_error));
    round_trip<PingReply>(body, get_ping, whole(put_ping));
    round_trip<ReadReply>(body, get_read, whole(put_read));
    round_trip<std::uint16_t>(body, get_begin_write, simple(put_begin_write));
    round_trip<WriteReply>(body, get_write, whole(put_write));
    round_trip<SubscribeReply>(body, get_subscribe, whole(put_subscribe));
    round_trip<std::uint8_t>(body, get_byte_reply, typed(put_byte_reply, MessageType::set_mode));
    round_trip<DisplayReply>(body, get_display, whole(put_display));
}

/// What is read of a body lies in it.
template <typename T>
void check_inside(const Bytes& body, const T& read) {
    const std::uint8_t* end = body.data() + body.size();
    must(read.bytes >= body.data() && read.bytes <= end && end - read.bytes >= read.count,
         "lies in the body");
}

void read_pointers(const Bytes& body) {
    const auto size = static_cast<std::uint8_t>(body.size());
    if (ReadReply reply{}; get_read(body.data(), size, reply)) check_inside(body, reply);
    if (WriteRequest request{}; get_write_request(body.data(), size, request)) check_inside(body, request);
    if (InjectRequest request{}; get_inject_request(body.data(), size, request))
        must(request.count <= k_inject_max, "at most 19 edges");
    if (DisplayReply reply{}; get_display(body.data(), size, reply)) {
        const std::uint8_t* end = body.data() + body.size();
        must(reply.text >= body.data() && end - reply.text >= reply.columns, "lies in the body");
        must(reply.columns <= k_display_columns_max, "at most 40 columns");
    }
}

void read_telemetry(const Bytes& body) {
    TelemetryReader reader(body.data(), static_cast<std::uint8_t>(body.size()));
    if (!reader.is_valid()) return;
    engine::Event event{};
    std::size_t events = 0;
    while (reader.next(event)) {
        must(engine::event_size(event.kind) != 0, "an event of a kind that is known");
        must(++events <= body.size() / 3, "an event takes at least 3 bytes");
    }
    must(!reader.next(event), "an end is for good");
}

}  // namespace

void run_messages(Input input) {
    const auto body = Tape(input).bytes(k_body_max);
    read_requests(body);
    read_replies(body);
    read_pointers(body);
    read_telemetry(body);
    if (input.size() < k_message_head || input.size() > k_message_max) return;
    Bytes message(input.begin(), input.end());
    set_sent(message.data(), static_cast<std::uint8_t>(message.size()), 1);
}

}  // namespace fettle::fuzz
