#pragma once
// What is attached and the simulated device, as one source of links: real devices first. Thread: made and
// destroyed by the window's while no station runs; else the I/O thread's.

#include <memory>

#include "app/desk/sim_source.hpp"
#include "core/link/discovery.hpp"

namespace fettle::app {

class RealSource : public LinkSource {
public:
    /// wish: as link::Discovery takes it; its thread starts here. clock: outlives it.
    RealSource(link::Discovery::Wish wish, const Clock& clock, std::unique_ptr<SimSource> simulated);

    /// Nothing until Discovery has looked: else the simulated device would be opened before a real one was
    /// seen.
    std::vector<link::Attached> found() override;
    std::vector<link::Stranger> strangers() override { return discovery_.sight().strangers; }
    bool has_looked() override { return discovery_.has_looked(); }
    /// Errors: those of Discovery::open and of SimSource::open.
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) override;
    /// Nobody's hands once a real device was opened, until the simulated one is opened again.
    std::shared_ptr<sim::SimDevice> simulated() override;
    void idle(std::uint32_t ms) override { simulated_->idle(ms); }
    std::optional<Error> tend() override { return simulated_->tend(); }

private:
    std::unique_ptr<SimSource> simulated_;
    bool is_real_ = false;  ///< what was opened last
    link::Discovery discovery_;
};

}  // namespace fettle::app
