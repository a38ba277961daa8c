#include "app/ui/fonts.hpp"

#include <fontconfig/fontconfig.h>
#include <imgui.h>
#include <imgui_freetype.h>

#include <algorithm>
#include <array>
#include <bitset>
#include <optional>
#include <vector>

#include "app/words/texts.hpp"
#include "core/base/files.hpp"

namespace fettle::app::ui {

namespace {

/// Dear ImGui's letters are 16 bits wide here: the basic plane, no more.
constexpr char32_t k_last = 0xFFFF;
constexpr char32_t k_replacement = 0xFFFD;
using Characters = std::bitset<k_last + 1>;

/// Signs that controls, plots and sentences draw.
constexpr const char* k_signs =
    "–—‘’“”„…•·×÷±≤≥≈µ°"
    "←↑→↓↔⇧⏎■□▲△▶▼◀"
    "●○◆◇✓✗⚠�";

/// Next character of `text` from `at`, which moves on. Source: RFC 3629, section 3.
char32_t next_character(std::string_view text, std::size_t& at) {
    const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
    const unsigned first = byte(at++);
    if (first < 0x80) return first;
    const int more = first >= 0xF0 ? 3 : first >= 0xE0 ? 2 : first >= 0xC2 ? 1 : 0;
    if (more == 0 || first > 0xF4) return k_replacement;
    char32_t c = first & (0x3Fu >> more);
    for (int i = 0; i < more; ++i) {
        if (at >= text.size() || (byte(at) & 0xC0) != 0x80) return k_replacement;
        c = (c << 6) | (byte(at++) & 0x3Fu);
    }
    return c;
}

void add(Characters& characters, std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
        const char32_t c = next_character(text, at);
        if (c >= 0x20) characters.set(c <= k_last ? c : k_replacement);
    }
}

void add_texts(Characters& characters) {
    for (int language = 0; language < k_languages; ++language)
        for (int i = 0; i < text_count(); ++i)
            add(characters, text_in(static_cast<Language>(language), static_cast<T>(i)));
}

/// From one character to another and so on, with a zero at the end, as the atlas wants it.
std::vector<ImWchar> ranges_of(const Characters& characters) {
    std::vector<ImWchar> ranges;
    for (char32_t c = 1; c <= k_last; ++c) {
        if (!characters[c]) continue;
        const char32_t first = c;
        while (c < k_last && characters[c + 1]) ++c;
        ranges.push_back(static_cast<ImWchar>(first));
        ranges.push_back(static_cast<ImWchar>(c));
    }
    ranges.push_back(0);
    return ranges;
}

/// A font file, and which of the wanted characters it is used for.
struct Face {
    std::string file;
    int index = 0;  ///< inside a collection
    Characters has;
};

struct PatternEnd {
    void operator()(FcPattern* pattern) const { FcPatternDestroy(pattern); }
};
using Pattern = std::unique_ptr<FcPattern, PatternEnd>;

Characters characters_of(const FcCharSet* set) {
    Characters characters;
    for (char32_t c = 0x20; c <= k_last; ++c)
        if (FcCharSetHasChar(set, c) == FcTrue) characters.set(c);
    return characters;
}

/// The face that fontconfig likes best for the pattern.
std::optional<Face> match(Pattern pattern) {
    FcConfigSubstitute(nullptr, pattern.get(), FcMatchPattern);
    FcDefaultSubstitute(pattern.get());
    FcResult result = FcResultNoMatch;
    const Pattern found(FcFontMatch(nullptr, pattern.get(), &result));
    FcChar8* file = nullptr;
    FcCharSet* set = nullptr;
    if (!found || FcPatternGetString(found.get(), FC_FILE, 0, &file) != FcResultMatch ||
        FcPatternGetCharSet(found.get(), FC_CHARSET, 0, &set) != FcResultMatch)
        return std::nullopt;
    Face face;
    face.file = reinterpret_cast<const char*>(file);
    FcPatternGetInteger(found.get(), FC_INDEX, 0, &face.index);
    face.has = characters_of(set);
    return face;
}

Pattern sans_pattern() {
    Pattern pattern(FcPatternCreate());
    const auto text = [](const char* words) { return reinterpret_cast<const FcChar8*>(words); };
    // By wide coverage and a large x-height; what is not there is passed over.
    for (const char* family : {"DejaVu Sans", "Noto Sans", "Liberation Sans", "sans-serif"})
        FcPatternAddString(pattern.get(), FC_FAMILY, text(family));
    FcPatternAddBool(pattern.get(), FC_SCALABLE, FcTrue);
    FcPatternAddInteger(pattern.get(), FC_WEIGHT, FC_WEIGHT_REGULAR);
    FcPatternAddInteger(pattern.get(), FC_SLANT, FC_SLANT_ROMAN);
    return pattern;
}

Pattern pattern_for(const Characters& missing) {
    Pattern pattern(FcPatternCreate());
    FcCharSet* set = FcCharSetCreate();
    for (char32_t c = 0x20; c <= k_last; ++c)
        if (missing[c]) FcCharSetAddChar(set, c);
    FcPatternAddCharSet(pattern.get(), FC_CHARSET, set);
    FcCharSetDestroy(set);
    FcPatternAddBool(pattern.get(), FC_SCALABLE, FcTrue);
    return pattern;
}

/// Faces that together have what is wanted, as far as the system goes; the first has most of it.
std::vector<Face> faces_for(const Characters& wanted) {
    constexpr std::size_t k_most_faces = 5;
    std::vector<Face> faces;
    if (FcInit() != FcTrue) return faces;
    Characters missing = wanted;
    auto face = match(sans_pattern());
    while (face && faces.size() < k_most_faces) {
        face->has &= missing;
        if (face->has.none()) break;
        missing &= ~face->has;
        faces.push_back(std::move(*face));
        if (missing.none()) break;
        face = match(pattern_for(missing));
    }
    return faces;
}

/// Hands fonts to the atlas; what they are made of must last until the atlas is built.
class Filler {
public:
    explicit Filler(const std::vector<Face>& faces) {
        constexpr std::size_t k_most_bytes = 64u << 20;
        for (const Face& face : faces)
            if (auto bytes = read_file(face.file, k_most_bytes))
                loaded_.push_back({&face, std::move(*bytes)});
    }
    /// One font of all faces. False: no face has anything of it.
    bool add(float px, const Characters& characters) {
        ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
        bool is_first = true;
        for (Loaded& loaded : loaded_) {
            const Characters part = loaded.face->has & characters;
            if (part.none()) continue;
            ranges_.push_back(ranges_of(part));
            ImFontConfig config;
            config.FontNo = loaded.face->index;
            config.MergeMode = !is_first;
            config.FontDataOwnedByAtlas = false;
            const int size = static_cast<int>(loaded.bytes.size());
            atlas.AddFontFromMemoryTTF(loaded.bytes.data(), size, px, &config, ranges_.back().data());
            is_first = false;
        }
        return !is_first;
    }

private:
    struct Loaded {
        const Face* face;
        std::string bytes;
    };
    std::vector<Loaded> loaded_;
    std::vector<std::vector<ImWchar>> ranges_;
};

bool build_system_fonts(float px, const std::vector<Face>& faces, const Characters& wanted) {
    // The large letters say numbers and a few words of ours: names in every script stay normal.
    Characters large;
    add_texts(large);
    add(large, "0123456789:.,%/+- ");
    Filler filler(faces);
    if (!filler.add(px, wanted) || !filler.add(px * k_large_times, large)) return false;
    const bool is_built = ImGui::GetIO().Fonts->Build();
    if (is_built) ImGui::GetIO().Fonts->ClearInputData();
    return is_built;
}

bool build_own_fonts(float px) {
    ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
    atlas.Clear();
    for (const float size : {px, px * k_large_times}) {
        ImFontConfig config;
        config.SizePixels = size;
        atlas.AddFontDefault(&config);
    }
    return atlas.Build();
}

}  // namespace

struct Fonts::Inside {
    Characters wanted, loaded;
    std::string file;
    std::vector<Face> faces;  ///< for `loaded`
};

Fonts::Fonts() : inside_(std::make_unique<Inside>()) {
    for (char32_t c = 0x20; c < 0x180; ++c)
        if (c < 0x7F || c >= 0xA0) inside_->wanted.set(c);
    add_texts(inside_->wanted);
    want(k_signs);
}

Fonts::~Fonts() = default;

void Fonts::want(std::string_view text) {
    add(inside_->wanted, text);
}

bool Fonts::is_behind() const {
    return (inside_->wanted & ~inside_->loaded).any();
}

const std::string& Fonts::file() const {
    return inside_->file;
}

Status Fonts::load(float px) {
    if (!(px >= 8.0f && px <= 160.0f)) return fail(Errc::out_of_range, "px");
    if (inside_->faces.empty() || is_behind()) inside_->faces = faces_for(inside_->wanted);
    inside_->loaded = inside_->wanted;
    ImFontAtlas& atlas = *ImGui::GetIO().Fonts;
    atlas.Clear();
    atlas.Flags |= ImFontAtlasFlags_NoPowerOfTwoHeight | ImFontAtlasFlags_NoMouseCursors;
    atlas.TexDesiredWidth = px > 24.0f ? 2048 : 1024;
    atlas.FontBuilderIO = ImGuiFreeType::GetBuilderForFreeType();
    const bool is_built = build_system_fonts(px, inside_->faces, inside_->wanted);
    inside_->file = is_built ? inside_->faces.front().file : "";
    if (!is_built && !build_own_fonts(px)) return fail(Errc::io, "fonts");
    return Done{};
}

Status load_fonts(float px, std::string_view extra) {
    Fonts fonts;
    fonts.want(extra);
    return fonts.load(px);
}

ImFont* normal_font() {
    return ImGui::GetIO().Fonts->Fonts[0];
}

ImFont* large_font() {
    return ImGui::GetIO().Fonts->Fonts[1];
}

}  // namespace fettle::app::ui
