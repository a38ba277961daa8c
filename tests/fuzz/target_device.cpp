#include "core/wire/frame.hpp"
#include "tests/fuzz/board.hpp"

namespace fettle::fuzz {

using namespace wire;

namespace {

constexpr int k_steps_most = 200;  // of one tape: an image takes seconds of the board's time

Bytes message_of(Tape& tape) {
    Bytes message = {tape.byte(), tape.byte()};
    const Bytes body = tape.counted();
    message.insert(message.end(), body.begin(), body.end());
    message.resize(std::min<std::size_t>(message.size(), k_message_max));
    return message;
}

void serial(Board& board, const Bytes& bytes) {
    for (const std::uint8_t byte : bytes) board.device().serial_byte(byte, board.now_us());
}

void serial_message(Board& board, const Bytes& message) {
    std::uint8_t frame[k_serial_frame_max];
    const std::uint8_t size = pack_serial(message.data(), static_cast<std::uint8_t>(message.size()), frame);
    serial(board, Bytes(frame, frame + size));
}

/// As a board does with what its raw interface gets.
void hid_report(Board& board, const Bytes& report) {
    const std::uint8_t* message = nullptr;
    std::uint8_t size = 0;
    if (unpack_report(report.data(), static_cast<std::uint8_t>(report.size()), message, size))
        board.send(Channel::hid, Bytes(message, message + size));
    else
        board.device().bad_frame();
}

void take(Board& board, Step step, Tape& tape) {
    switch (step) {
        case Step::hid_message: board.send(Channel::hid, message_of(tape)); break;
        case Step::serial_message: serial_message(board, message_of(tape)); break;
        case Step::hid_report: hid_report(board, tape.counted()); break;
        case Step::serial_bytes: serial(board, tape.counted()); break;
        case Step::dtr: board.device().serial_dtr((tape.byte() & 1) != 0); break;
        case Step::pass: board.tick(1 + tape.byte() % 64); break;
        case Step::drain_hid: board.drain(Channel::hid); break;
        case Step::drain_serial: board.drain(Channel::serial); break;
        case Step::cable_lost: board.tick(1, engine::k_command_cable_lost); break;
        case Step::suspended: board.tick(1 + tape.byte() % 64, engine::k_command_suspended); break;
        case Step::power:
            board.start();
            board.tick(100);
            break;
        case Step::image:
            if (Bytes image = tape.bytes(tape.word()); image.size() >= k_image_header_bytes)
                board.push(std::move(image));
            break;
        case Step::keep: board.end_trial(true); break;
        case Step::revert: board.end_trial(false); break;
    }
}

}  // namespace

void run_device(Input input) {
    Tape tape(input);
    Board board((tape.byte() & 1) != 0);
    bool is_ours = true;  // every image that it ran so far
    for (int i = 0; i < k_steps_most && !tape.is_empty(); ++i) {
        const auto step = static_cast<Step>(tape.byte() % k_steps);
        take(board, step, tape);
        is_ours = is_ours && step != Step::image;
        // An image from anywhere may name a contact that is closed at rest; ours has none.
        must(!is_ours || board.is_all_up(), "without a press nothing is held");
    }
    must(board.ends_released(), "a release lets everything go");
    board.drain(Channel::hid);
    board.drain(Channel::serial);
}

}  // namespace fettle::fuzz
