#pragma once
// The simulated device as something that can be attached, by two ways into one device: "sim" (its HID
// interface) and "sim:serial". What its storage keeps is remembered from run to run in the state folder, in
// the file `simulated-eeprom`; what is in its memory is not: between two runs it lost its power. Thread: made
// and destroyed by the window's while no station runs; else the I/O thread's.

#include <array>
#include <memory>
#include <string>

#include "app/desk/paced_link.hpp"
#include "app/desk/station.hpp"

namespace fettle::app {

class SimSource : public LinkSource {
public:
    /// state_folder: "" remembers nothing. pace: nullptr: its time passes in receive() and idle() only, as
    /// tests want it. A file that cannot be understood is put aside as `simulated-eeprom.damaged` and told by
    /// tend(); one that cannot be read is told, too, and never written over.
    explicit SimSource(std::string state_folder = {}, std::shared_ptr<Pace> pace = nullptr,
                       const sim::SimOptions& options = {});
    /// Saves.
    ~SimSource() override;

    std::vector<link::Attached> found() override;
    /// Errors: not_found (another path, or its cable is out).
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) override;
    std::shared_ptr<sim::SimDevice> simulated() override { return device_; }
    void idle(std::uint32_t ms) override;
    std::optional<Error> tend() override;

private:
    using Eeprom = std::array<std::uint8_t, wire::k_eeprom_bytes>;
    std::optional<Eeprom> recall();
    Status save();

    std::string path_, folder_;  ///< of the file; "" : none
    std::shared_ptr<Pace> pace_;
    sim::SimOptions options_;
    std::shared_ptr<sim::SimDevice> device_;
    Eeprom saved_{};
    std::optional<Error> trouble_;  ///< not told yet
    std::optional<Error> last_trouble_;
};

/// A Pace on the real clock. clock: outlives it.
std::shared_ptr<Pace> real_pace(const Clock& clock);

}  // namespace fettle::app
