#include "app/shell/png_file.hpp"

#include <png.h>

#include "core/base/files.hpp"

namespace fettle::app {

Result<std::string> png_bytes(const Picture& picture) {
    const std::size_t row = std::size_t{3} * picture.width;
    if (picture.width == 0 || picture.height == 0 || picture.pixels.size() != row * picture.height)
        return fail(Errc::out_of_range, "picture");
    png_image image{};
    image.version = PNG_IMAGE_VERSION;
    image.width = picture.width;
    image.height = picture.height;
    image.format = PNG_FORMAT_RGB;
    // A negative step between rows: libpng begins with the last row by itself, so it is given the start.
    const auto step = -static_cast<png_int_32>(row);
    png_alloc_size_t size = 0;
    const void* pixels = picture.pixels.data();
    if (png_image_write_to_memory(&image, nullptr, &size, 0, pixels, step, nullptr) == 0)
        return fail(Errc::io, "png", image.message);
    std::string bytes(size, '\0');
    if (png_image_write_to_memory(&image, bytes.data(), &size, 0, pixels, step, nullptr) == 0)
        return fail(Errc::io, "png", image.message);
    bytes.resize(size);
    return bytes;
}

Status save_png(const std::string& path, const Picture& picture) {
    const auto bytes = png_bytes(picture);
    if (!bytes) return bytes.failure();
    return save_file(path, *bytes);
}

}  // namespace fettle::app
