#include "core/link/session.hpp"

#include <fmt/format.h>
#include <algorithm>

namespace fettle::link {

using engine::get16;
using engine::get32;
using engine::put16;
using engine::put32;
using wire::MessageType;

namespace {

Unexpected of_device(const wire::ErrorReply& reply) {
    const std::string where = fmt::format("request {:#04x}", reply.request);
    switch (reply.code) {
        case wire::WireError::unknown_type:
        case wire::WireError::unsupported: return fail(Errc::unsupported, where);
        case wire::WireError::malformed:
            return fail(Errc::garbled, where, "the device could not read the request");
        case wire::WireError::busy: return fail(Errc::busy, where);
        case wire::WireError::no_trial: return fail(Errc::not_found, where, "trial");
        case wire::WireError::unproven:
            return fail(Errc::unproven, where, fmt::format("{} {}", reply.detail[0], reply.detail[1]));
        case wire::WireError::bad_image:
            return fail(Errc::refused, where,
                        fmt::format("image fault {} in section {:#04x}", reply.detail[0], reply.detail[1]));
        case wire::WireError::out_of_order:
            return fail(Errc::mismatch, where, "blocks are missing on the device");
        case wire::WireError::too_large:
            return fail(Errc::too_large, where, fmt::format("{} bytes", get16(reply.detail)));
        case wire::WireError::verify: return fail(Errc::mismatch, where, "storage gave back other bytes");
    }
    return fail(Errc::garbled, where, fmt::format("error code {}", static_cast<int>(reply.code)));
}

std::array<std::uint8_t, 9> trial_body(std::uint16_t id, std::uint32_t crc) {
    std::array<std::uint8_t, 9> body{};
    put16(body.data(), id);
    put32(body.data() + 2, crc);
    return body;
}

}  // namespace

Session::Session(std::unique_ptr<Link> link, Limits limits) : link_(std::move(link)), limits_(limits) {}

Result<std::unique_ptr<Session>> Session::open(std::unique_ptr<Link> link, Limits limits) {
    std::unique_ptr<Session> session(new Session(std::move(link), limits));
    auto hello = session->greet();
    if (!hello) return hello.failure();
    return session;
}

std::string Session::serial() const {
    const auto* text = reinterpret_cast<const char*>(hello_.serial);
    return {text, std::find(text, text + sizeof hello_.serial, '\0')};
}

Result<wire::HelloReply> Session::greet() {
    std::uint8_t body[2];
    put16(body, engine::k_contract_version);
    auto reply = request(MessageType::hello, body, limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::HelloReply hello{};
    if (!wire::get_hello(reply->data(), static_cast<std::uint8_t>(reply->size()), hello))
        return fail(Errc::garbled, "hello");
    hello_ = hello;
    return hello;
}

Result<wire::InfoReply> Session::info() {
    auto reply = request(MessageType::info, {}, limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::InfoReply info{};
    if (!wire::get_info(reply->data(), static_cast<std::uint8_t>(reply->size()), info))
        return fail(Errc::garbled, "info");
    return info;
}

Result<std::vector<std::uint8_t>> Session::read_image(std::uint8_t slot, const Progress& progress) {
    std::vector<std::uint8_t> image;
    std::size_t whole = wire::k_image_header_bytes;
    while (image.size() < whole) {
        const auto count =
            static_cast<std::uint8_t>(std::min<std::size_t>(wire::k_block_max, whole - image.size()));
        std::uint8_t body[6] = {slot};
        put32(body + 1, static_cast<std::uint32_t>(image.size()));
        body[5] = count;
        auto reply = request(MessageType::read, body, limits_.answer_ms);
        if (!reply) return reply.failure();
        if (reply->size() < 5u + count || get32(reply->data() + 1) != image.size())
            return fail(Errc::garbled, "read");
        image.insert(image.end(), reply->begin() + 5, reply->begin() + 5 + count);
        if (image.size() == wire::k_image_header_bytes) whole = get16(image.data() + 2);
        if (whole < wire::k_image_header_bytes || whole > 0x7FFF)
            return fail(Errc::garbled, "read", "size of the image");
        if (progress && !progress(image.size(), whole)) return fail(Errc::cancelled, "read");
    }
    wire::MemoryImage memory{image.data(), static_cast<std::uint16_t>(image.size())};
    const engine::Storage storage = wire::storage_of(memory);
    wire::ImageHeader header{};
    if (wire::read_header(storage, memory.size, header) != wire::ImageFault::none)
        return fail(Errc::garbled, "read", "header");
    wire::CrcWalk walk{};
    while (!walk.done && wire::crc_step(storage, header, walk, 255)) {
    }
    if (walk.crc != header.crc) return fail(Errc::garbled, "read", "CRC-32 of the image differs");
    return image;
}

Status Session::write_blocks(std::span<const std::uint8_t> image, const Progress& progress) {
    for (std::size_t at = 0; at < image.size();) {
        const std::size_t count = std::min<std::size_t>(wire::k_block_max, image.size() - at);
        Body body(4);
        put32(body.data(), static_cast<std::uint32_t>(at));
        body.insert(body.end(), image.begin() + static_cast<std::ptrdiff_t>(at),
                    image.begin() + static_cast<std::ptrdiff_t>(at + count));
        auto reply = request(MessageType::write, body, limits_.slow_ms);
        if (!reply) return reply.failure();
        at += count;
        if (progress && !progress(at, image.size())) return fail(Errc::cancelled, "write");
    }
    return Done{};
}

Result<PushResult> Session::push(std::span<const std::uint8_t> image, std::uint16_t trial_s,
                                 const Progress& progress) {
    if (image.size() < wire::k_image_header_bytes)
        return fail(Errc::garbled, "image", "shorter than its header");
    if (image.size() > hello_.slot_bytes)
        return fail(Errc::too_large, "image",
                    fmt::format("{} bytes, the device holds {}", image.size(), hello_.slot_bytes));
    const std::uint32_t crc = get32(image.data() + 16);
    PushResult result;
    Body begin(6);
    put16(begin.data(), static_cast<std::uint16_t>(image.size()));
    put32(begin.data() + 2, crc);
    auto begun = request(MessageType::begin_write, begin, limits_.slow_ms);
    if (!begun) return begun.failure();
    if (begun->size() >= 2) result.bytes_to_write = get16(begun->data());
    if (auto written = write_blocks(image, progress); !written) return written.failure();
    result.bytes_sent = image.size();
    Body finish(6);
    put32(finish.data(), crc);
    put16(finish.data() + 4, trial_s);
    auto trial = trial_request(MessageType::finish, finish);
    if (!trial) return trial.failure();
    result.trial = *trial;
    return result;
}

Result<wire::TrialReply> Session::trial_request(MessageType type, std::span<const std::uint8_t> body) {
    auto reply = request(type, body, limits_.slow_ms);
    if (!reply) return reply.failure();
    wire::TrialReply trial{};
    if (!wire::get_trial(reply->data(), static_cast<std::uint8_t>(reply->size()), trial))
        return fail(Errc::garbled, "trial");
    return trial;
}

Result<wire::TrialReply> Session::trial() {
    return trial_request(MessageType::trial, {});
}

Result<wire::TrialReply> Session::keep(std::uint16_t trial_id, std::uint32_t crc, bool helper_overrides) {
    auto body = trial_body(trial_id, crc);
    body[6] = helper_overrides ? 1 : 0;
    return trial_request(MessageType::keep, std::span(body).first(7));
}

Result<wire::TrialReply> Session::revert(std::uint16_t trial_id, std::uint32_t crc) {
    const auto body = trial_body(trial_id, crc);
    return trial_request(MessageType::revert, std::span(body).first(6));
}

Result<wire::TrialReply> Session::extend(std::uint16_t trial_id, std::uint32_t crc, std::uint16_t seconds) {
    auto body = trial_body(trial_id, crc);
    put16(body.data() + 6, seconds);
    return trial_request(MessageType::extend, std::span(body).first(8));
}

Status Session::release() {
    auto reply = request(MessageType::release, {}, limits_.answer_ms);
    if (!reply) return reply.failure();
    return Done{};
}

Status Session::set_mode(std::uint8_t mode) {
    auto reply = request(MessageType::set_mode, std::span(&mode, 1), limits_.answer_ms);
    if (!reply) return reply.failure();
    return Done{};
}

Status Session::set_variant(std::uint8_t variant) {
    auto reply = request(MessageType::set_variant, std::span(&variant, 1), limits_.answer_ms);
    if (!reply) return reply.failure();
    return Done{};
}

Result<std::string> Session::display(std::uint8_t row) {
    auto reply = request(MessageType::display, std::span(&row, 1), limits_.answer_ms);
    if (!reply) return reply.failure();
    if (reply->size() < 3 || reply->size() < 3u + (*reply)[2]) return fail(Errc::garbled, "display");
    std::string text(reply->begin() + 3, reply->begin() + 3 + (*reply)[2]);
    for (char& c : text)
        if (c < ' ' || c > '~') c = '?';  // a device is a stranger: its text is shown, never obeyed
    return text;
}

Status Session::inject(std::uint8_t line, std::span<const InjectedEdge> edges) {
    constexpr std::size_t k_per_message = 19;
    for (std::size_t at = 0; at < edges.size(); at += k_per_message) {
        Body body{line};
        for (std::size_t i = at; i < std::min(edges.size(), at + k_per_message); ++i) {
            body.push_back(edges[i].level);
            body.push_back(static_cast<std::uint8_t>(edges[i].after_us & 0xFF));
            body.push_back(static_cast<std::uint8_t>(edges[i].after_us >> 8));
        }
        auto reply =
            request_once(MessageType::inject, body, limits_.answer_ms);  // not idempotent: never repeated
        if (!reply) return reply.failure();
    }
    return Done{};
}

Status Session::subscribe(bool usages, bool edges, Listener listener) {
    listener_ = std::move(listener);
    const auto flags = static_cast<std::uint8_t>((usages ? wire::k_subscribe_usages : 0) |
                                                 (edges ? wire::k_subscribe_edges : 0));
    auto reply = request(MessageType::subscribe, std::span(&flags, 1), limits_.answer_ms);
    if (!reply) return reply.failure();
    return Done{};
}

Status Session::unsubscribe() {
    auto reply = request(MessageType::unsubscribe, {}, limits_.answer_ms);
    if (!reply) return reply.failure();
    listener_ = {};
    return Done{};
}

Status Session::listen(std::uint32_t ms) {
    const std::uint64_t until = link_->now_ms() + ms;
    while (link_->now_ms() < until) {
        auto message = link_->receive(static_cast<std::uint32_t>(until - link_->now_ms()));
        if (!message) return message.failure();
        if (!*message) continue;
        const Message& m = **message;
        if (m.size() >= wire::k_message_head && m[0] == static_cast<std::uint8_t>(MessageType::telemetry))
            take_telemetry(std::span(m).subspan(wire::k_message_head));
    }
    return Done{};
}

Result<Session::Body> Session::request(MessageType type, std::span<const std::uint8_t> body,
                                       std::uint32_t answer_ms) {
    const std::uint64_t give_up = link_->now_ms() + limits_.busy_ms;
    int tries = 0;
    for (;;) {
        auto reply = request_once(type, body, answer_ms);
        if (reply) return reply;
        const Errc code = reply.error().code;
        const bool again = code == Errc::timed_out ? ++tries < limits_.tries
                                                   : code == Errc::busy && link_->now_ms() < give_up &&
                                                         type != MessageType::begin_write;
        if (!again) return reply;
        if (code == Errc::busy)
            if (auto waited = listen(5); !waited) return waited.failure();
    }
}

Result<Session::Body> Session::request_once(MessageType type, std::span<const std::uint8_t> body,
                                            std::uint32_t answer_ms) {
    if (body.size() > wire::k_body_max) return fail(Errc::too_large, "message");
    const std::uint8_t id = next_id_;
    next_id_ = next_id_ == 255 ? 1 : static_cast<std::uint8_t>(next_id_ + 1);
    Message message{static_cast<std::uint8_t>(type), id};
    message.insert(message.end(), body.begin(), body.end());
    if (auto sent = link_->send(message); !sent) return sent.failure();
    return await(type, id, answer_ms);
}

Result<Session::Body> Session::await(MessageType type, std::uint8_t id, std::uint32_t answer_ms) {
    const std::uint64_t until = link_->now_ms() + answer_ms;
    do {
        const std::uint64_t now = link_->now_ms();
        auto received = link_->receive(now < until ? static_cast<std::uint32_t>(until - now) : 0);
        if (!received) return received.failure();
        if (!*received) continue;
        const Message& m = **received;
        if (m.size() < wire::k_message_head) continue;
        const auto body = std::span(m).subspan(wire::k_message_head);
        if (m[0] == static_cast<std::uint8_t>(MessageType::telemetry)) {
            take_telemetry(body);
        } else if (m[1] == id && m[0] == (static_cast<std::uint8_t>(type) | wire::k_reply)) {
            return Body(body.begin(), body.end());
        } else if (m[1] == id && m[0] == static_cast<std::uint8_t>(MessageType::error)) {
            wire::ErrorReply error{};
            if (wire::get_error(body.data(), static_cast<std::uint8_t>(body.size()), error))
                return of_device(error);
            return fail(Errc::garbled, "error reply");
        }  // anything else answers an older try: dropped
    } while (link_->now_ms() < until);
    return fail(Errc::timed_out, fmt::format("request {:#04x}", static_cast<int>(type)));
}

void Session::note_sequence(std::uint16_t boot_id, std::uint16_t sequence) {
    if (heard_any_ && boot_id == boot_id_) {
        counts_.batches_lost += static_cast<std::uint16_t>(sequence - sequence_ - 1);
    } else if (heard_any_) {
        ++counts_.boots;
    }
    boot_id_ = boot_id;
    sequence_ = sequence;
    ++counts_.batches;
    heard_any_ = true;
}

void Session::take_telemetry(std::span<const std::uint8_t> body) {
    wire::TelemetryReader reader(body.data(), static_cast<std::uint8_t>(body.size()));
    if (!reader.is_valid()) {
        ++counts_.garbled;
        return;
    }
    bool starts_anew = !heard_any_ || reader.boot_id() != boot_id_;
    note_sequence(reader.boot_id(), reader.sequence());
    engine::Event event{};
    while (reader.next(event)) {
        if (starts_anew) last_us_ = event.at_us;
        starts_anew = false;
        // Signed: an edge may lie a little before a stamp already seen.
        whole_us_ += static_cast<std::int32_t>(event.at_us - last_us_);
        last_us_ = event.at_us;
        ++counts_.events;
        if (event.kind == engine::EventKind::lost) counts_.events_lost += get16(event.data);
        if (listener_) listener_(TimedEvent{whole_us_, event});
    }
    if (reader.garbled()) ++counts_.garbled;
}

}  // namespace fettle::link
