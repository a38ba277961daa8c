#include <optional>

#include "app/words/sentences.hpp"

namespace fettle::app {

namespace {

bool are_several_devices(const Error& error) {
    return error.code == Errc::duplicate && error.where == k_several_devices;
}

T what_happened(const Error& error) {
    if (are_several_devices(error)) return T::error_several_devices;
    switch (error.code) {
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
        case DeviceThen::cut_reading: return T::error_then_cut_reading;
        case DeviceThen::cut_push: return T::error_then_cut_push;
        case DeviceThen::cut_trial: return T::error_then_cut_trial;
        case DeviceThen::cut_keep: return T::error_then_cut_keep;
        case DeviceThen::silent_push: return T::error_then_silent_push;
        case DeviceThen::silent_keep: return T::error_then_silent_keep;
    }
    return std::nullopt;
}

std::optional<T> what_to_do(const Error& error) {
    if (are_several_devices(error)) return T::error_do_several_devices;
    switch (error.code) {
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

DeviceThen after_cut(Doing doing) {
    switch (doing) {
        case Doing::reading: return DeviceThen::cut_reading;
        case Doing::pushing: return DeviceThen::cut_push;
        case Doing::deciding: return DeviceThen::cut_trial;
        case Doing::keeping: return DeviceThen::cut_keep;
    }
    return DeviceThen::unknown;
}

/// No answer, or one that says nothing: what was asked may have been done.
bool is_answer_missing(Errc code) {
    return code == Errc::timed_out || code == Errc::io || code == Errc::garbled;
}

}  // namespace

DeviceThen device_then(const Error& error, Doing doing) {
    if (error.code == Errc::closed) return after_cut(doing);
    const bool is_missing = is_answer_missing(error.code);
    switch (doing) {
        case Doing::reading: return DeviceThen::unchanged;
        case Doing::pushing: return is_missing ? DeviceThen::silent_push : DeviceThen::unchanged;
        case Doing::deciding:
            return error.code == Errc::not_found ? DeviceThen::unchanged : DeviceThen::on_trial;
        case Doing::keeping: break;
    }
    if (is_missing) return DeviceThen::silent_keep;
    return error.code == Errc::not_found ? DeviceThen::unchanged : DeviceThen::on_trial;
}

std::string sentence(const Error& error, DeviceThen device, Language language) {
    const std::string about = error.where.empty() ? text_in(language, T::error_something) : error.where;
    const std::string detail = error.detail.empty() ? std::string() : ": " + error.detail;
    const std::string where = error.where.empty() ? std::string() : " (" + error.where + ")";
    std::string words = text_in(language, what_happened(error), about, detail, where) + ".";
    if (const auto then = what_the_device_does(device)) words += text_in(language, *then);
    if (const auto advice = what_to_do(error)) words += text_in(language, *advice);
    // What a library said of a cable stands last: what the device holds matters more.
    if (error.code == Errc::closed && !error.detail.empty()) words += " (" + error.detail + ").";
    return words;
}

}  // namespace fettle::app
