#include "tests/measure/bench_board.hpp"

#include <doctest/doctest.h>

#include <random>

#include "core/engine/press.hpp"
#include "tests/wire/support/images.hpp"

namespace fettle::test {

using namespace engine;

namespace {

constexpr std::uint32_t k_boot_ms = 20;

Bytes image_of(const std::array<RuleDef, k_board_inputs>& rules) {
    Sections sections;
    Bytes inputs(k_board_inputs * k_input_bytes), all_rules(k_board_inputs * k_rule_bytes),
        action(k_action_bytes);
    for (std::uint8_t i = 0; i < k_board_inputs; ++i) {
        put_input(inputs.data() + i * k_input_bytes, {Source::switch_line, i, 0x80u | (i + 1u)});
        put_rule(all_rules.data() + i * k_rule_bytes, rules[i]);
    }
    put_action(action.data(), {ActionKind::button, static_cast<std::uint8_t>(ButtonStyle::held), 1, 0});
    const auto add = [&](wire::Tag tag, const Bytes& body) {
        sections.push_back({static_cast<std::uint8_t>(tag), body});
    };
    add(wire::Tag::inputs, inputs);
    add(wire::Tag::rules, all_rules);
    add(wire::Tag::modes, {1, 1, 1, 1});
    add(wire::Tag::gestures, {0, 0, 1, k_gesture_is_double, 1, 1, 0, 2, 1, k_gesture_is_double, 2, 1});
    add(wire::Tag::actions, action);
    add(wire::Tag::labels, {1, 'm'});
    add(wire::Tag::pace, {20, 0, 50, 0, 60, 0});
    return build(sections);
}

}  // namespace

Board::Board(const std::array<RuleDef, k_board_inputs>& rules)
    : image_(image_of(rules)), engine_(std::make_unique<Engine>()) {
    REQUIRE(load_from(image_, 0, setup_).fault == wire::ImageFault::none);
    in_.now_us = 4000000;
    engine_->start({this, hear});
    engine_->load(&setup_, in_.now_us, Cause::start, 0, false);
    for (std::uint8_t i = 0; i < k_board_inputs; ++i)  // pulled up: open
        edges_[i] = {in_.now_us, static_cast<std::uint8_t>(i + 1), 1};
    in_.edge_count = k_board_inputs;
    run(k_boot_ms);
}

std::uint8_t Board::has(std::uint8_t input) {
    return input == 0 ? k_has_long : input == 1 ? k_has_double : k_has_long | k_has_double;
}

void Board::hear(void* owner, const Event& event) {
    // Telemetry's stamps are whole steps of 4 us.
    static_cast<Board*>(owner)->roll_.append(event.at_us & ~3u, event);
}

void Board::tick() {
    in_.now_us += 1000;
    in_.edges = edges_.data();
    for (std::uint8_t i = 0; i < k_board_inputs; ++i) {
        if (wanted_[i] == is_down_[i]) continue;
        is_down_[i] = wanted_[i];
        edges_[in_.edge_count++] = {in_.now_us - 300u, static_cast<std::uint8_t>(i + 1),
                                    static_cast<std::uint8_t>(is_down_[i] ? 0 : 1)};
    }
    in_.commands = commands_;
    commands_ = 0;
    in_.taken = static_cast<std::uint8_t>((out_.reports[0].size != 0 ? k_taken_keyboard : 0) |
                                          (out_.reports[1].size != 0 ? k_taken_pointer : 0));
    engine_->tick(in_, out_);
    in_.edge_count = 0;
    roll_.extend_to(in_.now_us);
}

void Board::run(std::uint32_t for_ms) {
    for (std::uint32_t ms = 0; ms < for_ms; ++ms) tick();
}

void Board::work(std::uint32_t seed, std::uint32_t for_ms) {
    std::mt19937 random(seed);
    const auto to = [&](std::uint32_t least, std::uint32_t most) {
        return least + static_cast<std::uint32_t>(random() % (most - least + 1));
    };
    struct Hand {
        bool is_down = false;
        std::uint32_t left_ms = 1, bounces = 0;
    };
    std::array<Hand, k_board_inputs> hands{};
    for (std::uint32_t ms = 0; ms < for_ms; ++ms) {
        for (std::uint8_t i = 0; i < k_board_inputs; ++i) {
            Hand& hand = hands[i];
            if (hand.bounces > 0) {
                --hand.bounces;
                set(i, hand.bounces == 0 ? hand.is_down : to(0, 1) == 1);
            }
            if (--hand.left_ms > 0) continue;
            hand.is_down = !hand.is_down;
            set(i, hand.is_down);
            const bool is_short = to(0, 1) == 1;
            hand.left_ms = is_short ? to(1, 40) : to(1, hand.is_down ? 900 : 1500);
            hand.bounces = to(0, 2) == 0 ? to(1, 6) : 0;
        }
        tick();
    }
    for (std::uint8_t i = 0; i < k_board_inputs; ++i) set(i, false);
    run(8000);
}

}  // namespace fettle::test
