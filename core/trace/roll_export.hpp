#pragma once
// Rolls for other programs: CSV (RFC 4180) and VCD (value change dump, IEEE 1364-2005, clause 18); and what
// an export contains, as data.

#include <array>
#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "core/trace/roll.hpp"

namespace fettle::trace {

/// Names for exports; a missing one becomes a number (`input 3`, `mode 2`).
struct ExportNames {
    std::vector<std::string> inputs;
    std::vector<std::string> modes;
    std::string title;  ///< VCD's comment
};

/// The part [from_us, to_us) that is exported; all of it by default.
struct ExportRange {
    std::int64_t from_us = -k_farthest_us;
    std::int64_t to_us = k_farthest_us + 1;
};

/// Takes the export piece by piece; false stops it.
using ExportSink = std::function<bool(std::string_view piece)>;

/// A line an event, CRLF, header line first:
/// time_us,kind,input,name,value_1,...,value_10
/// kind: a word for the EventKind, `gap` for a gap. input: number, empty where there is none; name: its name.
/// Values: numbers of the payload in the order of event.hpp, without the input (two- and four-byte numbers
/// whole). A field with comma, quote or line break is quoted. False: the sink stopped it.
bool export_csv(const Roll& roll, const ExportNames& names, const ExportRange& range, const ExportSink& sink);
/// The kind's word in the CSV file.
std::string_view csv_kind(engine::EventKind kind);

/// Time scale 1 us, time 0 at the first event exported. Wires: level and press of each input that has any,
/// x where unknown; reg: mode (8 bits); integer: pointer_x, pointer_y (sums); wire: lost. Events that lie a
/// little before their predecessor take its time (VCD knows no way back).
bool export_vcd(const Roll& roll, const ExportNames& names, const ExportRange& range, const ExportSink& sink);

/// What an export of that range contains, without words.
struct Contents {
    std::uint64_t events = 0;
    std::array<std::uint64_t, 32> by_kind{};  ///< index: EventKind; 0: gaps
    std::int64_t first_us = 0, last_us = 0;   ///< of the events in it
    std::uint64_t key_usages =
        0;  ///< usages (keyboard, consumer, text number, grid place) that are not covered
    std::uint64_t covered_usages = 0;
    bool has_key_usages() const { return key_usages > 0; }
    std::int64_t long_us() const { return last_us - first_us; }
};
Contents contents(const Roll& roll, const ExportRange& range = {});

}  // namespace fettle::trace
