#include <memory>

#include "core/link/framed_link.hpp"
#include "tests/fuzz/tape.hpp"

namespace fettle::fuzz {

namespace {

/// Reads what stands on the tape, one counted piece a read; an empty one is a wait in vain. Closed at its
/// end.
class TapePort : public link::Port {
public:
    TapePort(Tape tape, std::size_t write_most) : tape_(tape), write_most_(write_most) {}
    Status write(std::span<const std::uint8_t> bytes) override {
        must(!bytes.empty() && bytes.size() <= write_most_, "a frame has its size");
        return Done{};
    }
    Result<std::size_t> read(std::span<std::uint8_t> to, std::uint32_t wait_ms) override {
        if (rest_.empty()) {
            if (tape_.is_empty()) return fail(Errc::closed, "tape");
            rest_ = tape_.counted();
            if (rest_.empty()) now_us_ += std::uint64_t{wait_ms} * 1000;
        }
        ++now_us_;
        const std::size_t count = std::min(rest_.size(), to.size());
        std::copy_n(rest_.begin(), count, to.begin());
        rest_.erase(rest_.begin(), rest_.begin() + static_cast<std::ptrdiff_t>(count));
        return count;
    }
    std::uint64_t now_us() const override { return now_us_; }

private:
    Tape tape_;
    std::size_t write_most_;
    Bytes rest_;
    std::uint64_t now_us_ = 0;
};

template <typename Framed>
void listen(Tape tape, std::size_t write_most, std::uint32_t wait_ms) {
    Framed framed(std::make_unique<TapePort>(tape, write_most));
    for (;;) {
        auto received = framed.receive(wait_ms);
        if (!received) {
            must(received.error().code == Errc::closed, "closed at the end of the tape");
            return;
        }
        if (!*received) continue;
        const link::Message& message = **received;
        must(message.size() >= wire::k_message_head && message.size() <= wire::k_message_max,
             "a message has 2 to 62 bytes");
        must(framed.send(message).has_value(), "what was received can be sent");
    }
}

void unframe(const Bytes& bytes) {
    wire::Unframer unframer, again;
    unframer.reset();
    again.reset();
    std::size_t bad = 0;
    for (const std::uint8_t byte : bytes) {
        if (!unframer.take(byte)) {
            bad += unframer.take_bad();
            continue;
        }
        std::uint8_t frame[wire::k_serial_frame_max];
        const std::uint8_t size = wire::pack_serial(unframer.message(), unframer.size(), frame);
        must(size != 0, "what was unframed can be framed");
        bool is_whole = false;
        for (std::uint8_t i = 0; i < size; ++i) is_whole = again.take(frame[i]);
        must(is_whole && again.size() == unframer.size() &&
                 std::equal(again.message(), again.message() + again.size(), unframer.message()),
             "and is the same then");
    }
    must(bad <= bytes.size(), "a byte ends at most one frame");
}

void unpack(const Bytes& report) {
    const std::uint8_t* message = nullptr;
    std::uint8_t size = 0;
    if (!wire::unpack_report(report.data(), static_cast<std::uint8_t>(report.size()), message, size)) return;
    const std::uint8_t* end = report.data() + report.size();
    must(message >= report.data() && message <= end && end - message >= size, "lies in the report");
    std::uint8_t packed[wire::k_hid_report_bytes];
    must(wire::pack_report(message, size, packed), "what was unpacked can be packed");
}

}  // namespace

void run_frames(Input input) {
    Tape tape(input);
    const std::uint32_t wait_ms = tape.byte() % 8;
    listen<link::HidLink>(tape, wire::k_hid_report_bytes, wait_ms);
    listen<link::SerialLink>(tape, wire::k_serial_frame_max, wait_ms);
    unframe(Bytes(input.begin(), input.end()));
    while (!tape.is_empty()) unpack(tape.counted());
}

}  // namespace fettle::fuzz
