#pragma once
// A picture of the window as a PNG file.

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace fettle::app {

/// Red, green, blue, 8 bits each, rows from the bottom up as OpenGL gives them, nothing between rows.
struct Picture {
    std::uint32_t width = 0, height = 0;
    std::vector<std::uint8_t> pixels;
};

/// The whole file's bytes. Errors: out_of_range (sizes that do not fit the pixels, or 0), io (libpng).
Result<std::string> png_bytes(const Picture& picture);
/// Errors: those of png_bytes and of save_file.
Status save_png(const std::string& path, const Picture& picture);

}  // namespace fettle::app
