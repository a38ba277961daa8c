#include "core/advise/running_text.hpp"

#include <algorithm>
#include <array>
#include <filesystem>
#include <string_view>

#include "core/base/files.hpp"
#include "core/base/utf8.hpp"

namespace fettle::advise {

namespace {

constexpr std::array<TextPlace, 2> k_places = {{
    {"en", "/usr/share/common-licenses", "base-files", "abcdefghijklmnopqrstuvwxyz ",
     "licence texts: long sentences, words of law and software more often than in letters"},
    {"de", "/usr/share/games/fortunes/de", "fortunes-de", "abcdefghijklmnopqrstuvwxyzäöüß ",
     "sayings and jokes: short sentences, spoken words"},
}};

/// Those of a fortune file that are no running text.
bool is_frame_line(std::string_view line) {
    if (line == "%") return true;
    const auto first = line.find_first_not_of(" \t");
    return first != std::string_view::npos && first > 0 && line.substr(first).starts_with("--");
}

std::string without_frame_lines(std::string_view text) {
    std::string kept;
    kept.reserve(text.size());
    while (!text.empty()) {
        const auto end = text.find('\n');
        const std::string_view line = text.substr(0, end);
        if (!is_frame_line(line)) (kept += line) += '\n';
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
    }
    return kept;
}

bool is_text(std::string_view content) {
    return is_utf8(content) && content.find('\0') == std::string_view::npos;
}

}  // namespace

std::span<const TextPlace> text_places() {
    return k_places;
}

const TextPlace* text_place(std::string_view language) {
    for (const TextPlace& place : k_places)
        if (language == place.language) return &place;
    return nullptr;
}

Result<RunningText> read_running_text(const std::string& folder) {
    namespace fs = std::filesystem;
    std::error_code trouble;
    std::vector<std::string> names;
    for (fs::directory_iterator at(folder, trouble), end; !trouble && at != end; at.increment(trouble)) {
        std::error_code ignored;
        if (!at->is_symlink(ignored) && at->is_regular_file(ignored))
            names.push_back(at->path().filename().string());
    }
    if (trouble) return fail(Errc::not_found, folder, trouble.message());
    std::sort(names.begin(), names.end());
    RunningText found;
    std::size_t left = k_most_text_bytes;
    for (const std::string& name : names) {
        auto content = read_file((fs::path(folder) / name).string(), left);
        if (!content && content.error().code == Errc::too_large) return content.failure();
        if (!content || !is_text(*content)) {
            found.left_aside.push_back(name);
            continue;
        }
        left -= content->size();
        found.texts.push_back(without_frame_lines(*content));
        found.files.push_back(name);
    }
    if (found.texts.empty()) return fail(Errc::not_found, folder, "no text in this folder");
    return found;
}

}  // namespace fettle::advise
