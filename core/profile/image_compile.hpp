#pragma once
// A profile document to the image that a device stores, and back.
//
// Canonical: the same profile and layout give the same bytes. Equal rule sets, motions, repeats and actions
// stand once; what nothing uses, and a pace that is the engine's own, is left out. The image keeps no names
// and no keyboard layout: decompile() takes mode and variant names from the labels where they are fit for it
// and makes the others (input1, rules1 ...); compile(decompile(image)) is the same image for every image that
// compile() made.
// Thread: any. No state.

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/profile/model.hpp"
#include "core/profile/strokes.hpp"
#include "core/wire/device.hpp"
#include "core/wire/image.hpp"

namespace fettle::profile {

/// What a device has room for; its `hello` says.
struct Limits {
    int slot_bytes = wire::k_slot_bytes;
    int mirror_bytes = engine::k_mirror_bytes;
    int inputs = engine::k_max_inputs;
    int modes = engine::k_max_modes;
    int variants = engine::k_max_variants;
    bool operator==(const Limits&) const = default;
};
Limits limits_of(const wire::HelloReply& hello);

/// bytes: with the section's own header. is_mirrored: counts (without the header) for the RAM mirror too.
struct SectionSize {
    std::string name;
    int bytes = 0;
    bool is_mirrored = false;
    bool operator==(const SectionSize&) const = default;
};

struct Compiled {
    std::vector<uint8_t> image;
    std::vector<SectionSize> sections;  ///< in their order; the header first; sums up to the image
    int mirror_bytes = 0;               ///< of the variant that needs most
    uint32_t crc = 0;
};

/// Builds the image whatever its size (up to 64 KB). Errors: those of validate(); missing_key (no input);
/// unsupported (the layout cannot type a text or a cell); too_large (one text, all actions, the 64 KB).
Result<Compiled> build_image(const Profile& profile, const StrokeSource& strokes);

/// Does it fit? Errors: too_large; `where` is image, mirror, inputs, modes or variants, `detail` names the
/// sections and their bytes, the largest first.
Status fits(const Profile& profile, const Compiled& compiled, const Limits& limits);

/// Both.
Result<Compiled> compile(const Profile& profile, const StrokeSource& strokes, const Limits& limits = {});

/// Errors: garbled (damaged, truncated, a record out of range; `where` names the section), version (a format
/// or a section that this program does not know).
Result<Profile> decompile(const std::vector<uint8_t>& image, const StrokeSource& strokes,
                          const KeyboardLayout& layout);

/// "inputs", "rules" ...: as sections are named in errors; "section_xx" for unknown ones.
std::string section_name(uint8_t tag);

}  // namespace fettle::profile
