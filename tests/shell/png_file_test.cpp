#include "app/shell/png_file.hpp"

#include <doctest/doctest.h>
#include <png.h>

#include "core/base/files.hpp"
#include "tests/base/folder.hpp"

namespace fettle::app {
namespace {

struct Read {
    std::uint32_t width = 0, height = 0;
    std::vector<std::uint8_t> pixels;  ///< top row first
};

/// By libpng itself.
Read read_png(const std::string& bytes) {
    png_image image{};
    image.version = PNG_IMAGE_VERSION;
    REQUIRE(png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()) != 0);
    image.format = PNG_FORMAT_RGB;
    Read read{image.width, image.height, std::vector<std::uint8_t>(PNG_IMAGE_SIZE(image))};
    REQUIRE(png_image_finish_read(&image, nullptr, read.pixels.data(), 0, nullptr) != 0);
    return read;
}

/// Every pixel another colour; rows from the bottom up.
Picture drawn(std::uint32_t width, std::uint32_t height) {
    Picture picture{width, height, {}};
    for (std::uint32_t y = 0; y < height; ++y)
        for (std::uint32_t x = 0; x < width; ++x)
            for (const std::uint32_t byte : {x, y, x + 7 * y})
                picture.pixels.push_back(static_cast<std::uint8_t>(byte));
    return picture;
}

}  // namespace

TEST_CASE("png: 37 x 11 pixels come back from libpng the right way up") {
    const Picture picture = drawn(37, 11);
    const auto bytes = png_bytes(picture);
    REQUIRE(bytes);
    const Read read = read_png(*bytes);
    CHECK(read.width == 37);
    CHECK(read.height == 11);
    REQUIRE(read.pixels.size() == picture.pixels.size());
    int wrong = 0;
    for (std::size_t y = 0; y < 11; ++y)
        for (std::size_t i = 0; i < std::size_t{3} * 37; ++i)
            wrong += read.pixels[y * 37 * 3 + i] != picture.pixels[(10 - y) * 37 * 3 + i] ? 1 : 0;
    CHECK(wrong == 0);
}

TEST_CASE("png: a picture whose size does not fit its pixels is refused") {
    CHECK(png_bytes({}).error().code == Errc::out_of_range);
    Picture picture = drawn(4, 4);
    picture.pixels.pop_back();
    CHECK(png_bytes(picture).error().code == Errc::out_of_range);
    picture = drawn(4, 4);
    picture.height = 0;
    CHECK(png_bytes(picture).error().code == Errc::out_of_range);
}

TEST_CASE("png: saved it is the file's whole content; into a folder that is not there it is an error") {
    const test::Folder folder;
    const Picture picture = drawn(5, 3);
    REQUIRE(save_png(folder.path() + "/a.png", picture));
    CHECK(*read_file(folder.path() + "/a.png", 1 << 20) == *png_bytes(picture));
    CHECK(save_png(folder.path() + "/no/a.png", picture).error().code == Errc::not_found);
}

}  // namespace fettle::app
