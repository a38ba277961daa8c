#include "core/link/session.hpp"

#include <fmt/format.h>
#include <algorithm>
#include <utility>

namespace fettle::link {

using engine::get16;
using wire::MessageType;

namespace {

constexpr std::uint32_t k_busy_pause_ms = 5;
constexpr std::uint16_t k_late_batches = 64;  // more than a host's buffers hold (Linux 6.1, hidraw: 63)
constexpr std::int64_t k_wrap_us = std::int64_t{1} << 32;

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
    if (hello.contract_version == 0) return fail(Errc::version, "contract", "0");
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
    if (header.format > hello_.image_format)
        return fail(Errc::version, "image format",
                    fmt::format("{}, the device reads up to {}", header.format, hello_.image_format));
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
    if (trial->phase != wire::TrialPhase::running)
        return fail(Errc::not_found, "trial", "it was over before the device's answer came");
    if (trial->image_crc != header.crc) return fail(Errc::mismatch, "trial", "of another image");
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
        auto taken =
            plain_request([&](auto* to, auto id) { return wire::put_inject_request(to, id, wanted); });
        if (!taken) return taken;
    }
    return Done{};
}

Status Session::subscribe(bool usages, bool edges, Listener listener) {
    std::swap(listener_, listener);
    const std::uint32_t batches_before = counts_.batches;
    const auto flags = static_cast<std::uint8_t>((usages ? wire::k_subscribe_usages : 0) |
                                                 (edges ? wire::k_subscribe_edges : 0));
    auto reply = request(
        [&](auto* to, auto id) { return wire::put_byte_request(to, MessageType::subscribe, id, flags); },
        limits_.answer_ms);
    wire::SubscribeReply got{};
    if (!reply || !wire::get_subscribe(reply->data(), size_of(*reply), got)) {
        listener_ = std::move(listener);  // the one before goes on
        return reply ? fail(Errc::garbled, "subscribe") : reply.failure();
    }
    note_boot(got.boot_id);
    // What came before this subscription is nobody's loss; what comes from here on is counted.
    if (counts_.batches == batches_before) sequence_ = static_cast<std::uint16_t>(got.next_sequence - 1);
    return Done{};
}

Status Session::unsubscribe() {
    auto done =
        plain_request([](auto* to, auto id) { return wire::put_request(to, MessageType::unsubscribe, id); });
    if (done) listener_ = {};
    return done;
}

Status Session::listen(std::uint32_t ms) {
    const std::uint64_t until = link_->now_ms() + ms;
    for (std::uint64_t now = link_->now_ms(); now < until; now = link_->now_ms()) {
        auto message = receive(static_cast<std::uint32_t>(until - now));
        if (!message) return message.failure();
    }
    return Done{};
}

/// The next message that is no telemetry (that is handed on) and has the size of one, or nothing.
Result<std::optional<Message>> Session::receive(std::uint32_t wait_ms) {
    auto received = link_->receive(wait_ms);
    if (!received || !*received) return received;
    const Message& m = **received;
    if (m.size() < wire::k_message_head || m.size() > wire::k_message_max) return std::optional<Message>{};
    if (m[0] != static_cast<std::uint8_t>(MessageType::telemetry)) return received;
    take_telemetry(std::span(m).subspan(wire::k_message_head));
    return std::optional<Message>{};
}

Result<Session::Body> Session::request(const Writer& write, std::uint32_t answer_ms) {
    const std::uint64_t give_up = link_->now_ms() + limits_.busy_ms;
    // All tries have one id: a device that is still at work on the first one answers once.
    const std::uint8_t id = new_id();
    for (int tries = 1;;) {
        auto reply = request_once(write, id, answer_ms);
        if (reply) return reply;
        const Errc code = reply.error().code;
        const bool again = (code == Errc::timed_out && tries++ < limits_.tries) ||
                           (code == Errc::busy && link_->now_ms() < give_up);
        if (!again) return reply;
        if (code == Errc::busy)
            if (auto waited = listen(k_busy_pause_ms); !waited) return waited.failure();
    }
}

std::uint8_t Session::new_id() {
    const std::uint8_t id = next_id_;
    next_id_ = next_id_ == 255 ? 1 : static_cast<std::uint8_t>(next_id_ + 1);
    return id;
}

Result<Session::Body> Session::request_once(const Writer& write, std::uint8_t id, std::uint32_t answer_ms) {
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
        auto received = receive(now < until ? static_cast<std::uint32_t>(until - now) : 0);
        if (!received) return received.failure();
        if (!*received) continue;
        const Message& m = **received;
        const Body body(m.begin() + wire::k_message_head, m.end());
        if (m[1] == id && m[0] == (type | wire::k_reply)) return body;
        if (m[1] != id || m[0] != static_cast<std::uint8_t>(MessageType::error)) continue;  // an older try's
        wire::ErrorReply error{};
        if (wire::get_error(body.data(), size_of(body), error)) return of_device(error);
        return fail(Errc::garbled, "error reply");
    } while (link_->now_ms() < until);
    return fail(Errc::timed_out, fmt::format("request {:#04x}", type));
}

/// The device started anew: its sequence and its clock have nothing to do with what they were.
void Session::note_boot(std::uint16_t boot_id) {
    if (heard_any_ && boot_id == boot_id_) return;
    if (heard_any_) ++counts_.boots;
    heard_any_ = true;
    has_stamp_ = false;
    boot_id_ = boot_id;
    sequence_ = 0xFFFF;  // a start numbers its batches from 0
}

/// False: a batch that was there before, or is older than the last one.
bool Session::note_sequence(std::uint16_t boot_id, std::uint16_t sequence) {
    const bool is_first = !heard_any_;
    note_boot(boot_id);
    if (is_first) sequence_ = static_cast<std::uint16_t>(sequence - 1);
    const auto ahead = static_cast<std::uint16_t>(sequence - sequence_);
    if (ahead == 0 || ahead > 0xFFFF - k_late_batches) {
        ++counts_.repeated;
        return false;
    }
    counts_.batches_lost += ahead - 1u;
    sequence_ = sequence;
    ++counts_.batches;
    return true;
}

/// The device's clock wraps every 71.6 minutes; the link's clock says how often it did since the last stamp.
/// May be a little below 0: an edge may lie before a stamp that was already seen.
std::int64_t Session::since_last_us(std::uint32_t stamp_us) const {
    const std::int64_t nearest = static_cast<std::int32_t>(stamp_us - last_us_);
    const auto passed_us = static_cast<std::int64_t>((link_->now_ms() - last_heard_ms_) * 1000);
    const std::int64_t wraps = (passed_us - nearest + k_wrap_us / 2) / k_wrap_us;
    return nearest + std::max<std::int64_t>(wraps, 0) * k_wrap_us;
}

void Session::take_telemetry(std::span<const std::uint8_t> body) {
    wire::TelemetryReader reader(body.data(), static_cast<std::uint8_t>(body.size()));
    if (!reader.is_valid()) {
        ++counts_.garbled;
        return;
    }
    if (!note_sequence(reader.boot_id(), reader.sequence())) return;
    engine::Event event{};
    while (reader.next(event)) {
        if (has_stamp_) whole_us_ += since_last_us(event.at_us);
        has_stamp_ = true;
        last_us_ = event.at_us;
        last_heard_ms_ = link_->now_ms();
        ++counts_.events;
        if (event.kind == engine::EventKind::lost) counts_.events_lost += get16(event.data);
        if (listener_) listener_(TimedEvent{whole_us_, event});
    }
    if (reader.garbled()) ++counts_.garbled;
}

}  // namespace fettle::link
