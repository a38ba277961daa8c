#pragma once
// What the system's error numbers mean for a device node. Shared by the ports, and by nobody else.

#include <errno.h>
#include <unistd.h>

#include <string>

#include "core/base/result.hpp"

namespace fettle::link {

/// A library's words are kept up to here.
constexpr std::size_t k_words_max = 200;

inline bool is_there(const std::string& path) {
    return ::access(path.c_str(), F_OK) == 0;
}

/// Of a call on a node that was open.
inline bool means_gone(int error) {
    return error == ENODEV || error == ENXIO || error == ESHUTDOWN;
}

/// Why a node could not be opened. error: the errno that the library left behind, or 0; what the node itself
/// says is asked first, because libraries leave old ones. in_use is the caller's to find out.
inline Errc why_not_open(const std::string& path, int error) {
    const int node = ::access(path.c_str(), R_OK | W_OK) == 0 ? error : errno;
    switch (node) {
        case ENOENT:
        case ENOTDIR:
        case ENODEV:
        case ENXIO: return Errc::not_found;
        case EACCES:
        case EPERM: return Errc::no_access;
        default: return Errc::io;
    }
}

}  // namespace fettle::link
