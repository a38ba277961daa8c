#pragma once
// A value or an error, as a value. Named like std::expected (C++23) so that it can become it.

#include <cstdlib>
#include <string>
#include <utility>
#include <variant>

namespace fettle {

/// What went wrong, as a machine reads it. Sentences for people are made in app/ from this.
enum class Errc {
    out_of_range,  ///< a number is outside its stated range
    wrong_type,    ///< a value has another JSON type than the one asked for
    unknown_key,   ///< a key that this version does not know
    missing_key,   ///< a key that must be there
    unknown_name,  ///< a reference to something that does not exist
    duplicate,     ///< something given twice that may be given once
    syntax,        ///< text that cannot be parsed
    version,       ///< a version that this program does not know
    too_large,     ///< does not fit where it has to go
    refused,       ///< a check found what could lock a person out
    not_found,     ///< no such file, device, profile
    denied,        ///< no right to do this
    no_access,     ///< a device that the system lets nobody but the administrator open: its rule is missing
    in_use,        ///< a device that another program holds open
    foreign,       ///< a device that runs something else
    busy,          ///< somebody else is using it, or a trial runs
    io,            ///< the operating system reported an error
    disk_full,     ///< no space left where it was to be written
    closed,        ///< the link is gone
    timed_out,     ///< no answer in time
    garbled,       ///< bytes that do not decode
    mismatch,      ///< read back differs from what was written
    unsupported,   ///< the other side cannot do this
    unproven,      ///< keep refused: the profile on trial was not used enough yet
    cancelled,     ///< the person stopped it
};

/// `where`: JSON path, file name, device, message. `detail`: value, and what is allowed or what the system
/// said.
struct Error {
    Errc code = Errc::io;
    std::string where;
    std::string detail;
    bool operator==(const Error&) const = default;
};

/// Wraps an Error so that it converts to any Result<T>.
struct Unexpected {
    Error error;
};

[[nodiscard]] inline Unexpected fail(Errc code, std::string where, std::string detail = {}) {
    return Unexpected{Error{code, std::move(where), std::move(detail)}};
}

/// Holds a T or an Error. Reading the wrong one is a bug of ours and aborts.
template <typename T>
class [[nodiscard]] Result {
public:
    Result(T value) : state_(std::in_place_index<0>, std::move(value)) {}
    Result(Unexpected failure) : state_(std::in_place_index<1>, std::move(failure.error)) {}

    [[nodiscard]] bool has_value() const { return state_.index() == 0; }
    explicit operator bool() const { return has_value(); }

    T& value() & { return *checked(std::get_if<0>(&state_)); }
    const T& value() const& { return *checked(std::get_if<0>(&state_)); }
    T&& value() && { return std::move(*checked(std::get_if<0>(&state_))); }
    T& operator*() & { return value(); }
    const T& operator*() const& { return value(); }
    T&& operator*() && { return std::move(*this).value(); }
    T* operator->() { return &value(); }
    const T* operator->() const { return &value(); }

    [[nodiscard]] const Error& error() const { return *checked(std::get_if<1>(&state_)); }
    /// The error again, to hand it up: `if (!r) return r.failure();`
    [[nodiscard]] Unexpected failure() const { return Unexpected{error()}; }

private:
    template <typename P>
    static P* checked(P* held) {
        if (held == nullptr) std::abort();
        return held;
    }
    std::variant<T, Error> state_;
};

struct Done {
    bool operator==(const Done&) const = default;
};
/// For work that gives nothing but may fail.
using Status = Result<Done>;

}  // namespace fettle
