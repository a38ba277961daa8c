#include <optional>

#include "app/words/sentences.hpp"

namespace fettle::app {

namespace {

T what_happened(Errc code) {
    switch (code) {
        case Errc::out_of_range: return T::error_out_of_range;
        case Errc::wrong_type: return T::error_wrong_type;
        case Errc::unknown_key: return T::error_unknown_key;
        case Errc::missing_key: return T::error_missing_key;
        case Errc::unknown_name: return T::error_unknown_name;
        case Errc::duplicate: return T::error_duplicate;
        case Errc::syntax: return T::error_syntax;
        case Errc::version: return T::error_version;
        case Errc::too_large: return T::error_too_large;
        case Errc::refused: return T::error_refused;
        case Errc::not_found: return T::error_not_found;
        case Errc::denied: return T::error_denied;
        case Errc::no_access: return T::error_no_access;
        case Errc::in_use: return T::error_in_use;
        case Errc::foreign: return T::error_foreign;
        case Errc::busy: return T::error_busy;
        case Errc::io: return T::error_io;
        case Errc::disk_full: return T::error_disk_full;
        case Errc::closed: return T::error_closed;
        case Errc::timed_out: return T::error_timed_out;
        case Errc::garbled: return T::error_garbled;
        case Errc::mismatch: return T::error_mismatch;
        case Errc::unsupported: return T::error_unsupported;
        case Errc::unproven: return T::error_unproven;
        case Errc::cancelled: return T::error_cancelled;
    }
    return T::error_something;
}

std::optional<T> what_the_device_does(DeviceThen device) {
    switch (device) {
        case DeviceThen::not_involved: return std::nullopt;
        case DeviceThen::unchanged: return T::error_then_unchanged;
        case DeviceThen::on_trial: return T::error_then_on_trial;
        case DeviceThen::unknown: return T::error_then_unknown;
    }
    return std::nullopt;
}

std::optional<T> what_to_do(Errc code) {
    switch (code) {
        case Errc::busy: return T::error_do_busy;
        case Errc::disk_full: return T::error_do_disk_full;
        case Errc::closed:
        case Errc::timed_out: return T::error_do_cable;
        case Errc::garbled: return T::error_do_garbled;
        case Errc::mismatch: return T::error_do_mismatch;
        case Errc::unproven: return T::error_do_unproven;
        case Errc::denied: return T::error_do_denied;
        case Errc::no_access: return T::error_do_no_access;
        case Errc::in_use: return T::error_do_in_use;
        case Errc::foreign: return T::error_do_foreign;
        case Errc::unsupported: return T::error_do_unsupported;
        case Errc::too_large: return T::error_do_too_large;
        default: return std::nullopt;
    }
}

}  // namespace

std::string sentence(const Error& error, DeviceThen device, Language language) {
    const std::string about = error.where.empty() ? text_in(language, T::error_something) : error.where;
    const std::string detail = error.detail.empty() ? std::string() : ": " + error.detail;
    const std::string where = error.where.empty() ? std::string() : " (" + error.where + ")";
    std::string words = text_in(language, what_happened(error.code), about, detail, where) + ".";
    if (const auto then = what_the_device_does(device)) words += text_in(language, *then);
    if (const auto advice = what_to_do(error.code)) words += text_in(language, *advice);
    return words;
}

}  // namespace fettle::app
