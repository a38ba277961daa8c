#include "core/link/session.hpp"

#include <fmt/format.h>
#include <algorithm>

namespace fettle::link {

using engine::get16;
using wire::MessageType;

namespace {

constexpr std::uint32_t k_busy_pause_ms = 5;

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

std::uint8_t size_of(const std::vector<std::uint8_t>& body) {
    return static_cast<std::uint8_t>(body.size());
}

/// CRC-32 of an image as its bytes give it.
std::optional<std::uint32_t> crc_of(std::vector<std::uint8_t>& image, wire::ImageHeader& header) {
    wire::MemoryImage memory{image.data(), static_cast<std::uint16_t>(image.size())};
    const engine::Storage storage = wire::storage_of(memory);
    if (wire::read_header(storage, memory.size, header) != wire::ImageFault::none) return std::nullopt;
    wire::CrcWalk walk{};
    while (!walk.done && wire::crc_step(storage, header, walk, 255)) {
    }
    return walk.crc;
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
    auto reply =
        request([](auto* to, auto id) { return wire::put_hello_request(to, id, engine::k_contract_version); },
                limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::HelloReply hello{};
    if (!wire::get_hello(reply->data(), size_of(*reply), hello)) return fail(Errc::garbled, "hello");
    hello_ = hello;
    return hello;
}

Result<wire::InfoReply> Session::info() {
    auto reply = request([](auto* to, auto id) { return wire::put_request(to, MessageType::info, id); },
                         limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::InfoReply info{};
    if (!wire::get_info(reply->data(), size_of(*reply), info)) return fail(Errc::garbled, "info");
    return info;
}

Result<std::vector<std::uint8_t>> Session::read_image(std::uint8_t slot, const Progress& progress) {
    std::vector<std::uint8_t> image;
    std::size_t whole = wire::k_image_header_bytes;
    while (image.size() < whole) {
        const auto count =
            static_cast<std::uint8_t>(std::min<std::size_t>(wire::k_block_max, whole - image.size()));
        const wire::ReadRequest wanted{slot, static_cast<std::uint32_t>(image.size()), count};
        auto reply = request([&](auto* to, auto id) { return wire::put_read_request(to, id, wanted); },
                             limits_.answer_ms);
        if (!reply) return reply.failure();
        wire::ReadReply got{};
        if (!wire::get_read(reply->data(), size_of(*reply), got) || got.offset != image.size() ||
            got.count != count)
            return fail(Errc::garbled, "read");
        image.insert(image.end(), got.bytes, got.bytes + got.count);
        if (image.size() == wire::k_image_header_bytes) whole = get16(image.data() + 2);
        if (whole < wire::k_image_header_bytes || whole > hello_.slot_bytes)
            return fail(Errc::garbled, "read", "size of the image");
        if (progress && !progress(image.size(), whole)) return fail(Errc::cancelled, "read");
    }
    wire::ImageHeader header{};
    if (crc_of(image, header) != header.crc)
        return fail(Errc::garbled, "read", "CRC-32 of the image differs");
    return image;
}

Status Session::write_blocks(std::span<const std::uint8_t> image, const Progress& progress) {
    for (std::size_t at = 0; at < image.size();) {
        const auto count =
            static_cast<std::uint8_t>(std::min<std::size_t>(wire::k_block_max, image.size() - at));
        const wire::WriteRequest block{static_cast<std::uint32_t>(at), image.data() + at, count};
        auto reply = request([&](auto* to, auto id) { return wire::put_write_request(to, id, block); },
                             limits_.slow_ms);
        if (!reply) return reply.failure();
        at += count;
        if (progress && !progress(at, image.size())) return fail(Errc::cancelled, "write");
    }
    return Done{};
}

Result<PushResult> Session::push(std::span<const std::uint8_t> image, std::uint16_t trial_s,
                                 const Progress& progress) {
    std::vector<std::uint8_t> copy(image.begin(), image.end());
    wire::ImageHeader header{};
    if (image.size() > hello_.slot_bytes)
        return fail(Errc::too_large, "image",
                    fmt::format("{} bytes, the device holds {}", image.size(), hello_.slot_bytes));
    if (crc_of(copy, header) != header.crc || header.size != image.size())
        return fail(Errc::garbled, "image");
    const wire::BeginWriteRequest begin{header.size, header.crc};
    auto begun = request([&](auto* to, auto id) { return wire::put_begin_write_request(to, id, begin); },
                         limits_.slow_ms);
    if (!begun) return begun.failure();
    PushResult result;
    if (!wire::get_begin_write(begun->data(), size_of(*begun), result.bytes_to_write))
        return fail(Errc::garbled, "begin_write");
    if (auto written = write_blocks(image, progress); !written) return written.failure();
    result.bytes_sent = image.size();
    const wire::FinishRequest finish{header.crc, trial_s};
    auto trial = trial_request([&](auto* to, auto id) { return wire::put_finish_request(to, id, finish); });
    if (!trial) return trial.failure();
    result.trial = *trial;
    return result;
}

Result<wire::TrialReply> Session::trial_request(const Writer& write) {
    auto reply = request(write, limits_.slow_ms);
    if (!reply) return reply.failure();
    wire::TrialReply trial{};
    if (!wire::get_trial(reply->data(), size_of(*reply), trial)) return fail(Errc::garbled, "trial");
    return trial;
}

Result<wire::TrialReply> Session::trial() {
    return trial_request([](auto* to, auto id) { return wire::put_request(to, MessageType::trial, id); });
}

Result<wire::TrialReply> Session::keep(std::uint16_t trial_id, std::uint32_t crc, bool helper_overrides) {
    const wire::TrialRequest wanted{
        trial_id, crc, static_cast<std::uint8_t>(helper_overrides ? wire::k_keep_override : 0), 0};
    return trial_request([&](auto* to, auto id) { return wire::put_keep_request(to, id, wanted); });
}

Result<wire::TrialReply> Session::revert(std::uint16_t trial_id, std::uint32_t crc) {
    const wire::TrialRequest wanted{trial_id, crc, 0, 0};
    return trial_request([&](auto* to, auto id) { return wire::put_revert_request(to, id, wanted); });
}

Result<wire::TrialReply> Session::extend(std::uint16_t trial_id, std::uint32_t crc, std::uint16_t seconds) {
    const wire::TrialRequest wanted{trial_id, crc, 0, seconds};
    return trial_request([&](auto* to, auto id) { return wire::put_extend_request(to, id, wanted); });
}

Status Session::plain_request(const Writer& write) {
    auto reply = request(write, limits_.answer_ms);
    if (!reply) return reply.failure();
    return Done{};
}

Status Session::release() {
    return plain_request([](auto* to, auto id) { return wire::put_request(to, MessageType::release, id); });
}

Status Session::set_mode(std::uint8_t mode) {
    return plain_request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::set_mode, id, mode); });
}

Status Session::set_variant(std::uint8_t variant) {
    return plain_request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::set_variant, id, variant); });
}

Result<std::string> Session::display(std::uint8_t row) {
    auto reply =
        request([&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::display, id, row); },
                limits_.answer_ms);
    if (!reply) return reply.failure();
    wire::DisplayReply got{};
    if (!wire::get_display(reply->data(), size_of(*reply), got)) return fail(Errc::garbled, "display");
    std::string text(got.text, got.text + got.columns);
    for (char& c : text)
        if (c < ' ' || c > '~') c = '?';  // a device is a stranger: its text is shown, never obeyed
    return text;
}

Status Session::inject(std::uint8_t line, std::span<const wire::InjectStep> edges) {
    for (std::size_t at = 0; at < edges.size(); at += wire::k_inject_max) {
        wire::InjectRequest wanted{};
        wanted.line = line;
        wanted.count =
            static_cast<std::uint8_t>(std::min<std::size_t>(wire::k_inject_max, edges.size() - at));
        std::copy_n(edges.begin() + static_cast<std::ptrdiff_t>(at), wanted.count, wanted.steps);
        // Not idempotent, so never repeated.
        auto reply = request_once([&](auto* to, auto id) { return wire::put_inject_request(to, id, wanted); },
                                  limits_.answer_ms);
        if (!reply) return reply.failure();
    }
    return Done{};
}

Status Session::subscribe(bool usages, bool edges, Listener listener) {
    listener_ = std::move(listener);
    const auto flags = static_cast<std::uint8_t>((usages ? wire::k_subscribe_usages : 0) |
                                                 (edges ? wire::k_subscribe_edges : 0));
    return plain_request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::subscribe, id, flags); });
}

Status Session::unsubscribe() {
    auto done =
        plain_request([](auto* to, auto id) { return wire::put_request(to, MessageType::unsubscribe, id); });
    if (done) listener_ = {};
    return done;
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

Result<Session::Body> Session::request(const Writer& write, std::uint32_t answer_ms) {
    const std::uint64_t give_up = link_->now_ms() + limits_.busy_ms;
    for (int tries = 1;;) {
        auto reply = request_once(write, answer_ms);
        if (reply) return reply;
        const Errc code = reply.error().code;
        const bool again = (code == Errc::timed_out && tries++ < limits_.tries) ||
                           (code == Errc::busy && link_->now_ms() < give_up);
        if (!again) return reply;
        if (code == Errc::busy)
            if (auto waited = listen(k_busy_pause_ms); !waited) return waited.failure();
    }
}

Result<Session::Body> Session::request_once(const Writer& write, std::uint32_t answer_ms) {
    const std::uint8_t id = next_id_;
    next_id_ = next_id_ == 255 ? 1 : static_cast<std::uint8_t>(next_id_ + 1);
    std::uint8_t message[wire::k_message_max];
    const std::uint8_t size = write(message, id);
    if (size < wire::k_message_head) return fail(Errc::out_of_range, "message");
    if (auto sent = link_->send(std::span(message, size)); !sent) return sent.failure();
    return await(message[0], id, answer_ms);
}

Result<Session::Body> Session::await(std::uint8_t type, std::uint8_t id, std::uint32_t answer_ms) {
    const std::uint64_t until = link_->now_ms() + answer_ms;
    do {
        const std::uint64_t now = link_->now_ms();
        auto received = link_->receive(now < until ? static_cast<std::uint32_t>(until - now) : 0);
        if (!received) return received.failure();
        if (!*received) continue;
        const Message& m = **received;
        if (m.size() < wire::k_message_head) continue;
        const Body body(m.begin() + wire::k_message_head, m.end());
        if (m[0] == static_cast<std::uint8_t>(MessageType::telemetry)) {
            take_telemetry(body);
        } else if (m[1] == id && m[0] == (type | wire::k_reply)) {
            return body;
        } else if (m[1] == id && m[0] == static_cast<std::uint8_t>(MessageType::error)) {
            wire::ErrorReply error{};
            if (wire::get_error(body.data(), size_of(body), error)) return of_device(error);
            return fail(Errc::garbled, "error reply");
        }  // anything else answers an older try: dropped
    } while (link_->now_ms() < until);
    return fail(Errc::timed_out, fmt::format("request {:#04x}", type));
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
