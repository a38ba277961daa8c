#pragma once
// Rolls as files: own binary format, every part with its CRC-32 (format: roll_format.hpp). A file is read
// with bounds everywhere: what is corrupt, cut short, foreign or made to hurt gives an error, and never takes
// more memory than the file's size times k_most_bytes_a_file_byte and 4 MB.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/files.hpp"
#include "core/base/result.hpp"
#include "core/trace/roll.hpp"

namespace fettle::trace {

/// What a person or the desk says of a recording.
struct RollLabel {
    std::string name;                         ///< of the recording, UTF-8
    std::int64_t began_ms = 0;                ///< calendar time of first_us(): ms since 1970 UTC
    std::string device_serial;                ///< as the device says
    std::vector<std::uint8_t> profile_image;  ///< that ran when it began; may be empty
    std::vector<std::string> input_names;     ///< by input; may be empty or fewer
    std::vector<std::string> mode_names;      ///< by mode
    bool operator==(const RollLabel&) const = default;
};

struct SavedRoll {
    Roll roll;
    RollLabel label;
};

constexpr std::uint32_t k_roll_file_version = 1;
constexpr std::size_t k_longest_label_text_bytes = 4096;
constexpr std::size_t k_largest_label_image_bytes = 65536;
constexpr std::size_t k_most_label_names = 256;
constexpr std::size_t k_largest_roll_file_bytes = std::size_t{1} << 30;
constexpr std::size_t k_most_bytes_a_file_byte = 64;

/// Errors: too_large (a text, the image, the number of names or the whole is beyond its limit), syntax (a
/// text is no UTF-8).
Result<std::string> roll_to_bytes(const Roll& roll, const RollLabel& label);
/// where: what errors name. Errors: syntax (not a roll), version, garbled (a CRC, a length, an event, a text
/// that is no UTF-8; `detail` says which part and at which byte).
Result<SavedRoll> roll_from_bytes(std::string_view bytes, const std::string& where);

/// Whole or not at all (save_file: mode 0600, it is about a person). Thread: any, while nobody appends.
/// Errors: those of roll_to_bytes and save_file.
Status save_roll(const std::string& path, const Roll& roll, const RollLabel& label,
                 FileSystem& files = system_files());
/// Errors: those of read_file and roll_from_bytes.
Result<SavedRoll> open_roll(const std::string& path, FileSystem& files = system_files());

}  // namespace fettle::trace
