#pragma once
// Learns which button or switch was pressed: two presses that agree, before anything is believed.

#include <array>
#include <cstdint>
#include <optional>

#include "app/words/infrared_words.hpp"
#include "core/link/session.hpp"
#include "core/profile/model.hpp"

namespace fettle::app {

/// Fed with the device's telemetry (raw edges included), or with decoded frames. Repeats of a held button are
/// no second press; a press of something else starts anew.
class Teacher {
public:
    void hear(const link::TimedEvent& timed);
    void hear(const engine::IrFrame& frame, std::int64_t at_us);

    /// For another input: no press counts any more; how the switches stand at rest stays known.
    void begin_anew() {
        first_.reset();
        source_.reset();
    }

    /// What was pressed twice, once it was.
    const std::optional<profile::InputSource>& source() const { return source_; }
    /// The last press.
    const std::optional<profile::InputSource>& last() const { return first_; }
    int presses() const { return presses_; }

private:
    void press(const profile::InputSource& pressed);
    void edge(std::uint8_t line, bool is_high, std::int64_t at_us);

    std::optional<profile::InputSource> first_;
    std::optional<profile::InputSource> source_;
    std::array<std::optional<bool>, engine::k_switch_lines + 1> closed_level_;
    std::int64_t last_us_ = -1'000'000'000;
    int presses_ = 0;
};

}  // namespace fettle::app
