#include "app/desk/station_choice.hpp"

#include <algorithm>
#include <utility>

namespace fettle::app {

using link::Attached;
using link::ChannelKind;

namespace {

using Found = std::vector<Attached>;

bool is_simulated(const Attached& a) {
    return a.channel == ChannelKind::simulated;
}

/// Where it is, as far as that can be told.
const std::string& place_of(const Attached& a) {
    return a.place.empty() ? a.path : a.place;
}

bool has_same_number(const Attached& a, const Attached& b) {
    return is_simulated(a) == is_simulated(b) && !a.serial.empty() && a.serial == b.serial;
}

template <typename Fits>
std::optional<Attached> first(const Found& found, Fits fits) {
    const auto at = std::find_if(found.begin(), found.end(), fits);
    if (at == found.end()) return std::nullopt;
    return *at;
}

/// The serial channel alone. Whether that may be opened is not known: what was said was of the other channel.
Attached by_fallback(Attached whole) {
    whole.channel = ChannelKind::serial;
    whole.path = std::exchange(whole.fallback_path, std::string());
    whole.is_accessible = true;
    return whole;
}

std::optional<Attached> same_device(const Found& found, const Wanted& wanted) {
    const Attached& pinned = *wanted.pinned;
    if (pinned.serial.empty())
        return first(found, [&](const Attached& a) {
            return a.serial.empty() && is_simulated(a) == is_simulated(pinned) &&
                   place_of(a) == place_of(pinned);
        });
    const auto is_there = [&](const Attached& a) {
        return has_same_number(a, pinned) && place_of(a) == place_of(pinned);
    };
    if (auto same = first(found, [&](const Attached& a) { return is_there(a) && a.path == pinned.path; }))
        return same;
    if (auto same = first(found, is_there)) return same;
    const auto has_moved = [&](const Attached& a) {
        return has_same_number(a, pinned) &&
               std::find(wanted.twins.begin(), wanted.twins.end(), place_of(a)) == wanted.twins.end();
    };
    if (std::count_if(found.begin(), found.end(), has_moved) != 1) return std::nullopt;
    return first(found, has_moved);
}

std::optional<Attached> named(const Found& found, const std::string& which) {
    if (auto by_path = first(found, [&](const Attached& a) { return a.path == which; })) return by_path;
    if (auto whole = first(found, [&](const Attached& a) { return a.fallback_path == which; }))
        return by_fallback(std::move(*whole));
    const auto has_number = [&](const Attached& a) { return a.serial == which; };
    if (auto open = first(found, [&](const Attached& a) { return has_number(a) && a.is_accessible; }))
        return open;
    if (auto barred = first(found, has_number)) return barred;
    return first(found, [&](const Attached& a) { return !a.place.empty() && a.place == which; });
}

std::optional<Attached> anything(const Found& found) {
    const auto is_real = [](const Attached& a) { return !is_simulated(a); };
    const auto is_open = [&](const Attached& a) { return is_real(a) && a.is_accessible; };
    if (std::count_if(found.begin(), found.end(), is_open) > 1) return std::nullopt;
    if (auto open = first(found, is_open)) return open;
    if (auto barred = first(found, is_real)) return barred;
    return first(found, [](const Attached&) { return true; });
}

}  // namespace

Choice choose(const Found& found, const Wanted& wanted) {
    std::optional<Attached> one;
    if (wanted.pinned)
        one = same_device(found, wanted);
    else
        one = wanted.which.empty() ? anything(found) : named(found, wanted.which);
    const bool was_serial = wanted.pinned && wanted.pinned->channel == ChannelKind::serial;
    if (one && !one->is_accessible && was_serial && !one->fallback_path.empty())
        one = by_fallback(std::move(*one));
    if (one && !one->is_accessible) return {std::nullopt, std::move(one)};
    return {std::move(one), std::nullopt};
}

void note_twins(Wanted& wanted, const Found& found) {
    if (!wanted.pinned) return;
    const Attached& pinned = *wanted.pinned;
    const auto is_there = [&](const Attached& a) {
        return has_same_number(a, pinned) && place_of(a) == place_of(pinned);
    };
    if (std::none_of(found.begin(), found.end(), is_there)) return;
    for (const Attached& a : found) {
        const bool is_known =
            std::find(wanted.twins.begin(), wanted.twins.end(), place_of(a)) != wanted.twins.end();
        if (has_same_number(a, pinned) && !is_there(a) && !is_known) wanted.twins.push_back(place_of(a));
    }
}

}  // namespace fettle::app
