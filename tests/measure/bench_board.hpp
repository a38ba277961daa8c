#pragma once
// An engine with three switches that are worked at random, and a roll of what it told: for tests that ask
// what other rules would have made of it.

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "core/engine/engine.hpp"
#include "core/trace/roll.hpp"

namespace fettle::test {

constexpr std::uint8_t k_board_inputs = 3;

class Board {
public:
    /// Each input has its own rule. Long presses are assigned to inputs 0 and 2, double ones to 1 and 2.
    explicit Board(const std::array<engine::RuleDef, k_board_inputs>& rules);
    Board(const Board&) = delete;
    Board& operator=(const Board&) = delete;

    static std::uint8_t has(std::uint8_t input);

    /// Presses of 1 to 900 ms and gaps of 1 to 1500 ms on all switches, with contacts that bounce for up to 6
    /// ms; short ones are as likely as long ones.
    void work(std::uint32_t seed, std::uint32_t for_ms);
    void set(std::uint8_t input, bool is_down) { wanted_[input] = is_down; }
    void run(std::uint32_t for_ms);
    void release_all() { commands_ = engine::k_command_release_all; }

    trace::Roll& roll() { return roll_; }

private:
    void tick();
    static void hear(void* owner, const engine::Event& event);

    std::vector<std::uint8_t> image_;
    engine::Setup setup_{};
    std::unique_ptr<engine::Engine> engine_;
    engine::TickInputs in_{};
    engine::TickOutputs out_{};
    std::array<engine::Edge, engine::k_max_edges> edges_{};
    std::array<bool, k_board_inputs> wanted_{}, is_down_{};
    std::uint8_t commands_ = 0;
    trace::Roll roll_;
};

}  // namespace fettle::test
