#include "app/profile_file.hpp"

#include "app/words/plain_text.hpp"
#include "core/profile/document.hpp"

namespace fettle::app {

namespace {

class NoLayout final : public profile::StrokeSource {
public:
    std::optional<std::vector<profile::Stroke>> strokes_for(std::string_view) const override {
        return std::nullopt;
    }
    std::optional<std::string> text_for(profile::Stroke) const override { return std::nullopt; }
};

}  // namespace

Result<ProfileFile> open_profile(const std::string& path) {
    auto loaded = profile::load_file(path);
    if (!loaded) return loaded.failure();
    ProfileFile file;
    file.profile = std::move(*loaded);
    if (auto layout = profile::XkbLayout::load(file.profile.keyboard_layout))
        file.layout = std::move(*layout);
    return file;
}

const profile::StrokeSource& strokes_of(const ProfileFile& file) {
    static const NoLayout none;
    if (file.layout) return *file.layout;
    return none;
}

std::string all_errors(const std::string& path) {
    std::vector<Error> all;
    std::string lines;
    if (auto loaded = profile::load_file(path, &all)) return lines;
    for (const Error& error : all) lines += plain_text(sentence(error)) + "\n";
    return lines;
}

}  // namespace fettle::app
