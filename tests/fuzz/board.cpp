#include "tests/fuzz/board.hpp"

#include <cstring>
#include <utility>

#include "core/wire/request.hpp"
#include "tests/wire/support/images.hpp"

namespace fettle::fuzz {

using namespace wire;

namespace {

constexpr std::uint16_t k_trial_s = 20;
constexpr int k_start_ticks = 100;     // a start from storage takes some 40
constexpr int k_release_ticks = 100;   // of them a handful until the computer has the reports
constexpr int k_storage_ticks = 3000;  // a whole slot at 3.4 ms a byte, and more

const std::array<std::uint8_t, k_eeprom_bytes>& kept_storage() {
    static const auto kept = [] {
        Board board(false);
        board.push(test::plain_image(1));
        board.end_trial(true);
        board.tick(k_storage_ticks);
        must(board.device().hello().image_crc == test::crc_of(test::plain_image(1)), "it was kept");
        return board.storage();
    }();
    return kept;
}

}  // namespace

Board::Board(bool has_profile) {
    if (has_profile) eeprom_.set_bytes(kept_storage());
    start();
    for (int i = 0; i < k_start_ticks && !device_->is_ready(); ++i) tick(1);
}

void Board::start() {
    DeviceIdentity identity{};
    std::memcpy(identity.serial, "FUZZ0001", 8);
    identity.features = k_feature_serial;
    identity.boot_id = ++boot_id_;
    identity.display_rows = 4;
    identity.display_columns = 20;
    device_ = std::make_unique<Device>();
    device_->start(eeprom_.door(), identity, now_us_);
    last_[0] = last_[1] = engine::Report{};
    taken_ = 0;
}

void Board::tick(int ticks, std::uint8_t commands) {
    for (int i = 0; i < ticks; ++i) {
        now_us_ += 1000;
        eeprom_.advance_us(1000);
        engine::TickInputs in{};
        in.now_us = now_us_;
        in.taken = std::exchange(taken_, std::uint8_t{0});
        in.commands = commands;
        engine::TickOutputs out{};
        device_->tick(in, out);
        for (std::uint8_t e = 0; e < 2; ++e) {
            if (out.reports[e].size == 0) continue;
            last_[e] = out.reports[e];
            taken_ = static_cast<std::uint8_t>(taken_ | 1u << e);
        }
    }
}

void Board::send(Channel channel, const Bytes& message) {
    device_->receive(channel, message.data(), static_cast<std::uint8_t>(message.size()), now_us_);
}

void Board::drain(Channel channel) {
    Bytes message(k_message_max);
    while (const std::uint8_t size = device_->send(channel, message.data(), now_us_))
        must(size >= k_message_head && size <= k_message_max, "it sends 2 to 62 bytes");
}

/// Waits until the storage has done what it was told, and reads the answers.
void Board::push(Bytes image) {
    test::seal(image);
    const auto step = [this](std::uint8_t* raw, std::uint8_t size) {
        send(Channel::hid, Bytes(raw, raw + size));
        for (int i = 0; i < k_storage_ticks / 10; ++i) {
            tick(10);
            if (device_->is_storage_idle()) break;
        }
        drain(Channel::hid);
    };
    std::uint8_t raw[k_message_max];
    const std::uint32_t crc = test::crc_of(image);
    step(raw, put_begin_write_request(raw, ++id_, {static_cast<std::uint16_t>(image.size()), crc}));
    for (std::size_t at = 0; at < image.size(); at += k_block_max) {
        const auto count = static_cast<std::uint8_t>(std::min<std::size_t>(k_block_max, image.size() - at));
        step(raw, put_write_request(raw, ++id_, {static_cast<std::uint32_t>(at), image.data() + at, count}));
    }
    step(raw, put_finish_request(raw, ++id_, {crc, k_trial_s}));
    tick(100);
    drain(Channel::hid);
}

void Board::end_trial(bool keeps) {
    const TrialReply trial = device_->trial();
    std::uint8_t raw[k_message_max];
    const TrialRequest wanted{trial.id, trial.image_crc, k_keep_override, 0};
    const std::uint8_t size =
        keeps ? put_keep_request(raw, ++id_, wanted) : put_revert_request(raw, ++id_, wanted);
    send(Channel::hid, Bytes(raw, raw + size));
    tick(100);
    drain(Channel::hid);
}

bool Board::is_all_up() const {
    const auto all_0 = [](const std::uint8_t* bytes, int count) {
        return std::all_of(bytes, bytes + count, [](std::uint8_t byte) { return byte == 0; });
    };
    const engine::Report& pointer = last_[1];
    const bool is_pointer_up =
        pointer.size == engine::k_consumer_report_bytes ? all_0(pointer.bytes + 1, 2) : pointer.bytes[1] == 0;
    return all_0(last_[0].bytes, last_[0].size) && is_pointer_up && !device_->engine().holds_anything();
}

bool Board::ends_released() {
    std::uint8_t raw[k_message_max];
    send(Channel::hid, Bytes(raw, raw + put_request(raw, MessageType::release, ++id_)));
    tick(k_release_ticks);
    return is_all_up();
}

}  // namespace fettle::fuzz
