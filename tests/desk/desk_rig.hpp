#pragma once
// A whole desk without a window: keeper, station, simulated device behind a cable that a test can spoil, a
// worker that works when asked, a store in memory. One thread; the clock is the device's. A frame is a round
// of the station and a refresh.

#include <memory>
#include <string>
#include <vector>

#include "app/desk/desk.hpp"
#include "tests/base/folder.hpp"
#include "tests/desk/station_rig.hpp"

namespace fettle::app::test {

struct DeskOptions {
    bool has_store = true;
    std::string store_path = ":memory:";
    std::string assets = FETTLE_ROOT "/assets";
};

struct DeskRig {
    explicit DeskRig(const DeskOptions& options = {},
                     std::shared_ptr<sim::SimDevice> with = std::make_shared<sim::SimDevice>());

    std::shared_ptr<sim::SimDevice> device;
    DeviceClock clock;
    StrangeSource source;
    Station station;
    std::unique_ptr<Worker> worker = make_inline_worker();
    std::unique_ptr<store::Store> store;
    fettle::test::Folder folder;  ///< the desk's data folder
    std::unique_ptr<DeskKeeper> keeper;

    const Desk& desk() const { return keeper->desk(); }
    const profile::Profile& profile() const { return desk().editing.profile; }
    void take(Order order) { keeper->take(std::move(order)); }
    /// Given, worked, seen.
    void take_and_see(Order order);
    void frame();
    void run_ms(std::int64_t ms);
    template <typename Until>
    bool run_until(Until until, std::int64_t most_ms = 10000) {
        const std::int64_t end = clock.ms() + most_ms;
        while (!until() && clock.ms() < end) frame();
        return until();
    }
    /// Connects, and waits until it is known what runs.
    void connect();
    /// An input of the profile on the desk, by the simulated hands; and time for it to be heard.
    void press(const std::string& input, std::uint32_t hold_ms = 150);
    void press(const profile::InputSource& source, std::uint32_t hold_ms = 150);
    /// Twice, far enough apart for a teacher.
    void press_twice(const profile::InputSource& source);
    /// A push that goes through: the trial runs.
    void try_it(std::uint16_t trial_s = 60, std::vector<std::string> accepted = {});
    /// Clicks, lets go, and changes mode and back: what the volunteer's profile has to prove.
    void prove();
    /// The sentence that is to be read, "" for none; forgets it.
    std::string notice();
    /// What ends every test: the device holds nothing.
    void check_ends_released();
};

/// The volunteer's profile, as the tree has it.
profile::Profile volunteer();
/// A button of a remote that no demo profile knows.
profile::Infrared strange_button(int command);

}  // namespace fettle::app::test
