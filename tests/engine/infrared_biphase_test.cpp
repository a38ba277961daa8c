// Infrared: RC-5 and RC-6 against slow, obvious models that lay all halves of the bits side by side; and RC-6
// against SIRC, whose widths overlap.
#include <doctest/doctest.h>

#include <optional>

#include "tests/engine/infrared_support.hpp"

using namespace fettle;
using namespace fettle::test_infrared;

namespace {
/// Runs of 1, 2 or 3 units, beginning with a mark, as levels of one unit each.
std::string levels_of(const std::vector<int>& runs) {
    std::string levels;
    for (std::size_t i = 0; i < runs.size(); ++i) {
        levels.append(static_cast<std::size_t>(runs[i]), i % 2 == 0 ? 'm' : 's');
    }
    return levels;
}

Widths widths_of(const std::vector<int>& runs, std::uint32_t unit_us) {
    Widths widths;
    for (const int run : runs) widths.push_back(static_cast<std::uint32_t>(run) * unit_us);
    return widths;
}

/// Reads bits of two equal halves; -1 where the halves do not differ. `one` is the level of a 1's first half.
int read_bit(const std::string& levels, std::size_t at, std::size_t half, char one) {
    const auto first = levels.substr(at, half), second = levels.substr(at + half, half);
    if (first == std::string(half, 'm') && second == std::string(half, 's')) return one == 'm' ? 1 : 0;
    if (first == std::string(half, 's') && second == std::string(half, 'm')) return one == 's' ? 1 : 0;
    return -1;
}

/// Source: Linux 6.1, drivers/media/rc/ir-rc5-decoder.c: 14 bits, 1 = space, mark.
std::optional<IrFrame> rc5_model(const std::vector<int>& runs) {
    std::string levels = 's' + levels_of(runs);
    if (levels.size() % 2 == 1) levels += 's';
    if (levels.size() != 28) return std::nullopt;
    unsigned bits = 0;
    for (std::size_t at = 0; at < 28; at += 2) {
        const int bit = read_bit(levels, at, 1, 's');
        if (bit < 0) return std::nullopt;
        bits = bits << 1 | static_cast<unsigned>(bit);
    }
    return frame_of(Protocol::rc5, bits >> 6 & 0x1F, (bits & 0x3F) | ((bits & 0x1000) != 0 ? 0 : 0x40),
                    bits >> 11 & 1);
}

/// The runs behind the leader. Source: Linux 6.1, drivers/media/rc/ir-rc6-decoder.c: 1 = mark, space.
std::optional<IrFrame> rc6_mode0_model(const std::vector<int>& runs) {
    std::string levels = levels_of(runs);
    if (levels.size() == 43) levels += 's';
    if (levels.size() != 44) return std::nullopt;
    unsigned bits = 0;
    std::size_t at = 0;
    for (int i = 0; i < 21; ++i) {
        const std::size_t half = i == 4 ? 2 : 1;
        const int bit = read_bit(levels, at, half, 'm');
        if (bit < 0) return std::nullopt;
        bits = bits << 1 | static_cast<unsigned>(bit);
        at += 2 * half;
    }
    if (bits >> 17 != 8) return std::nullopt;  // start 1, mode 000
    return frame_of(Protocol::rc6, bits >> 8 & 0xFF, bits & 0xFF, bits >> 16 & 1);
}

std::vector<int> runs_of(const Widths& widths, std::uint32_t unit_us, std::size_t first) {
    std::vector<int> runs;
    for (std::size_t i = first; i < widths.size(); ++i) {
        runs.push_back(static_cast<int>((widths[i] + unit_us / 2) / unit_us));
    }
    return runs;
}

/// A frame of the protocol in which up to three runs became others, or runs came or went.
void damage(std::vector<int>& runs, int longest, Random& random) {
    for (int changes = uniform(random, 0, 3); changes > 0; --changes) {
        const auto at = static_cast<std::size_t>(uniform(random, 0, static_cast<int>(runs.size()) - 1));
        switch (uniform(random, 0, 3)) {
            case 0: runs.insert(runs.begin() + static_cast<std::ptrdiff_t>(at), {1, 1}); break;
            case 1:
                if (at + 2 < runs.size())
                    runs.erase(runs.begin() + static_cast<std::ptrdiff_t>(at),
                               runs.begin() + static_cast<std::ptrdiff_t>(at) + 2);
                break;
            default: runs[at] = uniform(random, 1, longest); break;
        }
    }
}

void check_against(const std::optional<IrFrame>& model, Protocol protocol, const Widths& widths) {
    const auto frames = decoded(widths);
    CAPTURE(text_of(frames));
    if (model) {
        CHECK(text_of(frames) == text_of({*model}));
    } else {
        for (const auto& frame : frames) CHECK(frame.protocol != protocol);
    }
}
}  // namespace

TEST_CASE("infrared: rc5: 20,000 whole and damaged frames are read as a model of 28 halves reads them") {
    Random random(41);
    int whole = 0;
    for (int i = 0; i < 20000; ++i) {
        auto runs = runs_of(sim::encode(random_frame(Protocol::rc5, random)), 889, 0);
        damage(runs, 2, random);
        const auto model = rc5_model(runs);
        whole += model.has_value();
        check_against(model, Protocol::rc5, widths_of(runs, 889));
    }
    CHECK(whole > 5000);
    CHECK(whole < 15000);
}

TEST_CASE("infrared: rc6: 20,000 whole and damaged frames are read as a model of 44 units reads them") {
    Random random(42);
    int whole = 0;
    for (int i = 0; i < 20000; ++i) {
        auto runs = runs_of(sim::encode(random_frame(Protocol::rc6, random)), 444, 2);
        damage(runs, 3, random);
        const auto model = rc6_mode0_model(runs);
        whole += model.has_value();
        auto widths = widths_of(runs, 444);
        widths.insert(widths.begin(), {2667, 889});
        check_against(model, Protocol::rc6, widths);
    }
    CHECK(whole > 5000);
    CHECK(whole < 15000);
}

namespace {
/// RC-6 widths with one space width so near the other that SIRC's decoder takes them too.
Widths between_rc6_and_sirc(const Widths& rc6, std::uint32_t double_space_us) {
    Widths widths = {2400};
    for (std::size_t i = 1; i < rc6.size(); ++i) {
        const bool is_mark = i % 2 == 0;
        const int units = static_cast<int>((rc6[i] + 222) / 444);
        const std::uint32_t mark_us = units == 1 ? 600 : units == 2 ? 1000 : 1200;
        widths.push_back(is_mark ? mark_us : units == 1 ? 615 : double_space_us);
    }
    return widths;
}
}  // namespace

TEST_CASE(
    "infrared: a train that is rc6 and sirc20 goes to rc6 with two space widths, and to nobody without") {
    // rc6_0:0x000c has 21 marks: as many as SIRC 20.
    const IrFrame frame = frame_of(Protocol::rc6, 0, 12, 0);
    const auto rc6 = sim::encode(frame);
    REQUIRE(rc6.size() == 41);
    const auto near = decoded(between_rc6_and_sirc(rc6, 690));
    REQUIRE(near.size() == 1);
    CHECK(near[0].protocol == Protocol::unknown);
    CHECK(text_of(decoded(between_rc6_and_sirc(rc6, 830))) == text_of({frame}));
}

TEST_CASE("infrared: a train with the shape of rc-6 mode 6 but one space width is sirc20") {
    for (const auto& vector : load_vectors("infrared_ir_ctl.txt")) {
        if (vector.code != "rc6_6a_20:0x61234") continue;
        REQUIRE(vector.widths.size() == 41);
        const auto one_width = decoded(between_rc6_and_sirc(vector.widths, 690));
        REQUIRE(one_width.size() == 1);
        CHECK(one_width[0].protocol == Protocol::sirc20);
        const auto two_widths = decoded(between_rc6_and_sirc(vector.widths, 830));
        REQUIRE(two_widths.size() == 1);
        CHECK(two_widths[0].protocol == Protocol::unknown);
        return;
    }
    FAIL("no vector of rc-6 mode 6 with 20 bits");
}

TEST_CASE("infrared: trains so long that an 8-bit count would wrap to a whole frame are nobody's") {
    for (const auto protocol : k_all_protocols) {
        Random random(43);
        const IrFrame sent = random_frame(protocol, random);
        auto widths = sim::encode(sent);
        if (protocol == Protocol::sharp) widths.resize(31);
        // 256 more bits of the kind that the frame begins with, behind its leader.
        const bool has_leader = widths[0] > 2010;
        const auto at = widths.begin() + (has_leader ? 2 : 0);
        const bool is_biphase = protocol == Protocol::rc5 || protocol == Protocol::rc6;
        const std::uint32_t unit = protocol == Protocol::rc5 ? 889 : 444;
        Widths more;
        for (int bit = 0; bit < 256; ++bit) {
            more.push_back(is_biphase ? unit : *at);
            more.push_back(is_biphase ? unit : *(at + 1));
        }
        widths.insert(at, more.begin(), more.end());
        CAPTURE(sent);
        CHECK(decoded(widths).empty());
    }
}
