#include "core/link/claim.hpp"

#include <fcntl.h>
#include <signal.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <charconv>
#include <utility>

#include "core/base/files.hpp"

namespace fettle::link {

namespace {

constexpr std::size_t k_readable_max = 40;
constexpr int k_file_mode = 0600;
constexpr mode_t k_folder_mode = 0700;

/// Closes a descriptor that nobody took over.
class Descriptor {
public:
    explicit Descriptor(int fd) : fd_(fd) {}
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    ~Descriptor() {
        if (fd_ >= 0) ::close(fd_);
    }
    int get() const { return fd_; }
    int release() { return std::exchange(fd_, -1); }

private:
    int fd_;
};

/// FNV-1a, 64 bit. Source: Fowler, Noll, Vo; draft-eastlake-fnv.
std::uint64_t hash(const std::string& text) {
    std::uint64_t value = 0xcbf29ce484222325u;
    for (const char c : text) value = (value ^ static_cast<unsigned char>(c)) * 0x100000001b3u;
    return value;
}

/// A name in the folder, whatever a stranger calls itself: a part for people to read, and the hash of all.
std::string file_name(const std::string& device) {
    std::string name;
    for (const char c : device.substr(0, k_readable_max)) {
        const bool is_plain =
            (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || c == '-';
        name += is_plain ? c : '_';
    }
    std::array<char, 16> digits{};
    const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), hash(device), 16).ptr;
    return name + "." + std::string(digits.data(), end) + ".lock";
}

/// Opened, ours, and readable by nobody else.
Result<int> open_folder(const std::string& folder) {
    if (auto made = make_folder(folder); !made) return made.failure();
    Descriptor fd(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC));
    struct stat about {};
    if (fd.get() < 0 || ::fstat(fd.get(), &about) != 0) return file_failure(-errno, folder);
    if (about.st_uid != ::geteuid()) return fail(Errc::denied, folder, "it belongs to another user");
    if ((about.st_mode & 07777) != k_folder_mode && ::fchmod(fd.get(), k_folder_mode) != 0)
        return file_failure(-errno, folder);
    return fd.release();
}

/// "process 1234", or "" when the file does not say who has the lock, or names one that lives no more: it was
/// killed, and who has the lock now has not written yet.
std::string holder(int fd) {
    std::array<char, 16> text{};
    const ssize_t got = ::pread(fd, text.data(), text.size(), 0);
    pid_t pid = 0;
    if (got <= 0) return "";
    const auto [end, error] = std::from_chars(text.data(), text.data() + got, pid);
    if (error != std::errc() || pid <= 0 || end == text.data() + got || *end != '\n') return "";
    if (::kill(pid, 0) != 0 && errno == ESRCH) return "";
    return "process " + std::to_string(pid);
}

int write_own_pid(int fd) {
    const std::string text = std::to_string(::getpid()) + "\n";
    if (::ftruncate(fd, 0) != 0) return -errno;
    const ssize_t put = ::pwrite(fd, text.data(), text.size(), 0);
    if (put < 0) return -errno;
    return static_cast<std::size_t>(put) == text.size() ? 0 : -ENOSPC;
}

}  // namespace

Result<Claim> Claim::take(const std::string& folder, const std::string& device) {
    auto opened = open_folder(folder);
    if (!opened) return opened.failure();
    const Descriptor inside(*opened);
    const std::string name = file_name(device);
    // The file stays when the claim ends: removing it would let two hold a lock, on the old file and the new.
    Descriptor fd(::openat(inside.get(), name.c_str(), O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK,
                           k_file_mode));
    if (fd.get() < 0) return file_failure(-errno, folder + "/" + name);
    if (::flock(fd.get(), LOCK_EX | LOCK_NB) != 0) {
        if (errno == EWOULDBLOCK) return fail(Errc::in_use, device, holder(fd.get()));
        return file_failure(-errno, folder + "/" + name);
    }
    if (const int error = write_own_pid(fd.get()); error < 0) return file_failure(error, folder + "/" + name);
    return Claim(fd.release());
}

Claim::Claim(Claim&& other) noexcept : fd_(std::exchange(other.fd_, -1)) {}

Claim& Claim::operator=(Claim&& other) noexcept {
    std::swap(fd_, other.fd_);
    Claim old(std::move(other));
    return *this;
}

Claim::~Claim() {
    if (fd_ < 0) return;
    // Nobody is named who has it no more. Should this fail, holder() sees that.
    [[maybe_unused]] const int emptied = ::ftruncate(fd_, 0);
    ::close(fd_);
}

}  // namespace fettle::link
