#pragma once
// What a keyboard layout types, asked of libxkbcommon: characters to strokes and back.

#include <map>
#include <memory>
#include <string>

#include "core/base/result.hpp"
#include "core/profile/strokes.hpp"

namespace fettle::profile {

/// One layout of the computer that the device is plugged into. A value after it was made; thread: any.
/// Types with left Shift and AltGr (right Alt). A character on a dead key alone is typed with Space after it;
/// letters composed by a dead key and a letter are not typed yet: strokes_for gives nothing for them.
class XkbLayout final : public StrokeSource {
public:
    /// names: as XKB has them; rules evdev, model pc105. Errors: unknown_name (no such layout or variant on
    /// this system).
    static Result<std::unique_ptr<XkbLayout>> load(const KeyboardLayout& names);

    std::optional<std::vector<Stroke>> strokes_for(std::string_view utf8) const override;
    std::optional<std::string> text_for(Stroke stroke) const override;

private:
    XkbLayout() = default;
    void learn(char32_t character, std::vector<Stroke> strokes);

    std::map<char32_t, std::vector<Stroke>> typed_by_;
};

}  // namespace fettle::profile
