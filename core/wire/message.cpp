#include "core/wire/message.hpp"

#include "core/wire/pack.hpp"

namespace fettle {
namespace wire {

namespace {

uint8_t reply_type(MessageType type) {
    return static_cast<uint8_t>(static_cast<uint8_t>(type) | k_reply);
}

}  // namespace

uint8_t put_hello(uint8_t* to, uint8_t id, const HelloReply& reply) {
    return Packer(to, reply_type(MessageType::hello), id)
        .u16(reply.contract_version)
        .u16(reply.engine_build)
        .u8(reply.image_format)
        .u32(reply.features)
        .u8(reply.slots)
        .u16(reply.slot_bytes)
        .u16(reply.mirror_bytes)
        .u8(reply.max_inputs)
        .u8(reply.max_modes)
        .u8(reply.max_variants)
        .u8(reply.current_slot)
        .u16(reply.image_size)
        .u32(reply.image_crc)
        .bytes(reply.profile_id, k_profile_id_bytes)
        .u16(reply.profile_version)
        .u16(reply.boot_id)
        .bytes(reply.serial, sizeof reply.serial)
        .u8(reply.board)
        .size();
}

bool get_hello(const uint8_t* body, uint8_t size, HelloReply& out) {
    Unpacker in(body, size);
    out.contract_version = in.u16();
    out.engine_build = in.u16();
    out.image_format = in.u8();
    out.features = in.u32();
    out.slots = in.u8();
    out.slot_bytes = in.u16();
    out.mirror_bytes = in.u16();
    out.max_inputs = in.u8();
    out.max_modes = in.u8();
    out.max_variants = in.u8();
    out.current_slot = in.u8();
    out.image_size = in.u16();
    out.image_crc = in.u32();
    in.bytes(out.profile_id, k_profile_id_bytes);
    out.profile_version = in.u16();
    out.boot_id = in.u16();
    in.bytes(out.serial, sizeof out.serial);
    out.board = in.u8();
    return in.is_whole();
}

uint8_t put_info(uint8_t* to, uint8_t id, const InfoReply& reply) {
    return Packer(to, reply_type(MessageType::info), id)
        .u32(reply.up_s)
        .u16(reply.frames_in)
        .u16(reply.frames_bad)
        .u16(reply.telemetry_lost)
        .u16(reply.repeats_lost)
        .u16(reply.ir_noise)
        .u16(reply.ir_frames)
        .u32(reply.storage_writes)
        .u8(reply.resets)
        .u8(reply.reset_cause)
        .u16(reply.faults)
        .u8(reply.held_limit)
        .size();
}

bool get_info(const uint8_t* body, uint8_t size, InfoReply& out) {
    Unpacker in(body, size);
    out.up_s = in.u32();
    out.frames_in = in.u16();
    out.frames_bad = in.u16();
    out.telemetry_lost = in.u16();
    out.repeats_lost = in.u16();
    out.ir_noise = in.u16();
    out.ir_frames = in.u16();
    out.storage_writes = in.u32();
    out.resets = in.u8();
    out.reset_cause = in.u8();
    out.faults = in.u16();
    out.held_limit = in.u8();
    return in.is_whole();
}

uint8_t put_trial(uint8_t* to, MessageType type, uint8_t id, const TrialReply& reply) {
    return Packer(to, reply_type(type), id)
        .u8(static_cast<uint8_t>(reply.phase))
        .u16(reply.id)
        .u32(reply.image_crc)
        .u16(reply.seconds_left)
        .u8(reply.proof)
        .u8(reply.proof_needed)
        .size();
}

bool get_trial(const uint8_t* body, uint8_t size, TrialReply& out) {
    Unpacker in(body, size);
    const uint8_t phase = in.u8();
    out.phase = static_cast<TrialPhase>(phase);
    out.id = in.u16();
    out.image_crc = in.u32();
    out.seconds_left = in.u16();
    out.proof = in.u8();
    out.proof_needed = in.u8();
    return in.is_whole() && phase <= static_cast<uint8_t>(TrialPhase::extended);
}

uint8_t put_error(uint8_t* to, uint8_t id, const ErrorReply& reply) {
    return Packer(to, static_cast<uint8_t>(MessageType::error), id)
        .u8(reply.request)
        .u8(static_cast<uint8_t>(reply.code))
        .bytes(reply.detail, sizeof reply.detail)
        .size();
}

bool get_error(const uint8_t* body, uint8_t size, ErrorReply& out) {
    Unpacker in(body, size);
    out.request = in.u8();
    out.code = static_cast<WireError>(in.u8());
    in.bytes(out.detail, sizeof out.detail);
    return in.is_whole();
}

}  // namespace wire
}  // namespace fettle
