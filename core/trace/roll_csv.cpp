// CSV, RFC 4180: one line an event, CRLF, quoted where a field needs it.
#include <array>

#include "core/engine/bytes.hpp"
#include "core/trace/record.hpp"
#include "core/trace/roll_export.hpp"

namespace fettle::trace {

using engine::Event;
using engine::EventKind;

namespace {

constexpr std::size_t k_values = 10;
constexpr std::size_t k_piece_bytes = 64 * 1024;

/// By EventKind: the word, and the payload: i input, b byte, w two bytes, n three, d four.
struct KindRow {
    std::string_view word;
    std::string_view payload;
};
constexpr std::array k_rows = {
    KindRow{"gap", "d"},          KindRow{"edge", "bb"},        KindRow{"ir_frame", "bbd"},
    KindRow{"ir_noise", "b"},     KindRow{"ir_lost", "ib"},     KindRow{"level", "ib"},
    KindRow{"press", "ib"},       KindRow{"gesture", "ibbb"},   KindRow{"action", "ibb"},
    KindRow{"mode", "bb"},        KindRow{"held", "bbbbb"},     KindRow{"report", "bbbbbbbbbb"},
    KindRow{"taken", "b"},        KindRow{"drag_broken", "bb"}, KindRow{"released", "b"},
    KindRow{"scale", "w"},        KindRow{"variant", "b"},      KindRow{"trial", "bww"},
    KindRow{"text", "bb"},        KindRow{"leds", "b"},         KindRow{"lost", "w"},
    KindRow{"fault", "b"},        KindRow{"grid", "bb"},        KindRow{"unread", "b"},
    KindRow{"snapshot", "bbwbbn"}};
static_assert(k_rows.size() == static_cast<std::size_t>(EventKind::snapshot) + 1, "one each");

std::string quoted(const std::string& text) {
    if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
    std::string made = "\"";
    for (const char c : text) {
        if (c == '"') made += '"';
        made += c;
    }
    return made + '"';
}

std::string input_name(const ExportNames& names, std::uint8_t input) {
    if (input < names.inputs.size() && !names.inputs[input].empty()) return names.inputs[input];
    return "input " + std::to_string(int{input});
}

std::uint32_t number_at(const std::uint8_t* from, std::size_t bytes) {
    std::uint32_t number = 0;
    for (std::size_t i = bytes; i-- > 0;) number = number << 8 | from[i];
    return number;
}

std::size_t bytes_of(char field) {
    switch (field) {
        case 'w': return 2;
        case 'n': return 3;
        case 'd': return 4;
        default: return 1;
    }
}

void add_line(std::string& to, const Moment& moment, const ExportNames& names) {
    const KindRow& row = k_rows[static_cast<std::size_t>(moment.event.kind)];
    to += std::to_string(moment.at_us);
    to += ',';
    to += row.word;
    const std::uint8_t* data = moment.event.data;
    std::string_view payload = row.payload;
    if (payload.front() == 'i') {
        to += ',' + std::to_string(int{*data}) + ',' + quoted(input_name(names, *data));
        payload.remove_prefix(1);
        ++data;
    } else {
        to += ",,";
    }
    for (std::size_t i = 0; i < k_values; ++i) {
        to += ',';
        if (i >= payload.size()) continue;
        to += std::to_string(number_at(data, bytes_of(payload[i])));
        data += bytes_of(payload[i]);
    }
    to += "\r\n";
}

}  // namespace

std::string_view csv_kind(EventKind kind) {
    const auto at = static_cast<std::size_t>(kind);
    return at < k_rows.size() ? k_rows[at].word : std::string_view{};
}

bool export_csv(const Roll& roll, const ExportNames& names, const ExportRange& range,
                const ExportSink& sink) {
    std::string piece = "time_us,kind,input,name";
    for (std::size_t i = 1; i <= k_values; ++i) piece += ",value_" + std::to_string(i);
    piece += "\r\n";
    Moment moment;
    for (auto walk = roll.walk_between(range.from_us, range.to_us); walk.next(moment);) {
        add_line(piece, moment, names);
        if (piece.size() < k_piece_bytes) continue;
        if (!sink(piece)) return false;
        piece.clear();
    }
    return piece.empty() || sink(piece);
}

}  // namespace fettle::trace
