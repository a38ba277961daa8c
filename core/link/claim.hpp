#pragma once
// One program a device: a lock in a folder, let go by the system itself when its holder dies. It is not the
// device that is locked: hidraw knows no exclusive opening.

#include <string>

#include "core/base/result.hpp"

namespace fettle::link {

/// Held as long as the object lives. Thread: any, one at a time.
class Claim {
public:
    /// folder: made where it is missing, readable by its owner only. device: any text that tells devices
    /// apart (serial number and place). Errors: in_use (detail: the process id of who has it, as "process
    /// 1234", or "" when it cannot be told), those of make_folder, denied (the folder belongs to another
    /// user), io. A program that this one starts without exec shares the claim.
    static Result<Claim> take(const std::string& folder, const std::string& device);
    Claim() = default;  ///< holds nothing
    Claim(Claim&& other) noexcept;
    Claim& operator=(Claim&& other) noexcept;
    Claim(const Claim&) = delete;
    Claim& operator=(const Claim&) = delete;
    ~Claim();

    bool is_held() const { return fd_ >= 0; }

private:
    explicit Claim(int fd) : fd_(fd) {}
    int fd_ = -1;
};

}  // namespace fettle::link
