#pragma once
// The source text of core/wire/built_in_image.cpp for an image.

#include <cstdint>
#include <string>
#include <vector>

namespace fettle::profile {

inline std::string built_in_source(const std::vector<uint8_t>& image) {
    static const char k_hex[] = "0123456789ABCDEF";
    std::string text =
        "// Made by tests/profile/profile_tool.cpp from assets/profiles/built_in.json; a test holds them "
        "equal.\n"
        "#include \"core/wire/image.hpp\"\n"
        "#include \"core/wire/rom.hpp\"\n\n"
        "namespace fettle {\nnamespace wire {\n\n"
        "// One mode. Switches 1 to 4 (closed is low) move up, right, down and left, switch 5 is the "
        "primary\n"
        "// button, switch 6 lets everything go. Nothing types, nothing latches.\n"
        "// clang-format off\n"
        "const uint8_t k_built_in_image[] FETTLE_ROM = {";
    for (std::size_t i = 0; i < image.size(); ++i) {
        text += i % 16 == 0 ? "\n    0x" : " 0x";
        text += k_hex[image[i] >> 4];
        text += k_hex[image[i] & 15];
        text += ',';
    }
    return text +
           "\n};\n// clang-format on\nconst uint16_t k_built_in_image_bytes = sizeof k_built_in_image;\n\n"
           "}  // namespace wire\n}  // namespace fettle\n";
}

}  // namespace fettle::profile
