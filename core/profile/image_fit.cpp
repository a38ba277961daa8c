#include <algorithm>

#include "core/profile/image_compile.hpp"

namespace fettle::profile {

namespace {

std::string largest_first(std::vector<SectionSize> sections, bool only_mirrored) {
    std::stable_sort(sections.begin(), sections.end(),
                     [](const SectionSize& a, const SectionSize& b) { return a.bytes > b.bytes; });
    std::string text;
    for (const SectionSize& one : sections)
        if (!only_mirrored || one.is_mirrored)
            text += (text.empty() ? "" : ", ") + one.name + " " + std::to_string(one.bytes);
    return text;
}

Status at_most(const char* what, std::size_t count, int limit) {
    if (static_cast<int64_t>(count) <= limit) return Done{};
    return fail(Errc::too_large, what,
                std::to_string(count) + "; this device takes " + std::to_string(limit));
}

}  // namespace

Limits limits_of(const wire::HelloReply& hello) {
    return Limits{hello.slot_bytes, hello.mirror_bytes, hello.max_inputs, hello.max_modes,
                  hello.max_variants};
}

std::string section_name(uint8_t tag) {
    static const char* const k_names[] = {"inputs",  "rules", "modes",  "gestures", "actions", "motions",
                                          "repeats", "texts", "labels", "grid",     "pace",    "variant"};
    const int number = tag & 0x7F;
    if (number >= 1 && number <= 12) return k_names[number - 1];
    static const char k_hex[] = "0123456789abcdef";
    return std::string("section_") + k_hex[tag >> 4] + k_hex[tag & 15];
}

Status fits(const Profile& profile, const Compiled& compiled, const Limits& limits) {
    const int image = static_cast<int>(compiled.image.size());
    if (Status good = at_most("inputs", profile.inputs.size(), limits.inputs); !good) return good;
    if (Status good = at_most("modes", profile.modes.size(), limits.modes); !good) return good;
    if (Status good = at_most("variants", profile.variants.size() + 1, limits.variants); !good) return good;
    if (image > limits.slot_bytes)
        return fail(Errc::too_large, "image",
                    std::to_string(image) + " bytes; allowed " + std::to_string(limits.slot_bytes) + ": " +
                        largest_first(compiled.sections, false));
    if (compiled.mirror_bytes > limits.mirror_bytes)
        return fail(Errc::too_large, "mirror",
                    std::to_string(compiled.mirror_bytes) + " bytes; allowed " +
                        std::to_string(limits.mirror_bytes) + ": " + largest_first(compiled.sections, true));
    return Done{};
}

}  // namespace fettle::profile
