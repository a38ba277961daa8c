#include "app/device_choice.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "app/words/sentences.hpp"

namespace fettle::app {

namespace {

using link::Attached;
using link::Sight;

/// With the channel that was named alone, where it was the fallback's.
std::optional<Attached> fits(const Attached& device, const std::string& which) {
    const bool is_named = which.empty() || device.path == which || device.serial == which;
    if (is_named || device.place == which) return device;
    if (device.fallback_path != which) return std::nullopt;
    Attached alone = device;
    alone.channel = link::ChannelKind::serial;
    alone.path = which;
    alone.fallback_path.clear();
    alone.is_accessible = true;  // whether that channel may be opened shows when it is
    return alone;
}

std::string list_of(const std::vector<Attached>& devices) {
    std::string list;
    for (const Attached& device : devices) list += (list.empty() ? "" : ", ") + device_name(device);
    return list;
}

Unexpected none_fits(const Sight& sight, const std::string& which) {
    const auto stranger = std::find_if(sight.strangers.begin(), sight.strangers.end(),
                                       [&](const link::Stranger& one) { return one.place == which; });
    if (stranger == sight.strangers.end()) return fail(Errc::not_found, which);
    return fail(Errc::foreign, stranger->product.empty() ? which : stranger->product);
}

}  // namespace

std::string device_name(const Attached& device) {
    const std::string serial = device.serial.empty() ? "no serial number" : device.serial;
    const std::string place = device.place.empty() ? "" : " in socket " + device.place;
    return fmt::format("{}{} ({})", serial, place, device.path);
}

Result<std::optional<Attached>> choose_device(const Sight& sight, const std::string& which) {
    if (which == "sim") return std::optional<Attached>{};
    std::vector<Attached> fitting;
    for (const Attached& device : sight.devices)
        if (auto fit = fits(device, which)) fitting.push_back(std::move(*fit));
    if (fitting.size() > 1) return fail(Errc::duplicate, k_several_devices, list_of(fitting));
    if (fitting.empty() && which.empty()) return std::optional<Attached>{};
    if (fitting.empty()) return none_fits(sight, which);
    if (!fitting[0].is_accessible) return fail(Errc::no_access, fitting[0].path);
    return std::optional(std::move(fitting[0]));
}

}  // namespace fettle::app
