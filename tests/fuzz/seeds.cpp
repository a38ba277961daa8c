#include "tests/fuzz/seeds.hpp"

#include <functional>
#include <memory>

#include "core/link/memory_link.hpp"
#include "core/link/session.hpp"
#include "core/wire/descriptors.hpp"
#include "core/wire/frame.hpp"
#include "core/wire/request.hpp"
#include "tests/fuzz/board.hpp"
#include "tests/fuzz/calls.hpp"
#include "tests/fuzz/tape_link.hpp"
#include "tests/wire/support/images.hpp"

namespace fettle::fuzz {

namespace {

using link::Message;

void append(Bytes& to, const Bytes& what) {
    to.insert(to.end(), what.begin(), what.end());
}
void append_counted(Bytes& to, const Bytes& what) {
    to.push_back(static_cast<std::uint8_t>(what.size()));
    append(to, what);
}
Bytes body_of(const Message& message) {
    return {message.begin() + wire::k_message_head, message.end()};
}
bool is_type(const Message& message, wire::MessageType type) {
    return message[0] == static_cast<std::uint8_t>(type);
}

/// What happened on a link, in order: a call, or a request with all that came until the next one.
struct Log {
    struct Entry {
        bool is_call = false;
        Call call{};
        Message request;
        std::vector<Message> heard;
    };
    std::vector<Entry> entries;
};

class LoggedLink : public link::Link {
public:
    LoggedLink(std::unique_ptr<link::Link> inner, Log& log) : inner_(std::move(inner)), log_(log) {}
    Status send(std::span<const std::uint8_t> message) override {
        last_ = log_.entries.size();
        log_.entries.push_back({false, {}, Message(message.begin(), message.end()), {}});
        return inner_->send(message);
    }
    Result<std::optional<Message>> receive(std::uint32_t wait_ms) override {
        auto received = inner_->receive(wait_ms);
        if (received && *received) log_.entries[last_].heard.push_back(**received);
        return received;
    }
    std::uint64_t now_ms() const override { return inner_->now_ms(); }
    link::ChannelKind channel() const override { return inner_->channel(); }

private:
    std::unique_ptr<link::Link> inner_;
    Log& log_;
    std::size_t last_ = 0;
};

Bytes answer_step(const Message& request, const Message& heard, bool more) {
    Answer kind = Answer::reply;
    if (is_type(heard, wire::MessageType::telemetry)) kind = Answer::telemetry;
    if (is_type(heard, wire::MessageType::error)) kind = Answer::error;
    must(kind == Answer::telemetry || heard[1] == request[1], "an answer to this request");
    Bytes step = {static_cast<std::uint8_t>(static_cast<std::uint8_t>(kind) | (more ? k_more : 0))};
    append_counted(step, body_of(heard));
    return step;
}

Bytes tape_of(const Log& log) {
    Bytes tape = {0};
    for (const Log::Entry& entry : log.entries) {
        if (entry.is_call) tape.push_back(static_cast<std::uint8_t>(entry.call));
        for (std::size_t i = 0; i < entry.heard.size(); ++i)
            append(tape, answer_step(entry.request, entry.heard[i], i + 1 < entry.heard.size()));
    }
    return tape;
}

/// A device, a session with it, and all that was said.
struct Conversation {
    Conversation() {
        auto opened = link::Session::open(std::make_unique<LoggedLink>(
            std::make_unique<link::MemoryLink>(device, link::MemoryLink::Way::hid), log));
        must(opened.has_value(), "a greeting");
        session = std::move(*opened);
    }
    void call(Call what, const std::function<void(link::Session&)>& run) {
        log.entries.push_back({true, what, {}, {}});
        run(*session);
    }

    Log log;
    std::shared_ptr<sim::SimDevice> device = [] {
        auto made = std::make_shared<sim::SimDevice>();
        made->advance_ms(300);
        return made;
    }();
    std::unique_ptr<link::Session> session;
};

void small_calls(Conversation& talk) {
    talk.call(Call::info, [](auto& s) { (void)s.info(); });
    talk.call(Call::display, [](auto& s) { (void)s.display_row(0); });
    talk.call(Call::ping, [](auto& s) { (void)s.ping(); });
    talk.call(Call::set_mode, [](auto& s) { (void)s.set_mode(1); });
    talk.call(Call::release, [](auto& s) { (void)s.release(); });
    talk.call(Call::trial, [](auto& s) { (void)s.trial(); });
    talk.call(Call::keep, [](auto& s) { (void)s.keep(1, 0x12345678, false); });
}

void telemetry_calls(Conversation& talk) {
    talk.call(Call::subscribe, [](auto& s) { (void)s.subscribe(true, true, [](const auto&) {}); });
    talk.device->hands().press_switch(1, talk.device->now_us() + 10000, 60);
    talk.call(Call::listen, [](auto& s) { (void)s.listen(100); });
    talk.call(Call::unsubscribe, [](auto& s) { (void)s.unsubscribe(); });
}

Bytes whole_talk(void (*calls)(Conversation&)) {
    Conversation talk;
    calls(talk);
    return tape_of(talk.log);
}

std::vector<Message> all_messages(void (*calls)(Conversation&)) {
    Conversation talk;
    calls(talk);
    std::vector<Message> all;
    for (const Log::Entry& entry : talk.log.entries) {
        if (!entry.is_call) all.push_back(entry.request);
        all.insert(all.end(), entry.heard.begin(), entry.heard.end());
    }
    return all;
}

void read_calls(Conversation& talk) {
    talk.call(Call::read_image, [](auto& s) { (void)s.read_image(wire::k_slot_current); });
}

void push_calls(Conversation& talk) {
    talk.call(Call::push, [](auto& s) { (void)s.push(test::plain_image(2), 60); });
    talk.call(Call::extend, [](auto& s) { (void)s.extend(1, 0x12345678, 60); });
    talk.call(Call::revert, [](auto& s) { (void)s.revert(1, 0x12345678); });
}

void hello_seeds(std::vector<Seed>& seeds) {
    seeds.push_back({"hello", "small", whole_talk(small_calls)});
    seeds.push_back({"hello", "read", whole_talk(read_calls)});
    seeds.push_back({"hello", "push", whole_talk(push_calls)});
    seeds.push_back({"hello", "telemetry", whole_talk(telemetry_calls)});
}

/// One of each type, and the longest of telemetry.
void message_seeds(std::vector<Seed>& seeds) {
    std::vector<Bytes> bodies(256);
    for (auto* calls : {small_calls, read_calls, push_calls, telemetry_calls})
        for (const Message& message : all_messages(calls))
            if (message.size() > bodies[message[0]].size() + wire::k_message_head)
                bodies[message[0]] = body_of(message);
    for (std::size_t type = 0; type < bodies.size(); ++type)
        if (!bodies[type].empty())
            seeds.push_back({"messages", "type_" + std::to_string(type), bodies[type]});
}

void telemetry_seeds(std::vector<Seed>& seeds) {
    Bytes tape;
    for (const Message& message : all_messages(telemetry_calls)) {
        if (!is_type(message, wire::MessageType::telemetry)) continue;
        append_counted(tape, body_of(message));
    }
    seeds.push_back({"telemetry", "press", tape});
}

void frame_seeds(std::vector<Seed>& seeds) {
    Bytes reports = {0}, frames = {0};
    for (const Message& message : all_messages(small_calls)) {
        const auto size = static_cast<std::uint8_t>(message.size());
        Bytes report(wire::k_hid_report_bytes), frame(wire::k_serial_frame_max);
        must(wire::pack_report(message.data(), size, report.data()), "a report");
        frame.resize(wire::pack_serial(message.data(), size, frame.data()));
        append_counted(reports, report);
        append_counted(frames, frame);
    }
    seeds.push_back({"frames", "reports", reports});
    seeds.push_back({"frames", "serial", frames});
}

void descriptor_seeds(std::vector<Seed>& seeds) {
    using namespace wire;
    seeds.push_back(
        {"descriptor", "raw", Bytes(k_raw_descriptor, k_raw_descriptor + k_raw_descriptor_bytes)});
    seeds.push_back({"descriptor", "keyboard",
                     Bytes(k_keyboard_descriptor, k_keyboard_descriptor + k_keyboard_descriptor_bytes)});
    seeds.push_back({"descriptor", "pointer",
                     Bytes(k_pointer_descriptor, k_pointer_descriptor + k_pointer_descriptor_bytes)});
}

/// The requests of a conversation, each with the time that its answer takes.
Bytes board_tape(void (*calls)(Conversation&), Step way) {
    Conversation talk;
    calls(talk);
    Bytes tape = {1, static_cast<std::uint8_t>(Step::dtr), 1};
    for (const Log::Entry& entry : talk.log.entries) {
        if (entry.is_call) continue;
        append(tape, {static_cast<std::uint8_t>(way), entry.request[0], entry.request[1]});
        append_counted(tape, body_of(entry.request));
        const bool is_hid = way == Step::hid_message;
        append(tape, {static_cast<std::uint8_t>(Step::pass), 20,
                      static_cast<std::uint8_t>(is_hid ? Step::drain_hid : Step::drain_serial)});
    }
    return tape;
}

void device_seeds(std::vector<Seed>& seeds) {
    seeds.push_back({"device", "small_hid", board_tape(small_calls, Step::hid_message)});
    seeds.push_back({"device", "small_serial", board_tape(small_calls, Step::serial_message)});
    seeds.push_back({"device", "telemetry_hid", board_tape(telemetry_calls, Step::hid_message)});
    for (const Bytes& image : {test::plain_image(3), test::full_image()}) {
        Bytes tape = {0, static_cast<std::uint8_t>(Step::image),
                      static_cast<std::uint8_t>(image.size() & 0xFF),
                      static_cast<std::uint8_t>(image.size() >> 8)};
        append(tape, image);
        append(tape, {static_cast<std::uint8_t>(Step::keep), static_cast<std::uint8_t>(Step::power)});
        seeds.push_back({"device", "image_" + std::to_string(image.size()), tape});
    }
}

}  // namespace

std::vector<Seed> make_seeds() {
    std::vector<Seed> seeds;
    descriptor_seeds(seeds);
    device_seeds(seeds);
    frame_seeds(seeds);
    hello_seeds(seeds);
    message_seeds(seeds);
    telemetry_seeds(seeds);
    return seeds;
}

}  // namespace fettle::fuzz
