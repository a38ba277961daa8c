#pragma once
// One engine at work for the benchmarks: a small profile that can do everything at once, and hands of four
// kinds.

#include <array>
#include <cstdint>
#include <memory>
#include <string_view>
#include <vector>

#include "core/engine/engine.hpp"
#include "core/wire/image.hpp"

namespace fettle::bench {

enum class Hands : uint8_t {
    idle,      ///< nothing is down, nothing to send: most of the day
    travel,    ///< a stick is held aside, the pointer travels, the host reads each report
    infrared,  ///< frame after frame without a pause: 2 to 3 edges in each tick
    busiest,   ///< both, with a held button and a held key whose switch bounces
};

/// The kind of that name. `found` false: no such name.
struct HandsByName {
    Hands hands = Hands::idle;
    bool found = false;
};
HandsByName hands_of(std::string_view name);

class Scene {
public:
    explicit Scene(Hands hands);
    Scene(const Scene&) = delete;
    Scene& operator=(const Scene&) = delete;

    /// One millisecond of the engine's life.
    void tick();
    /// Reports that the engine gave so far: a scene without any does not do what it says.
    [[nodiscard]] uint64_t reports() const { return reports_; }
    [[nodiscard]] uint64_t frames() const { return frames_; }

private:
    void load_profile();
    void add_infrared_edges();
    void add_edge(uint32_t at_us, uint8_t line, uint8_t level);
    static void count_event(void* owner, const engine::Event& event);

    Hands hands_;
    std::array<uint8_t, 480> image_{};
    wire::MemoryImage memory_{};
    engine::Setup setup_{};
    std::unique_ptr<engine::Engine> engine_;
    std::vector<uint32_t> widths_;  ///< of one frame and the pause after it
    std::array<engine::Edge, engine::k_max_edges> edges_{};
    engine::TickInputs in_{};
    engine::TickOutputs out_{};
    uint64_t reports_ = 0;
    uint64_t frames_ = 0;
    uint32_t next_edge_us_ = 0;
    size_t next_width_ = 0;
};

}  // namespace fettle::bench
