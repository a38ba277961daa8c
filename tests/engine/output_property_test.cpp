// Random calls against a slow obvious host: it reads now and then, in any order of its endpoints, and must
// see exactly what was called, in that order, with the modifiers that were meant.
#include <doctest/doctest.h>

#include <map>
#include <random>
#include <sstream>

#include "tests/engine/output_rig.hpp"

namespace fettle::engine {
namespace {

constexpr uint16_t k_gap_ms = 40;

/// The same numbers everywhere for the same seed.
class Random {
public:
    explicit Random(uint32_t seed) : engine_(seed) {}
    uint32_t operator()() { return static_cast<uint32_t>(engine_()); }

private:
    std::mt19937 engine_;
};

/// What the host must see of one call.
struct Wanted {
    Seen::What what;
    int code;
    uint8_t mods;
};

/// The obvious model: who holds what, what is latched and locked; no reports, no time.
class Model {
public:
    explicit Model(Rig& rig) : rig_(rig) {}

    void tap_key(uint8_t mods, uint8_t usage) {
        log_ << rig_.now_ms() << ":tk" << std::hex << int(mods) << "," << int(usage) << std::dec << " ";
        if (!rig_.out.tap_keys(mods, usage)) return;
        want(Seen::key_down, usage, take_latch(mods));
    }
    void tap_consumer(uint16_t usage) {
        log_ << rig_.now_ms() << ":tc" << usage << " ";
        if (!rig_.out.tap_consumer(usage)) return;
        want(Seen::consumer_down, usage, take_latch(0));
    }
    void click(int button, uint8_t count) {
        log_ << rig_.now_ms() << ":click" << button << "x" << int(count) << " ";
        if (!rig_.out.click(bit(button), count, k_gap_ms)) return;
        const uint8_t mods = take_latch(0);
        for (int i = 0; i < count; ++i) {
            want(Seen::button_down, button, mods);
            want(Seen::button_up, button, mods);
        }
    }
    void hold_key(uint8_t source, uint8_t mods, uint8_t usage) {
        log_ << rig_.now_ms() << ":hk" << int(source) << "," << std::hex << int(mods) << "," << int(usage)
             << std::dec << " ";
        if (held_.count(source) != 0 || !rig_.out.hold_keys(source, mods, usage)) return;
        if (usage != 0) want(Seen::key_down, usage, take_latch(mods));
        held_[source] = Held{-1, usage == 0 ? mods : static_cast<uint8_t>(mods | last_latch_), 0};
    }
    void hold_button(uint8_t source, int button) {
        log_ << rig_.now_ms() << ":hb" << int(source) << "," << button << " ";
        if (held_.count(source) != 0 || !rig_.out.hold_buttons(source, bit(button))) return;
        const uint8_t mods = take_latch(0);
        want(Seen::button_down, button, mods);
        held_[source] = Held{button, last_latch_, mods};
    }
    void let_go(uint8_t source) {
        log_ << rig_.now_ms() << ":lg" << int(source) << " ";
        rig_.out.let_go(source);
        const auto found = held_.find(source);
        if (found == held_.end()) return;
        if (found->second.button >= 0) {
            ups_[found->second.button].push_back({found->second.press_mods, ambient()});
        }
        held_.erase(found);
    }
    void drag(int button) {
        log_ << rig_.now_ms() << ":drag" << button << " ";
        const bool was_on = held_.count(k_source_drag) != 0;
        if (was_on && held_[k_source_drag].button != button) return;  // one drag at a time in this model
        if (!rig_.out.drag(bit(button))) return;
        if (was_on) {
            ups_[button].push_back({held_[k_source_drag].press_mods, ambient()});
            held_.erase(k_source_drag);
            return;
        }
        const uint8_t mods = take_latch(0);
        want(Seen::button_down, button, mods);
        held_[k_source_drag] = Held{button, last_latch_, mods};
    }
    void latch(LatchStyle style, uint8_t mods) {
        log_ << rig_.now_ms() << ":latch" << int(style) << "," << std::hex << int(mods) << std::dec << " ";
        rig_.out.latch(style, mods);
        const bool is_locked = (locked_ & mods) == mods;
        const bool is_latched = (latched_ & mods) == mods;
        if (is_locked) {
            locked_ = static_cast<uint8_t>(locked_ & ~mods);
        } else if (style == LatchStyle::lock || (style == LatchStyle::latch_then_lock && is_latched)) {
            locked_ |= mods;
            latched_ = static_cast<uint8_t>(latched_ & ~mods);
        } else if (is_latched) {
            latched_ = static_cast<uint8_t>(latched_ & ~mods);
        } else {
            latched_ |= mods;
        }
    }
    void let_go_all() {
        while (!held_.empty()) {
            const auto [source, held] = *held_.begin();
            if (source == k_source_drag) {
                drag(held.button);
            } else {
                let_go(source);
            }
        }
        if (locked_ != 0) latch(LatchStyle::lock, locked_);
    }
    bool has_same_button(int button) const {
        for (const auto& [source, held] : held_) {
            if (held.button == button) return true;
        }
        return false;
    }

    std::vector<Wanted> downs_;
    /// Of each held button: the modifiers of its press and of its end; a short one may show those of the
    /// press.
    std::map<int, std::vector<std::pair<uint8_t, uint8_t>>> ups_;

private:
    struct Held {
        int button;
        uint8_t mods;
        uint8_t press_mods;
    };
    static uint8_t bit(int button) { return static_cast<uint8_t>(1 << button); }
    uint8_t ambient() const {
        uint8_t mods = locked_;
        for (const auto& [source, held] : held_) mods |= held.mods;
        return mods;
    }
    uint8_t take_latch(uint8_t mods) {
        last_latch_ = latched_;
        latched_ = 0;
        return static_cast<uint8_t>(mods | last_latch_ | ambient());
    }
    void want(Seen::What what, int code, uint8_t mods) {
        auto& list = what == Seen::button_up ? clicks_up_ : downs_;
        list.push_back({what, code, mods});
    }

    Rig& rig_;
    std::map<uint8_t, Held> held_;
    uint8_t latched_ = 0, locked_ = 0, last_latch_ = 0;

public:
    std::vector<Wanted> clicks_up_;
    std::ostringstream log_;
};

/// Bursts of reading and of silence, each endpoint by itself.
class Moods {
public:
    explicit Moods(Random& random, uint32_t longest_ms) : random_(random), longest_ms_(longest_ms) {}
    bool operator()(Endpoint endpoint, uint32_t) {
        uint32_t& left = left_[static_cast<size_t>(endpoint)];
        if (left > 0) {
            --left;
            return false;
        }
        const uint32_t kind = random_() % 8;
        left = kind < 5    ? 0
               : kind == 5 ? random_() % 4
               : kind == 6 ? random_() % 12
                           : random_() % longest_ms_;
        return true;
    }

private:
    Random& random_;
    uint32_t longest_ms_;
    uint32_t left_[2] = {0, 0};
};

std::string words(const std::vector<Wanted>& list) {
    Host host;
    for (const Wanted& w : list) host.seen.push_back({0, w.what, w.code, w.mods});
    return host.story();
}

void random_call(Random& random, Model& model, Rig& rig) {
    const auto mods = [&random] {
        return static_cast<uint8_t>(random() % 3 == 0 ? 1u << (random() % 8) : 0);
    };
    const auto source = static_cast<uint8_t>(random() % 4);
    switch (random() % 12) {
        case 0:
        case 1: model.tap_key(mods(), static_cast<uint8_t>(4 + random() % 3)); break;
        case 2: model.tap_consumer(static_cast<uint16_t>(0xE9 + random() % 2)); break;
        case 3: model.click(static_cast<int>(random() % 2), static_cast<uint8_t>(1 + random() % 2)); break;
        case 4: model.hold_key(source, mods(), static_cast<uint8_t>(0x20 + source)); break;
        case 5: model.hold_key(static_cast<uint8_t>(4 + source), static_cast<uint8_t>(1 << source), 0); break;
        case 6: model.hold_button(static_cast<uint8_t>(8 + source), 3 + source); break;
        case 7:
        case 8: model.let_go(static_cast<uint8_t>(random() % 12)); break;
        case 9: model.drag(2); break;
        case 10:
            model.latch(static_cast<LatchStyle>(random() % 3), static_cast<uint8_t>(1 << (random() % 8)));
            break;
        case 11: rig.out.move(static_cast<int16_t>(random() % 7) - 3, 1); break;
    }
}

/// One run: `events` random calls with random pauses; the host sees what the model wants.
void run_against_host(uint32_t seed, uint32_t events, uint32_t longest_silence_ms) {
    Random random(seed);
    Rig rig;
    rig.is_polled = Moods(random, longest_silence_ms);
    rig.reads_pointer_first = seed % 2 != 0;
    Model model(rig);
    for (uint32_t i = 0; i < events; ++i) {
        random_call(random, model, rig);
        const uint32_t kind = random() % 16;
        rig.run(kind < 8 ? 0 : kind < 14 ? random() % 6 : random() % 200);
    }
    model.let_go_all();
    for (int i = 0; i < 60000 && rig.out.holds_anything(); ++i) rig.tick();
    rig.run(2 * longest_silence_ms);  // until the last reports are read
    std::vector<Wanted> downs, ups;
    for (const Seen& s : rig.host.seen) {
        const Wanted w{s.what, s.code, s.mods};
        if (s.what == Seen::key_down || s.what == Seen::button_down || s.what == Seen::consumer_down)
            downs.push_back(w);
        if (s.what == Seen::button_up) ups.push_back(w);
    }
    CAPTURE(seed);
    CAPTURE(model.log_.str());
    CAPTURE(rig.host.story());
    REQUIRE(words(downs) == words(model.downs_));
    std::vector<Wanted> clicked;
    std::map<int, size_t> held;
    for (const Wanted& w : ups) {
        if (w.code < 2) {
            clicked.push_back(w);
            continue;
        }
        const std::pair<uint8_t, uint8_t> mods_at = model.ups_[w.code].at(held[w.code]++);
        const uint8_t at_press = mods_at.first,
                      at_end = mods_at.second;  // clang 14 captures no structured binding
        CAPTURE(w.code);
        CAPTURE(int(w.mods));
        CAPTURE(int(at_end));
        CAPTURE(int(at_press));
        REQUIRE((w.mods == at_end || w.mods == at_press));
    }
    REQUIRE(words(clicked) == words(model.clicks_up_));
    for (const auto& [button, list] : model.ups_) REQUIRE(held[button] == list.size());
    REQUIRE(rig.host.is_all_up());
    rig.finish();
}

TEST_CASE(
    "output: 750,000 random calls, a host that polls every 1 to 12 ms: seen in order, right modifiers") {
    for (uint32_t seed = 0; seed < 10000; ++seed) run_against_host(seed, 75, 12);
}

TEST_CASE("output: 250,000 random calls, a host silent for up to 900 ms: seen in order, right modifiers") {
    for (uint32_t seed = 20000; seed < 25000; ++seed) run_against_host(seed, 50, 900);
}

}  // namespace
}  // namespace fettle::engine
