#include "core/engine/engine.hpp"

#include "core/engine/bits.hpp"

namespace fettle {
namespace engine {

void Engine::start(const EventSink& sink) {
    setup_ = nullptr;
    sink_ = sink;
    output_.reset();
    motion_.reset();
    presses_.reset();
    receiver_.reset();
    remote_.reset();
    actions_.reset();
    lines_.reset();
    gestures_.clear();
    down_ = 0;
    remote_code_ = 0;
    remote_protocol_ = Protocol::none;
    remote_down_ = k_no_input;
    now_ms_ = 0;
    leds_ = variant_ = 0;
    is_first_tick_ = true;
    is_suspended_ = false;
}

FETTLE_SHARED Work Engine::work(uint32_t now_us) {
    return Work{*setup_, output_, motion_, sink_, now_us, now_ms_, variant_};
}

void Engine::load(const Setup* setup, uint32_t now_us, Cause cause, uint8_t variant, bool keep_mode) {
    if (setup_ != nullptr) {
        end_presses(now_us, cause);
        if (!keep_mode) actions_.cut_text(work(now_us));
    }
    setup_ = setup;
    keep_remote();
    variant_ = variant;
    if (!keep_mode) {
        actions_.load(work(now_us), cause);
        output_.release_all(now_us, cause, sink_);
    } else if (actions_.mode() >= setup->mode_count) {
        actions_.go_to_mode(work(now_us), 0, cause);
    }
    motion_.reset();
    motion_.set_scale(actions_.scale_permille());
    remote_down_ = remote_.input();
    down_ = remote_down_ == k_no_input ? 0 : input_bit(remote_down_);
    lines_.load(*setup_, down_);
    presses_.ignore_until_up(down_);
    actions_.proofs().look(*setup_);
    emit(sink_, now_us, EventKind::variant, variant);
    snapshot(now_us, false);
}

/// Ends what presses hold, and forgets what they were about to do.
void Engine::end_presses(uint32_t now_us, Cause cause) {
    gestures_.clear();
    actions_.end_all(work(now_us), cause);
}

/// The same, with the text that is being typed; whoever is down is not heard until really up.
void Engine::release_presses(uint32_t now_us, Cause cause) {
    end_presses(now_us, cause);
    actions_.cut_text(work(now_us));
    motion_.stop();
    presses_.ignore_until_up(down_);
}

/// A remote's button that is down stays known under its number in the next profile, so that it is ignored
/// until it is up.
void Engine::keep_remote() {
    const uint8_t old = remote_.input();
    if (old == k_no_input) return;
    const uint8_t now = input_of(remote_protocol_, remote_code_);
    if (now == k_no_input) return remote_.reset();
    if (now != old) remote_.renumber(now);
}

void Engine::go_to_mode(uint8_t mode, uint32_t now_us) {
    if (setup_ != nullptr) actions_.go_to_mode(work(now_us), mode, Cause::host);
}

EngineState Engine::state() const {
    return EngineState{actions_.mode(),
                       variant_,
                       actions_.scale_permille(),
                       down_,
                       output_.held(),
                       actions_.grid().row(),
                       actions_.grid().column(),
                       leds_,
                       actions_.typing()};
}

void Engine::snapshot(uint32_t now_us, bool is_on_trial) const {
    uint8_t data[9];
    data[0] = actions_.mode();
    data[1] = variant_;
    put16(data + 2, actions_.scale_permille());
    data[4] = leds_;
    data[5] = static_cast<uint8_t>((is_on_trial ? k_snapshot_on_trial : 0) |
                                   (is_suspended_ ? k_snapshot_suspended : 0));
    put16(data + 6, static_cast<uint16_t>(down_ & 0xFFFFu));
    data[8] = static_cast<uint8_t>((down_ >> 16) & 0xFFu);
    emit_bytes(sink_, now_us, EventKind::snapshot, data, sizeof data);
    output_.tell_held(now_us, sink_);
    emit(sink_, now_us, EventKind::grid, actions_.grid().row(), actions_.grid().column());
}

}  // namespace engine
}  // namespace fettle
