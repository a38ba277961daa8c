#pragma once
// A person at the window: the whole program but for the window system. The desk with its keeper, a station on
// a simulated device, a worker that works at once, a store in memory, and a bench that shows the frame with
// the screen that is chosen. One clock for all; a frame is 16 ms of it. The same every time.

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "app/desk/desk.hpp"
#include "app/views/views.hpp"
#include "core/sim/sim_device.hpp"
#include "tests/ui/bench.hpp"

namespace fettle::app::test {

struct SittingWish {
    int scale_percent = 100;
    ui::ThemeName theme = ui::ThemeName::dark;
    Language language = Language::english;
    ui::Point size{1280, 800};
    bool has_device = true;  ///< plugged in from the start
    std::string asset =
        "volunteer";          ///< demo profile that a person of that name edits; "": nothing is opened
    std::string data_folder;  ///< where recordings are saved; "": nowhere
};

class Sitting {
public:
    explicit Sitting(const SittingWish& wish = {});
    ~Sitting();
    Sitting(const Sitting&) = delete;
    Sitting& operator=(const Sitting&) = delete;

    const Desk& desk() const;
    DeskKeeper& keeper();
    store::Store& store();
    sim::SimDevice& device();
    FakeClock& clock();
    ui::Ui& ui() { return bench->ui; }
    ViewState& view_state() { return state_; }

    /// As a screen would: goes to the desk, and into `given`.
    void order(Order order);
    /// Chooses a screen and lets it settle.
    void show(Screen screen);
    /// Frames until so much time has passed.
    void wait_ms(std::int64_t ms);
    /// Frames until it is so; false after `most_ms`.
    bool wait_until(const std::function<bool()>& is_so, std::int64_t most_ms = 5000);
    bool wait_live() {
        return wait_until([this] { return desk().device.state == LinkState::live; });
    }
    void pull_cable();
    void plug_cable();

    /// Keys, pointer, registry: bench->press(), work(), find(), dump() ...
    std::unique_ptr<Bench> bench;
    /// Everything that the screens asked for, oldest first. A test may clear it.
    std::vector<Order> given;
    /// Of that kind, in `given`.
    template <typename Wanted>
    std::size_t count_of() const {
        std::size_t count = 0;
        for (const Order& one : given) {
            if (std::holds_alternative<Wanted>(one)) ++count;
        }
        return count;
    }
    /// Of that kind of Ask, in `given`.
    template <typename Wanted>
    std::size_t count_asked() const {
        std::size_t count = 0;
        for (const Order& one : given) {
            const auto* ask = std::get_if<Ask>(&one);
            if (ask != nullptr && std::holds_alternative<Wanted>(*ask)) ++count;
        }
        return count;
    }

private:
    struct Inside;
    std::unique_ptr<Inside> inside_;
    ViewState state_;
};

}  // namespace fettle::app::test
