#include "tests/wire/support/rig.hpp"

#include <doctest/doctest.h>
#include <algorithm>

namespace fettle::test {

using namespace wire;

Rig::Rig(bool begin) {
    const char serial[] = "RIG00001";
    memcpy(identity.serial, serial, 8);
    identity.boot_id = 0x1234;
    identity.display_rows = 4;
    identity.display_columns = 20;
    if (begin) start();
}

void Rig::start(int ticks) {
    device.start(eeprom.seam(), identity, now_us);
    last[0] = last[1] = engine::Report{};
    taken = 0;
    telemetry.clear();
    tick(ticks);
}

void Rig::tick(int ticks, uint8_t commands) {
    for (int i = 0; i < ticks; ++i) {
        now_us += 1000;
        eeprom.tick();
        engine::TickInputs in = {};
        in.now_us = now_us;
        for (auto& edge : edges)
            if (edge.at_us == 0) edge.at_us = now_us;
        in.edges = edges.data();
        in.edge_count = static_cast<uint8_t>(edges.size());
        in.taken = taken;
        in.commands = commands;
        in.boot_protocol = boot_protocol;
        engine::TickOutputs out = {};
        device.tick(in, out);
        edges.clear();
        taken = 0;
        for (uint8_t e = 0; e < 2; ++e) {
            if (out.reports[e].size == 0) continue;
            last[e] = out.reports[e];
            if (host_takes_reports) taken = static_cast<uint8_t>(taken | 1u << e);
        }
    }
}

void Rig::switch_to(uint8_t line, bool closed) {
    edges.push_back(engine::Edge{0, line, static_cast<uint8_t>(closed ? 0 : 1)});
}

void Rig::press(uint8_t line, int ticks) {
    switch_to(line, true);
    tick(ticks);
    switch_to(line, false);
    tick(ticks);
}

std::optional<Bytes> Rig::fetch(Channel channel) {
    uint8_t raw[k_message_max];
    while (const uint8_t size = device.send(channel, raw, now_us)) {
        Bytes message(raw, raw + size);
        if (message[0] != static_cast<uint8_t>(MessageType::telemetry)) return message;
        telemetry.push_back(message);
    }
    return std::nullopt;
}

void Rig::drain(Channel channel) {
    while (fetch(channel)) {
    }
}

std::optional<Bytes> Rig::ask(const Bytes& message, Channel channel, int patience) {
    device.receive(channel, message.data(), static_cast<uint8_t>(message.size()), now_us);
    for (int i = 0; i < patience; ++i) {
        while (auto answer = fetch(channel))
            if (answer->at(1) == message.at(1)) return answer;
        tick();
    }
    return std::nullopt;
}

namespace {

Bytes must_answer(Rig& rig, const uint8_t* raw, uint8_t size) {
    const auto answer = rig.ask(Bytes(raw, raw + size));
    REQUIRE(answer.has_value());
    return *answer;
}

}  // namespace

Bytes Rig::begin_write(const Bytes& image) {
    uint8_t raw[k_message_max];
    const BeginWriteRequest body = {static_cast<uint16_t>(image.size()), crc_of(image)};
    return must_answer(*this, raw, put_begin_write_request(raw, next_id++, body));
}

Bytes Rig::write_all(const Bytes& image, size_t block) {
    Bytes answer;
    for (size_t at = 0; at < image.size(); at += block) {
        uint8_t raw[k_message_max];
        const size_t count = std::min(block, image.size() - at);
        const WriteRequest body = {static_cast<uint32_t>(at), image.data() + at, static_cast<uint8_t>(count)};
        answer = must_answer(*this, raw, put_write_request(raw, next_id++, body));
        if (type_of(answer) == static_cast<uint8_t>(MessageType::error)) return answer;
    }
    return answer;
}

Bytes Rig::finish(const Bytes& image, uint16_t seconds) {
    uint8_t raw[k_message_max];
    return must_answer(*this, raw, put_finish_request(raw, next_id++, FinishRequest{crc_of(image), seconds}));
}

Bytes Rig::push(const Bytes& image, uint16_t seconds) {
    const uint8_t error = static_cast<uint8_t>(MessageType::error);
    Bytes answer = begin_write(image);
    if (type_of(answer) != error) answer = write_all(image);
    return type_of(answer) == error ? answer : finish(image, seconds);
}

Bytes Rig::keep(uint16_t id, uint32_t crc, uint8_t flags) {
    uint8_t raw[k_message_max];
    return must_answer(*this, raw, put_keep_request(raw, next_id++, TrialRequest{id, crc, flags, 0}));
}

Bytes Rig::revert(uint16_t id, uint32_t crc) {
    uint8_t raw[k_message_max];
    return must_answer(*this, raw, put_revert_request(raw, next_id++, TrialRequest{id, crc, 0, 0}));
}

Bytes Rig::extend(uint16_t id, uint32_t crc, uint16_t seconds) {
    uint8_t raw[k_message_max];
    return must_answer(*this, raw, put_extend_request(raw, next_id++, TrialRequest{id, crc, 0, seconds}));
}

void Rig::install(const Bytes& image) {
    const TrialReply running = trial_of(push(image));
    REQUIRE(running.phase == TrialPhase::running);
    REQUIRE(trial_of(keep(running.id, running.image_crc)).phase == TrialPhase::kept);
}

Bytes Rig::read_back(uint8_t slot, uint16_t size) {
    Bytes image;
    while (image.size() < size) {
        uint8_t raw[k_message_max];
        const size_t left = size - image.size();
        const uint8_t count = static_cast<uint8_t>(left < k_block_max ? left : k_block_max);
        const ReadRequest body = {slot, static_cast<uint32_t>(image.size()), count};
        const Bytes answer = must_answer(*this, raw, put_read_request(raw, next_id++, body));
        ReadReply reply;
        REQUIRE(type_of(answer) == static_cast<uint8_t>(MessageType::read));
        REQUIRE(get_read(answer.data() + 2, static_cast<uint8_t>(answer.size() - 2), reply));
        image.insert(image.end(), reply.bytes, reply.bytes + reply.count);
    }
    return image;
}

HelloReply Rig::hello() {
    uint8_t raw[k_message_max];
    const Bytes answer = must_answer(*this, raw, put_hello_request(raw, next_id++, 1));
    HelloReply reply = {};
    REQUIRE(type_of(answer) == static_cast<uint8_t>(MessageType::hello));
    REQUIRE(get_hello(answer.data() + 2, static_cast<uint8_t>(answer.size() - 2), reply));
    return reply;
}

TrialReply Rig::trial() {
    uint8_t raw[k_message_max];
    return trial_of(must_answer(*this, raw, put_request(raw, MessageType::trial, next_id++)));
}

bool Rig::is_all_up() const {
    for (uint8_t i = 0; i < last[0].size; ++i)
        if (last[0].bytes[i] != 0) return false;
    const engine::Report& pointer = last[1];
    if (pointer.size == engine::k_pointer_report_bytes && pointer.bytes[1] != 0) return false;
    if (pointer.size == engine::k_consumer_report_bytes && (pointer.bytes[1] | pointer.bytes[2]) != 0)
        return false;
    return !device.engine().holds_anything();
}

bool Rig::ends_released() {
    uint8_t raw[k_message_max];
    host_takes_reports = true;
    // What was handed over and never read is read now.
    taken = engine::k_taken_keyboard | engine::k_taken_pointer;
    device.receive(Channel::hid, raw, put_request(raw, MessageType::release, next_id++), now_us);
    tick(50);
    drain(Channel::hid);
    return is_all_up();
}

uint8_t type_of(const Bytes& message) {
    return message.at(0) == 0x7F ? uint8_t{0x7F} : static_cast<uint8_t>(message.at(0) & ~k_reply);
}

ErrorReply error_of(const Bytes& message) {
    ErrorReply reply = {};
    REQUIRE(type_of(message) == static_cast<uint8_t>(MessageType::error));
    REQUIRE(get_error(message.data() + 2, static_cast<uint8_t>(message.size() - 2), reply));
    return reply;
}

bool is_error(const Bytes& message, WireError code) {
    return type_of(message) == static_cast<uint8_t>(MessageType::error) && error_of(message).code == code;
}

TrialReply trial_of(const Bytes& message) {
    TrialReply reply = {};
    CAPTURE(message.size() > 3 ? int(message[2]) : 0);
    CAPTURE(message.size() > 3 ? int(message[3]) : 0);
    REQUIRE(type_of(message) != static_cast<uint8_t>(MessageType::error));
    REQUIRE(get_trial(message.data() + 2, static_cast<uint8_t>(message.size() - 2), reply));
    return reply;
}

std::vector<engine::Event> events_of(const std::vector<Bytes>& telemetry) {
    std::vector<engine::Event> events;
    for (const auto& batch : telemetry) {
        TelemetryReader reader(batch.data() + 2, static_cast<uint8_t>(batch.size() - 2));
        REQUIRE(reader.is_valid());
        engine::Event event;
        while (reader.next(event)) events.push_back(event);
        REQUIRE_FALSE(reader.garbled());
    }
    return events;
}

}  // namespace fettle::test
