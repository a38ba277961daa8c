#include "core/link/opening.hpp"

#include <sys/stat.h>
#include <unistd.h>

#include <utility>

#include "core/link/claimed_link.hpp"
#include "core/link/framed_link.hpp"
#include "core/link/paired_link.hpp"
#include "core/link/ports.hpp"

namespace fettle::link {

namespace {

/// The same over either channel. A place alone is not enough: another device may be plugged in there.
std::string identity(const Attached& attached) {
    if (attached.serial.empty() && attached.place.empty()) return attached.path;
    return attached.serial + "@" + attached.place;
}

/// After a change of user (su, sudo) the variable may still name the other one's.
bool is_own_folder(const std::string& path) {
    struct stat about {};
    return ::stat(path.c_str(), &about) == 0 && S_ISDIR(about.st_mode) && about.st_uid == ::geteuid();
}

Result<std::unique_ptr<Link>> open_serial(const std::string& path, const Clock& clock) {
    auto port = open_serial_port(path, clock);
    if (!port) return port.failure();
    return std::unique_ptr<Link>(std::make_unique<SerialLink>(std::move(*port)));
}

Result<std::unique_ptr<Link>> open_channels(const Attached& attached, const Clock& clock) {
    if (attached.channel == ChannelKind::serial) return open_serial(attached.path, clock);
    auto port = open_hid_port(attached.path, clock);
    if (!port) return port.failure();
    std::unique_ptr<Link> hid = std::make_unique<HidLink>(std::move(*port));
    if (attached.fallback_path.empty()) return hid;
    auto serial = open_serial(attached.fallback_path, clock);
    if (!serial) return hid;
    return std::unique_ptr<Link>(std::make_unique<PairedLink>(std::move(hid), std::move(*serial)));
}

}  // namespace

Result<std::unique_ptr<Link>> open_device(const Attached& attached, const std::string& claims,
                                          const Clock& clock) {
    if (attached.channel == ChannelKind::simulated)
        return fail(Errc::unsupported, attached.path, "a simulated device is not opened by its path");
    if (claims.empty()) return open_channels(attached, clock);
    auto claim = Claim::take(claims, identity(attached));
    if (!claim && claim.error().code == Errc::in_use)  // by the name that lists show
        return fail(Errc::in_use, attached.path, claim.error().detail);
    // Where no lock can be had (a full or read-only disk) the device works without one: nobody is locked out.
    if (!claim) return open_channels(attached, clock);
    auto link = open_channels(attached, clock);
    if (!link) return link.failure();
    return std::unique_ptr<Link>(std::make_unique<ClaimedLink>(std::move(*claim), std::move(*link)));
}

std::optional<std::string> holder_of(const Attached& attached, const std::string& claims) {
    if (claims.empty() || attached.channel == ChannelKind::simulated) return std::nullopt;
    const auto claim = Claim::take(claims, identity(attached));
    if (claim || claim.error().code != Errc::in_use) return std::nullopt;
    return claim.error().detail;
}

std::string claims_folder(const Environment& environment) {
    const auto runtime = environment("XDG_RUNTIME_DIR");
    if (runtime && runtime->starts_with('/') && is_own_folder(*runtime)) return *runtime + "/fettle/claims";
    const auto folders = own_folders(environment);
    return folders ? folders->state + "/claims" : std::string();
}

}  // namespace fettle::link
