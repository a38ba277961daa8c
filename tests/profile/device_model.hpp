#pragma once
// The real engine with a compiled profile, worked by hands on a clock of its own, as a value: copy it to try
// a press and throw the copy away. A slow and obvious judge of what check() says.

#include <algorithm>
#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "core/engine/engine.hpp"
#include "core/profile/image_compile.hpp"
#include "core/sim/ir_encode.hpp"
#include "core/wire/image.hpp"
#include "tests/profile/us_strokes.hpp"

namespace fettle::profile {

/// What one press did, seen from outside.
struct Seen {
    bool released = false;  ///< everything was let go
    bool clicked = false;
    bool held_mode = false;  ///< a press began to hold a mode
    unsigned moved_in = 0;   ///< modes in which a press began to move the pointer, a bit each
};

/// An image and its setup; they must stay where they are.
struct Loaded {
    std::vector<uint8_t> image;
    wire::MemoryImage memory{};
    engine::Setup setup{};

    explicit Loaded(std::vector<uint8_t> bytes, uint8_t variant = 0) : image(std::move(bytes)) {
        memory = {image.data(), static_cast<uint16_t>(image.size())};
        is_good =
            wire::load(wire::storage_of(memory), memory.size, variant, setup).fault == wire::ImageFault::none;
    }
    Loaded(const Loaded&) = delete;
    Loaded& operator=(const Loaded&) = delete;
    bool is_good = false;
};

class DeviceModel {
public:
    explicit DeviceModel(const Loaded& loaded) : setup_(&loaded.setup) {
        engine_.start({const_cast<engine::Setup*>(setup_), note});
        engine_.load(setup_, now_us_, engine::Cause::start, 0, false);
        run(10);
    }

    int inputs() const { return setup_->input_count; }
    int mode() const { return engine_.state().mode; }
    bool holds_anything() const { return engine_.holds_anything(); }
    bool is_down(int input) const { return ((hands_ >> input) & 1u) != 0; }
    bool is_remote(int input) const { return engine::is_infrared(def(input).source); }
    bool is_any_down() const { return hands_ != 0; }

    void down(int input) {
        const engine::InputDef d = def(input);
        if (d.source == engine::Source::none || is_down(input)) return;
        if (is_remote(input)) {
            next_frame_us_ = std::max(air_free_us_ + 20'000, now_us_);
            is_first_frame_ = true;
        } else {
            set_level(d, true);
        }
        hands_ |= 1u << input;
    }
    void up(int input) {
        if (!is_down(input)) return;
        hands_ &= ~(1u << input);
        if (!is_remote(input)) set_level(def(input), false);
    }
    void all_up() {
        for (int i = 0; i < inputs(); ++i) up(i);
    }

    Seen run(int ms) {
        s_seen = {};
        for (int i = 0; i < ms; ++i) tick();
        return s_seen;
    }

    // Gestures of rules with a long press of 200 ms and a double press of 150 ms. On a remote, with a
    // holdover of 120 ms, times are longer: a tap is one frame.
    static constexpr int k_tap_ms = 20, k_long_ms = 400, k_settle_ms = 700;

    /// Begins a gesture and stays down. 0 short, 1 long, 2 double.
    Seen begin(int input, int gesture) {
        Seen all{};
        // One thumb works a remote: it leaves the button that it holds, and is slower than the holdover.
        for (int other = 0; other < inputs(); ++other)
            if (is_remote(input) && is_remote(other) && is_down(other)) add(all, end(other));
        if (gesture == 2) {
            down(input);
            add(all, run(k_tap_ms));
            up(input);
            // The second press must come when the first is over, and before the double press is.
            add(all, run(is_remote(input) ? 230 : 30));
        }
        down(input);
        add(all, run(gesture == 1 ? k_long_ms : is_remote(input) ? 100 : 5));
        return all;
    }
    Seen end(int input) {
        up(input);
        return run(k_settle_ms);
    }
    Seen press(int input, int gesture) {
        Seen all = begin(input, gesture);
        add(all, end(input));
        return all;
    }

    static void add(Seen& to, const Seen& more) {
        to.released = to.released || more.released;
        to.clicked = to.clicked || more.clicked;
        to.held_mode = to.held_mode || more.held_mode;
        to.moved_in |= more.moved_in;
    }

private:
    engine::InputDef def(int input) const { return setup_->input(static_cast<uint8_t>(input)); }

    static void note(void* owner, const engine::Event& event) {
        if (event.kind == engine::EventKind::released) s_seen.released = true;
        if (event.kind != engine::EventKind::gesture || event.data[3] == 0) return;
        engine::ActionDef action{};
        static_cast<const engine::Setup*>(owner)->action(event.data[3], action);
        if (action.kind == engine::ActionKind::move) s_seen.moved_in |= 1u << event.data[2];
        const bool is_held = action.style == static_cast<uint8_t>(ModeStyle::while_held);
        if (action.kind == engine::ActionKind::mode && is_held) s_seen.held_mode = true;
    }
    void set_level(const engine::InputDef& d, bool is_closed) {
        if (d.source == engine::Source::switch_line) {
            const bool closed_low = (d.code & 0x80u) != 0;
            edges_.push_back({now_us_ + 500, static_cast<uint8_t>(d.code & 0x7Fu),
                              static_cast<uint8_t>(is_closed != closed_low ? 1 : 0)});
        } else if (d.source == engine::Source::axis) {
            const int16_t full = (d.code & 0x80u) != 0 ? -1000 : 1000;
            axes_[d.code & 3u] = is_closed ? full : int16_t{0};
        }
    }
    void send_frames() {
        if (now_us_ < next_frame_us_) return;
        for (int i = 0; i < inputs(); ++i) {
            if (!is_remote(i) || !is_down(i)) continue;
            const engine::InputDef d = def(i);
            auto frame = engine::make_ir_frame(static_cast<Protocol>(d.source),
                                               static_cast<uint16_t>((d.code >> 8) & 0xFFFFu),
                                               static_cast<uint16_t>(d.code & 0xFFu));
            frame.repeat = !is_first_frame_;
            is_first_frame_ = false;
            uint32_t at = now_us_ + 100;
            uint8_t level = 1;
            for (const uint32_t width : sim::encode(frame)) {
                edges_.push_back({at, 0, level});
                level ^= 1u;
                at += width;
            }
            edges_.push_back({at, 0, 0});
            air_free_us_ = at;
            next_frame_us_ = now_us_ + sim::period_us(frame.protocol);
        }
    }
    void tick() {
        send_frames();
        now_us_ += 1000;
        std::array<engine::Edge, 64> now{};
        uint8_t count = 0;
        std::stable_sort(edges_.begin(), edges_.end(),
                         [](const engine::Edge& a, const engine::Edge& b) { return a.at_us < b.at_us; });
        while (count < edges_.size() && edges_[count].at_us <= now_us_) {
            now[count] = edges_[count];
            ++count;
        }
        edges_.erase(edges_.begin(), edges_.begin() + count);
        engine::TickInputs in{};
        in.now_us = now_us_;
        in.edges = now.data();
        in.edge_count = count;
        std::copy(axes_.begin(), axes_.end(), in.axes);
        in.taken = taken_;
        engine::TickOutputs out{};
        engine_.tick(in, out);
        taken_ = 0;
        if (out.reports[0].size > 0) taken_ |= engine::k_taken_keyboard;
        if (out.reports[1].size > 0) taken_ |= engine::k_taken_pointer;
        const engine::Report& pointer = out.reports[1];
        const bool is_pointer =
            pointer.size == engine::k_pointer_report_bytes && pointer.bytes[0] == engine::k_pointer_report_id;
        if (is_pointer && pointer.bytes[1] != 0) s_seen.clicked = true;
    }

    static inline Seen s_seen{};
    const engine::Setup* setup_;
    engine::Engine engine_;
    std::vector<engine::Edge> edges_;
    std::array<int16_t, 4> axes_{};
    uint32_t hands_ = 0;
    uint32_t now_us_ = 0;
    uint32_t next_frame_us_ = 0, air_free_us_ = 0;
    bool is_first_frame_ = true;
    uint8_t taken_ = 0;
};

}  // namespace fettle::profile
