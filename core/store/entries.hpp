#pragma once
// What the store keeps, as plain values. Ids are given by the store, from 1 on, and never used a second time:
// an id that a screen still holds after a removal means nobody. Times: ms since 1970-01-01 00:00 UTC, as the
// clock had it when the change was made; the calendar may jump, so lists go by id, not by time.
// Thread: values, copied freely.

#include <cstdint>
#include <optional>
#include <string>

#include "core/profile/model.hpp"

namespace fettle::store {

/// Whoever a device is fitted to. name: see check_name; no two people have the same.
struct Person {
    std::int64_t id = 0;
    std::string name{};
    std::int64_t created_ms = 0;
    bool operator==(const Person&) const = default;
};

/// One profile of one person, as it stands after its latest revision. name, profile_id and version are those
/// in the latest document; profile_id is in the store once only. No two profiles of a person have one name.
struct ProfileEntry {
    std::int64_t id = 0;
    std::int64_t person = 0;
    std::string name{};
    profile::ProfileId profile_id{};
    int version = 1;
    std::int64_t changed_ms = 0;
    std::int64_t latest_revision = 0;
    bool operator==(const ProfileEntry&) const = default;
};

/// Why a revision was made. The numbers stand in files: never use one again.
enum class RevisionKind : std::uint8_t {
    edited = 0,
    kept_on_device = 1,
    imported = 2,
    restored = 3,  ///< an earlier revision's content again
    renamed = 4,   ///< only the name differs from the revision before
    copied = 5,    ///< first revision of a copy
};
inline constexpr int k_revision_kinds = 6;

/// One state of a profile. note: what the person or the program said about it, up to k_note_most_bytes.
/// document_crc: CRC-32 (IEEE 802.3) of the stored document text; not the image's.
struct Revision {
    std::int64_t id = 0;
    std::int64_t profile = 0;
    std::int64_t at_ms = 0;
    RevisionKind kind = RevisionKind::edited;
    std::string note{};
    std::uint32_t document_crc = 0;
    bool operator==(const Revision&) const = default;
};

/// What happened on a device. The numbers stand in files: never use one again.
enum class RunKind : std::uint8_t {
    seen = 0,  ///< met it running this
    trial_began = 1,
    kept = 2,
    reverted = 3,
    trial_ran_out = 4,
    released = 5,  ///< release everything
    lost = 6,      ///< the link went away
};
inline constexpr int k_run_kinds = 7;

/// A line of a device's history. id, at_ms and person are the store's: what the caller puts there is not
/// read. person: the profile's, none without a profile. profile, revision: none when the image is not from
/// here, or when the profile was removed since; profile_name stays readable then.
struct DeviceRun {
    std::int64_t id = 0;
    std::string device_serial{};
    std::uint32_t image_crc = 0;
    std::optional<std::int64_t> person{};
    std::optional<std::int64_t> profile{};
    std::optional<std::int64_t> revision{};
    std::string profile_name{};
    RunKind kind = RunKind::seen;
    std::int64_t at_ms = 0;
    bool operator==(const DeviceRun&) const = default;
};

/// A device that has at least one run. last_ms: time of its latest run.
struct DeviceEntry {
    std::string serial{};
    std::int64_t first_ms = 0;
    std::int64_t last_ms = 0;
    bool operator==(const DeviceEntry&) const = default;
};

/// A recording's place in the list; the file at file_path is the caller's, the store never opens or removes
/// it. id and at_ms are the store's, as in DeviceRun. profile: none when it was removed since.
/// has_usages: the person agreed that key usages are in it.
struct RecordingEntry {
    std::int64_t id = 0;
    std::int64_t person = 0;
    std::optional<std::int64_t> profile{};
    std::string name{};
    std::string file_path{};
    std::int64_t at_ms = 0;
    std::int64_t duration_ms = 0;
    bool has_usages = false;
    bool operator==(const RecordingEntry&) const = default;
};

}  // namespace fettle::store
