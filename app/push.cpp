#include "app/push.hpp"

#include <algorithm>

namespace fettle::app {

std::vector<profile::Finding> hindrances(const ProfileFile& file, const std::vector<std::string>& accepted) {
    return profile::refusals(profile::check(file.profile, file.layout.get()), accepted);
}

Result<profile::Compiled> image_for(const ProfileFile& file, const link::Session& session) {
    return profile::compile(file.profile, strokes_of(file), profile::limits_of(session.hello()));
}

Status compare_with_device(link::Session& session, const std::vector<std::uint8_t>& image) {
    const auto read = session.read_image(wire::k_slot_current);
    if (!read) return read.failure();
    if (*read == image) return Done{};
    const auto [a, b] = std::mismatch(read->begin(), read->end(), image.begin(), image.end());
    return fail(Errc::mismatch, "profile", "first at byte " + std::to_string(a - read->begin()));
}

}  // namespace fettle::app
