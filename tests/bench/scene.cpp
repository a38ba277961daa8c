#include "tests/bench/scene.hpp"

#include <cstdlib>

#include "core/sim/ir_encode.hpp"

namespace fettle::bench {

using namespace engine;

namespace {

constexpr uint8_t k_address = 0x04;
constexpr uint8_t k_command = 0x08;
constexpr uint32_t k_pause_us = 12000;

void put16(wire::ImageWriter& to, uint16_t value) {
    to.put(static_cast<uint8_t>(value & 0xFF));
    to.put(static_cast<uint8_t>(value >> 8));
}

void put_inputs(wire::ImageWriter& to) {
    const std::array<InputDef, 4> inputs = {{
        {static_cast<Source>(Protocol::nec), 0, (uint32_t{k_address} << 8) | uint32_t{k_command}},
        {Source::axis, 0, 0u | (60u << 8) | (40u << 16)},  // stick x, positive side
        {Source::switch_line, 0, 1},
        {Source::switch_line, 0, 2},
    }};
    to.begin_section(wire::Tag::inputs);
    for (const auto& input : inputs) {
        std::array<uint8_t, k_input_bytes> bytes{};
        put_input(bytes.data(), input);
        to.put(bytes.data(), k_input_bytes);
    }
    to.end_section();
}

void put_rules(wire::ImageWriter& to) {
    RuleDef rule{};
    rule.debounce_ms = 10;
    rule.bridge_ms = 15;
    rule.holdover_ms = 130;
    rule.long_ms = 800;
    rule.double_ms = 300;
    rule.longest_hold_ds = 6000;
    std::array<uint8_t, k_rule_bytes> bytes{};
    put_rule(bytes.data(), rule);
    to.begin_section(wire::Tag::rules);
    to.put(bytes.data(), k_rule_bytes);
    to.end_section();
}

void put_actions(wire::ImageWriter& to) {
    const std::array<ActionDef, 5> actions = {{
        {ActionKind::move, static_cast<uint8_t>(Direction::down), 0, 0},
        {ActionKind::move, static_cast<uint8_t>(Direction::right), 0, 0},
        {ActionKind::button, static_cast<uint8_t>(ButtonStyle::held), 1, 0},
        {ActionKind::chord, static_cast<uint8_t>(ChordStyle::held), 0, 0x04},
        {ActionKind::release_all, 0, 0, 0},
    }};
    to.begin_section(wire::Tag::actions);
    for (const auto& action : actions) {
        std::array<uint8_t, k_action_bytes> bytes{};
        put_action(bytes.data(), action);
        to.put(bytes.data(), k_action_bytes);
    }
    to.end_section();
}

void put_motion(wire::ImageWriter& to) {
    to.begin_section(wire::Tag::motions);
    to.put(k_travel_bytes);
    to.put(static_cast<uint8_t>(MotionFamily::travel));
    put16(to, 200);   // delay
    to.put(2);        // first step
    put16(to, 1500);  // ramp
    put16(to, 400);   // cadence window
    put16(to, 2000);  // cadence gain
    for (uint32_t point = 0; point < k_curve_points; ++point) {
        const uint32_t speed = 3277 + point * 9000;  // 0.05 to 1.15 counts a ms
        to.put(static_cast<uint8_t>(speed & 0xFF));
        to.put(static_cast<uint8_t>((speed >> 8) & 0xFF));
        to.put(static_cast<uint8_t>((speed >> 16) & 0xFF));
    }
    to.end_section();
}

}  // namespace

HandsByName hands_of(std::string_view name) {
    if (name == "idle") return {Hands::idle, true};
    if (name == "travel") return {Hands::travel, true};
    if (name == "infrared") return {Hands::infrared, true};
    if (name == "busiest") return {Hands::busiest, true};
    return {};
}

Scene::Scene(Hands hands) : hands_(hands), engine_(std::make_unique<Engine>()) {
    load_profile();
    engine_->start({this, count_event});
    engine_->load(&setup_, 0, Cause::start, 0, false);
    if (hands == Hands::infrared || hands == Hands::busiest) {
        IrFrame frame{};
        frame.protocol = Protocol::nec;
        frame.address = k_address;
        frame.command = k_command;
        widths_ = sim::encode(frame);
        widths_.push_back(k_pause_us);
        next_edge_us_ = 20000;
    }
    for (int n = 0; n < 2000; ++n) tick();  // past delays and the ramp
}

void Scene::load_profile() {
    wire::ImageWriter writer(image_.data(), static_cast<uint16_t>(image_.size()));
    put_inputs(writer);
    put_rules(writer);
    writer.begin_section(wire::Tag::modes);
    const std::array<uint8_t, 5> cells = {1, 1, 2, 3, 4};  // 1 mode, then its 4 inputs' actions
    writer.put(cells.data(), static_cast<uint16_t>(cells.size()));
    writer.end_section();
    put_actions(writer);
    put_motion(writer);
    const std::array<uint8_t, wire::k_profile_id_bytes> id = {1, 2, 3, 4, 5, 6, 7, 8};
    if (!writer.finish(id.data(), 1)) std::abort();
    memory_ = {image_.data(), writer.size()};
    if (wire::load(wire::storage_of(memory_), writer.size(), 0, setup_).fault != wire::ImageFault::none)
        std::abort();
}

void Scene::count_event(void* owner, const Event& event) {
    auto& scene = *static_cast<Scene*>(owner);
    if (event.kind == EventKind::ir_frame) ++scene.frames_;
}

void Scene::add_edge(uint32_t at_us, uint8_t line, uint8_t level) {
    if (in_.edge_count < k_max_edges) edges_[in_.edge_count++] = {at_us, line, level};
}

void Scene::add_infrared_edges() {
    while (next_edge_us_ <= in_.now_us) {
        add_edge(next_edge_us_, 0, next_width_ % 2 == 0 ? 1 : 0);
        next_edge_us_ += widths_[next_width_];
        next_width_ = (next_width_ + 1) % widths_.size();
    }
}

void Scene::tick() {
    in_.now_us += 1000;
    in_.edges = edges_.data();
    in_.edge_count = 0;
    if (!widths_.empty()) add_infrared_edges();
    if (hands_ == Hands::travel || hands_ == Hands::busiest) in_.axes[0] = in_.now_us < 10000 ? 0 : 900;
    if (hands_ == Hands::busiest) {
        const uint32_t now_ms = in_.now_us / 1000;
        if (now_ms == 50) add_edge(in_.now_us, 1, 1);
        // The key's switch: down 40 ms, up 40 ms, with a contact that bounces at each change.
        const uint32_t phase = now_ms / 40 + now_ms % 40;
        if (now_ms % 40 < 3 && now_ms >= 80) add_edge(in_.now_us, 2, static_cast<uint8_t>(phase % 2));
    }
    // The host reads whatever was handed over in the tick before.
    in_.taken = 0;
    if (out_.reports[0].size != 0) in_.taken |= k_taken_keyboard;
    if (out_.reports[1].size != 0) in_.taken |= k_taken_pointer;
    reports_ += uint64_t{out_.reports[0].size != 0} + uint64_t{out_.reports[1].size != 0};
    out_ = {};
    engine_->tick(in_, out_);
}

}  // namespace fettle::bench
