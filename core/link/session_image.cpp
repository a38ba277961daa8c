// Images to and from the device, and their trials.

#include <fmt/format.h>
#include <algorithm>

#include "core/link/session.hpp"
#include "core/link/session_detail.hpp"

namespace fettle::link {

using engine::get16;
using wire::MessageType;

namespace {

constexpr std::uint16_t k_slot_head_most = 64;  // what a slot keeps beside its image

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

Result<std::vector<std::uint8_t>> Session::read_image(std::uint8_t slot, const Progress& progress) {
    std::vector<std::uint8_t> image;
    std::size_t whole = wire::k_image_header_bytes;
    while (image.size() < whole) {
        const auto count =
            static_cast<std::uint8_t>(std::min<std::size_t>(wire::k_block_max, whole - image.size()));
        const wire::ReadRequest wanted{slot, static_cast<std::uint32_t>(image.size()), count};
        wire::ReadReply got{};
        const auto read = [&](const Body& body) {
            return wire::get_read(body.data(), size_of(body), got) && got.offset == image.size() &&
                   got.count == count;
        };
        auto reply = request([&](auto* to, auto id) { return wire::put_read_request(to, id, wanted); },
                             limits_.answer_ms, read);
        if (!reply) return reply.failure();
        if (!read(*reply)) return fail(Errc::garbled, "read");
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
        wire::WriteReply got{};
        const auto read = [&](const Body& body) {
            return wire::get_write(body.data(), size_of(body), got) && got.offset == at && got.count == count;
        };
        auto reply = request([&](auto* to, auto id) { return wire::put_write_request(to, id, block); },
                             limits_.slow_ms, read);
        if (!reply) return reply.failure();
        if (!read(*reply)) return fail(Errc::garbled, "write");
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
    PushResult result;
    const auto read = [&](const Body& body) {
        return wire::get_begin_write(body.data(), size_of(body), result.bytes_to_write) &&
               result.bytes_to_write <= header.size + k_slot_head_most;
    };
    auto begun = request([&](auto* to, auto id) { return wire::put_begin_write_request(to, id, begin); },
                         limits_.slow_ms, read);
    if (!begun) return begun.failure();
    if (!read(*begun)) return fail(Errc::garbled, "begin_write");
    if (auto written = write_blocks(image, progress); !written) return written.failure();
    result.bytes_sent = image.size();
    const wire::FinishRequest finish{header.crc, trial_s};
    auto trial = trial_request([&](auto* to, auto id) { return wire::put_finish_request(to, id, finish); },
                               header.crc);
    if (!trial) return trial.failure();
    if (trial->phase != wire::TrialPhase::running)
        return fail(Errc::not_found, "trial", "it was over before the device's answer came");
    if (trial->image_crc != header.crc) return fail(Errc::mismatch, "trial", "of another image");
    result.trial = *trial;
    return result;
}

/// crc: of the image whose trial is asked for.
Result<wire::TrialReply> Session::trial_request(const Writer& write, std::optional<std::uint32_t> crc) {
    wire::TrialReply trial{};
    auto reply = request(write, limits_.slow_ms, [&](const Body& body) {
        return wire::get_trial(body.data(), size_of(body), trial) && (!crc || trial.image_crc == *crc);
    });
    if (!reply) return reply.failure();
    if (!wire::get_trial(reply->data(), size_of(*reply), trial)) return fail(Errc::garbled, "trial");
    return trial;
}

Result<wire::TrialReply> Session::trial() {
    return trial_request([](auto* to, auto id) { return wire::put_request(to, MessageType::trial, id); });
}

Result<wire::TrialReply> Session::keep(std::uint16_t trial_id, std::uint32_t crc, bool helper_overrides) {
    const wire::TrialRequest wanted{
        trial_id, crc, static_cast<std::uint8_t>(helper_overrides ? wire::k_keep_override : 0), 0};
    return trial_request([&](auto* to, auto id) { return wire::put_keep_request(to, id, wanted); }, crc);
}

Result<wire::TrialReply> Session::revert(std::uint16_t trial_id, std::uint32_t crc) {
    const wire::TrialRequest wanted{trial_id, crc, 0, 0};
    return trial_request([&](auto* to, auto id) { return wire::put_revert_request(to, id, wanted); }, crc);
}

Result<wire::TrialReply> Session::extend(std::uint16_t trial_id, std::uint32_t crc, std::uint16_t seconds) {
    const wire::TrialRequest wanted{trial_id, crc, 0, seconds};
    return trial_request([&](auto* to, auto id) { return wire::put_extend_request(to, id, wanted); }, crc);
}

}  // namespace fettle::link
