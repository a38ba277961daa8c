#include <fmt/format.h>

#include "app/words/sentences.hpp"

namespace fettle::app {

namespace {

std::string at(const Error& error) {
    return error.where.empty() ? std::string() : " (" + error.where + ")";
}
std::string with_detail(const Error& error) {
    return error.detail.empty() ? std::string() : ": " + error.detail;
}

std::string what_happened(const Error& e) {
    const std::string what = e.where.empty() ? "Something" : e.where;
    switch (e.code) {
        case Errc::out_of_range: return fmt::format("{} is outside its range{}", what, with_detail(e));
        case Errc::wrong_type: return fmt::format("{} has the wrong type{}", what, with_detail(e));
        case Errc::unknown_key: return fmt::format("{} is not a key of a profile{}", what, with_detail(e));
        case Errc::missing_key: return fmt::format("{} is missing{}", what, with_detail(e));
        case Errc::unknown_name:
            return fmt::format("{} names something that does not exist{}", what, with_detail(e));
        case Errc::duplicate: return fmt::format("{} is there twice{}", what, with_detail(e));
        case Errc::syntax: return fmt::format("{} cannot be read{}", what, with_detail(e));
        case Errc::version:
            return fmt::format("{} is of a version that this program does not know{}", what, with_detail(e));
        case Errc::too_large: return fmt::format("{} is too large{}", what, with_detail(e));
        case Errc::refused: return fmt::format("It was refused{}{}", at(e), with_detail(e));
        case Errc::not_found: return fmt::format("{} was not found{}", what, with_detail(e));
        case Errc::denied: return fmt::format("There is no permission for {}{}", what, with_detail(e));
        case Errc::busy: return "The device is busy: a trial is running, or it is still writing";
        case Errc::io: return fmt::format("{} failed{}", what, with_detail(e));
        case Errc::disk_full: return fmt::format("There is no space left for {}", what);
        case Errc::closed: return fmt::format("The device is gone{}", with_detail(e));
        case Errc::timed_out: return "The device did not answer in time";
        case Errc::garbled:
            return fmt::format("What came back cannot be understood{}{}", at(e), with_detail(e));
        case Errc::mismatch:
            return fmt::format("What was read back differs from what was sent{}", with_detail(e));
        case Errc::unsupported: return "This device cannot do that";
        case Errc::unproven: return "The profile on trial was not used enough to be kept";
        case Errc::cancelled: return "It was stopped";
    }
    return "Something went wrong";
}

std::string what_the_device_does(DeviceThen device) {
    switch (device) {
        case DeviceThen::not_involved: return {};
        case DeviceThen::unchanged: return " The device goes on with the profile it had.";
        case DeviceThen::on_trial:
            return " The profile on trial runs on; without an answer the one before comes back.";
        case DeviceThen::unknown:
            return " Whatever was half done was not taken: when the device starts it has its kept profile, "
                   "and holds nothing down.";
    }
    return {};
}

std::string what_to_do(const Error& e) {
    switch (e.code) {
        case Errc::busy: return " Keep or revert what is on trial, then try again.";
        case Errc::disk_full: return " Make room and save again; the file is as it was.";
        case Errc::closed:
        case Errc::timed_out: return " Look at the cable, then try again.";
        case Errc::garbled: return " Try again; if it stays so, unplug the device and plug it back.";
        case Errc::mismatch: return " Push again.";
        case Errc::unproven: return " Use it a little more, or let a helper answer for it.";
        case Errc::denied: return " Ask the owner of the file, or choose another place.";
        case Errc::unsupported: return " `fettle info` tells what it can.";
        case Errc::too_large: return " Leave something out, or share what is the same.";
        default: return {};
    }
}

}  // namespace

std::string sentence(const Error& error, DeviceThen device) {
    return what_happened(error) + "." + what_the_device_does(device) + what_to_do(error);
}

}  // namespace fettle::app
