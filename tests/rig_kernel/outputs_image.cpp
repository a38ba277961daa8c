#include "tests/rig_kernel/outputs_image.hpp"

#include <algorithm>

namespace fettle::rig {

namespace {

using engine::ActionKind;

/// First step 3 counts; after 100 ms a ramp of 200 ms to 1.5 counts a ms.
test::Bytes travel() {
    constexpr std::uint32_t k_top_q16 = 98304;
    test::Bytes body = {0, 100, 0, 3, 200, 0, 0, 0, 0xE8, 0x03};
    for (std::uint32_t i = 1; i <= engine::k_curve_points; ++i) {
        const std::uint32_t speed = k_top_q16 / engine::k_curve_points * i;
        for (int shift = 0; shift < 24; shift += 8) body.push_back(static_cast<std::uint8_t>(speed >> shift));
    }
    body.insert(body.begin(), static_cast<std::uint8_t>(body.size()));
    return body;
}

test::Sections sections() {
    auto made = test::plain_sections();
    const auto style = [](ActionKind kind, int of) {
        return static_cast<std::uint8_t>(static_cast<int>(kind) | of << 5);
    };
    const auto right = static_cast<int>(engine::Direction::right);
    test::section_of(made, wire::Tag::actions).body = {
        style(ActionKind::chord, 1),      2,    4,  // held
        style(ActionKind::button, 0),     1,    0,  // held
        style(ActionKind::drag, 0),       1,    0,  //
        style(ActionKind::move, right),   0,    0,  //
        style(ActionKind::scroll, 0),     2,    0,  // up
        style(ActionKind::scroll, right), 3,    0,  //
        style(ActionKind::consumer, 0),   0xE9, 0,  // tapped
        style(ActionKind::latch, 0),      1,    0,  //
    };
    const auto actions = std::find_if(made.begin(), made.end(), [](const test::Section& section) {
        return section.tag == static_cast<std::uint8_t>(wire::Tag::actions);
    });
    made.insert(actions + 1, {static_cast<std::uint8_t>(wire::Tag::motions), travel()});
    return made;
}

}  // namespace

test::Bytes outputs_image() {
    return test::build(sections(), 7);
}

test::Bytes motion_image() {
    auto made = sections();
    // Two modes of 8 cells each.
    test::section_of(made, wire::Tag::modes).body = {2, 0, 0, 0,      k_move, 0, 0, 0, 0,
                                                     0, 0, 0, k_move, 0,      0, 0, 0};
    return test::build(made, 8);
}

}  // namespace fettle::rig
