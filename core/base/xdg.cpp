#include "core/base/xdg.hpp"

#include <cstdlib>
#include <filesystem>

namespace fettle {

namespace {

bool is_absolute(const std::optional<std::string>& path) {
    return path && path->starts_with('/');
}

/// The variable's folder when it is absolute, else `$HOME/fallback`, else "".
std::string base_folder(const Environment& environment, const std::string& variable,
                        const std::string& fallback) {
    const auto set = environment(variable);
    if (is_absolute(set)) return *set;
    const auto home = environment("HOME");
    return is_absolute(home) ? *home + "/" + fallback : std::string{};
}

std::vector<std::string> split(const std::string& text, char separator) {
    std::vector<std::string> parts;
    size_t start = 0;
    while (start <= text.size()) {
        const size_t end = std::min(text.find(separator, start), text.size());
        parts.push_back(text.substr(start, end - start));
        start = end + 1;
    }
    return parts;
}

}  // namespace

std::optional<std::string> system_environment(const std::string& name) {
    const char* value = std::getenv(name.c_str());
    if (value == nullptr) return std::nullopt;
    return std::string(value);
}

Result<Folders> own_folders(const Environment& environment) {
    const std::string config = base_folder(environment, "XDG_CONFIG_HOME", ".config");
    const std::string data = base_folder(environment, "XDG_DATA_HOME", ".local/share");
    const std::string state = base_folder(environment, "XDG_STATE_HOME", ".local/state");
    if (config.empty() || data.empty() || state.empty()) {
        return fail(Errc::not_found, "HOME", "not set to an absolute path");
    }
    return Folders{config + "/fettle", data + "/fettle", state + "/fettle"};
}

std::vector<std::string> asset_folders(const std::string& program, const Environment& environment) {
    std::vector<std::string> found;
    const auto chosen = environment("FETTLE_ASSETS");
    if (is_absolute(chosen)) found.push_back(*chosen);
    if (program.starts_with('/')) {
        const std::filesystem::path beside = std::filesystem::path(program).parent_path();
        found.push_back((beside / "../share/fettle").lexically_normal().string());
        found.push_back((beside / "../../assets").lexically_normal().string());
    }
    const std::string own = base_folder(environment, "XDG_DATA_HOME", ".local/share");
    if (!own.empty()) found.push_back(own + "/fettle");
    auto shared = environment("XDG_DATA_DIRS");
    if (!shared || shared->empty()) shared = "/usr/local/share/:/usr/share/";
    for (const auto& folder : split(*shared, ':')) {
        if (folder.starts_with('/')) found.push_back((std::filesystem::path(folder) / "fettle").string());
    }
    return found;
}

std::string own_program() {
    std::error_code error;
    const auto path = std::filesystem::read_symlink("/proc/self/exe", error);
    return error ? std::string{} : path.string();
}

Result<std::string> find_asset(const std::string& name, const std::vector<std::string>& folders) {
    std::string looked;
    for (const auto& folder : folders) {
        const auto path = std::filesystem::path(folder) / name;
        std::error_code error;
        if (std::filesystem::is_regular_file(path, error)) return path.string();
        looked += (looked.empty() ? "" : ", ") + folder;
    }
    return fail(Errc::not_found, name, "looked in " + looked);
}

}  // namespace fettle
