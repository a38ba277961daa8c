#include "app/device_world.hpp"

#include "core/link/opening.hpp"

namespace fettle::app {

namespace {

class SystemDevices : public DeviceWorld {
public:
    explicit SystemDevices(const Clock& clock) : clock_(clock), claims_(link::claims_folder()) {}

    Result<link::Sight> look() override { return link::scan_kernel(); }
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) override {
        return link::open_device(attached, claims_, clock_);
    }
    std::optional<std::string> holder(const link::Attached& attached) override {
        return link::holder_of(attached, claims_);
    }

private:
    const Clock& clock_;
    std::string claims_;
};

}  // namespace

std::unique_ptr<DeviceWorld> system_devices(const Clock& clock) {
    return std::make_unique<SystemDevices>(clock);
}

}  // namespace fettle::app
