#include "core/trace/roll_file.hpp"

namespace fettle::trace {

Status save_roll(const std::string& path, const Roll& roll, const RollLabel& label, FileSystem& files) {
    const auto bytes = roll_to_bytes(roll, label);
    if (!bytes) return bytes.failure();
    return save_file(path, *bytes, Privacy::only_me, files);
}

Result<SavedRoll> open_roll(const std::string& path, FileSystem& files) {
    const auto bytes = read_file(path, k_largest_roll_file_bytes, files);
    if (!bytes) return bytes.failure();
    return roll_from_bytes(*bytes, path);
}

}  // namespace fettle::trace
