#include "core/measure/room_codes.hpp"

#include <algorithm>
#include <utility>

#include "core/engine/bytes.hpp"

namespace fettle::measure {

using engine::EventKind;
using engine::Protocol;

namespace {

constexpr std::uint8_t k_repeat_bit = 0x80;

bool is_nec(Protocol protocol) {
    return protocol == Protocol::nec || protocol == Protocol::necx;
}

class Hearing {
public:
    Hearing(RoomTest& to, std::span<const engine::IrFrame> taught) : to_(to), taught_(taught) {}

    void take(std::int64_t at_us, const engine::Event& event) {
        if (event.kind == EventKind::ir_frame) return hear(at_us, event.data);
        if (event.kind == EventKind::ir_noise) {
            ++to_.noise_bursts;
            to_.noise_edges += event.data[0];
        }
        if (!trace::is_gap(event) && event.kind != EventKind::lost) return;
        ++to_.gaps;
        nec_ = k_none;  // the frame that a repeat belongs to may be missing
    }

private:
    static constexpr std::size_t k_none = static_cast<std::size_t>(-1);

    void hear(std::int64_t at_us, const std::uint8_t* d) {
        const bool is_repeat = (d[0] & k_repeat_bit) != 0;
        const auto protocol = static_cast<Protocol>(d[0] & ~k_repeat_bit & 0xFF);
        const std::uint32_t code = engine::get32(d + 2);
        if (is_repeat && is_nec(protocol)) {
            if (nec_ == k_none) {
                ++to_.orphan_repeats;
                return;
            }
            count(to_.codes[nec_], at_us, true);
            return;
        }
        if (protocol == Protocol::unknown) ++to_.unknown_frames;
        const std::size_t at = place_of(protocol, code, at_us);
        if (is_nec(protocol)) nec_ = at;
        count(to_.codes[at], at_us, is_repeat);
    }

    static void count(RoomCode& code, std::int64_t at_us, bool is_repeat) {
        ++(is_repeat ? code.repeats : code.times);
        code.last_us = std::max(code.last_us, at_us);
    }

    std::size_t place_of(Protocol protocol, std::uint32_t code, std::int64_t at_us) {
        const auto found = std::find_if(to_.codes.begin(), to_.codes.end(), [&](const RoomCode& heard) {
            return heard.protocol == protocol && heard.code == code;
        });
        if (found != to_.codes.end()) return static_cast<std::size_t>(found - to_.codes.begin());
        RoomCode made;
        made.protocol = protocol;
        made.code = code;
        made.first_us = made.last_us = at_us;
        if (protocol == Protocol::unknown) {
            made.signature = code;
        } else {
            made.extended = static_cast<std::uint8_t>(code >> 24);
            made.address = static_cast<std::uint16_t>(code >> 8 & 0xFFFF);
            made.command = static_cast<std::uint16_t>(code & 0xFF);
        }
        for (std::size_t i = 0; i < taught_.size() && i < engine::k_no_input; ++i)
            if (protocol != Protocol::none && taught_[i].protocol == protocol &&
                engine::ir_code(taught_[i]) == code)
                made.inputs.push_back(static_cast<std::uint8_t>(i));
        to_.codes.push_back(std::move(made));
        return to_.codes.size() - 1;
    }

    RoomTest& to_;
    std::span<const engine::IrFrame> taught_;
    std::size_t nec_ = k_none;  ///< the code that a NEC repeat frame repeats
};

}  // namespace

RoomTest room_test(const trace::Roll& roll, std::int64_t from_us, std::int64_t to_us,
                   std::span<const engine::IrFrame> taught) {
    RoomTest test;
    Hearing hearing(test, taught);
    trace::Moment moment;
    for (auto walk = roll.walk_between(from_us, to_us); walk.next(moment);)
        hearing.take(moment.at_us, moment.event);
    if (!roll.is_empty())
        test.long_us =
            std::max<std::int64_t>(std::min(to_us, roll.last_us()) - std::max(from_us, roll.first_us()), 0);
    return test;
}

}  // namespace fettle::measure
