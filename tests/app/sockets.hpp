#pragma once
// A computer with sockets: what a command finds attached, without any hardware. Each real device is a
// simulated one behind a cable that is pulled at the n-th message.

#include <map>
#include <memory>
#include <string>

#include "app/device_world.hpp"
#include "core/sim/sim_device.hpp"

namespace fettle::app::test {

class Sockets : public DeviceWorld {
public:
    Result<link::Sight> look() override;
    Result<std::unique_ptr<link::Link>> open(const link::Attached& attached) override;
    std::optional<std::string> holder(const link::Attached& attached) override;

    /// A device with both channels in that socket; opened by its path.
    link::Attached& plug(const std::string& path, const std::string& serial, const std::string& place);

    link::Sight sight;
    std::optional<Error> blind;                                      ///< look() fails with it
    std::map<std::string, std::shared_ptr<sim::SimDevice>> devices;  ///< by path
    std::map<std::string, std::string> holders;                      ///< by path
    int pull_at = 0;                     ///< the n-th message of the next link, in either direction; 0: never
    int messages = 0;                    ///< of the last link
    std::uint16_t contract_version = 0;  ///< that hello tells; 0: the device's own
    bool is_mute = false;                ///< what is attached answers nothing
    std::vector<link::Attached> opened;
};

}  // namespace fettle::app::test
