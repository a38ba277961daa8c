#include "core/link/hid_port.hpp"

// hidapi keeps what went wrong with a device beside its handle and without a lock: one thread uses one
// handle. Measured with hidapi 0.13.1 (Debian 12) on Linux 6.1: how it fails is said where it is dealt with.

#include <errno.h>
#include <fcntl.h>
#include <hidapi.h>
#include <linux/hidraw.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cwchar>
#include <limits>
#include <system_error>

#include "core/link/ports.hpp"
#include "core/link/system_error.hpp"
#include "core/wire/message.hpp"

namespace fettle::link {

namespace {

constexpr int k_reports_kept = 63;

struct CloseDevice {
    void operator()(hid_device* device) const { hid_close(device); }
};
using Handle = std::unique_ptr<hid_device, CloseDevice>;

/// What the library says, its characters beyond ASCII as '?'. device: nullptr for an opening that failed.
std::string words(hid_device* device) {
    const wchar_t* said = hid_error(device);
    std::string text;
    for (; said != nullptr && *said != L'\0' && text.size() < k_words_max; ++said)
        text += *said >= L' ' && *said <= L'~' ? static_cast<char>(*said) : '?';
    return text;
}

class HidPort final : public Port {
public:
    HidPort(Handle device, std::string path, const Clock& clock)
        : device_(std::move(device)), path_(std::move(path)), clock_(clock) {}

    Status write(std::span<const std::uint8_t> bytes) override;
    Result<std::size_t> read(std::span<std::uint8_t> to, std::uint32_t wait_ms) override;
    std::uint64_t now_us() const override { return static_cast<std::uint64_t>(clock_.monotonic_us()); }
    void drain();

private:
    Handle device_;
    std::string path_;
    const Clock& clock_;
};

Status HidPort::write(std::span<const std::uint8_t> bytes) {
    errno = 0;
    const int put = hid_write(device_.get(), bytes.data(), bytes.size());
    const int error = errno;
    if (put == static_cast<int>(bytes.size())) return Done{};
    if (put >= 0) return fail(Errc::io, path_, "a report was taken in part");
    // The device did not take it within Linux's 5 s for an interrupt transfer.
    if (error == ETIMEDOUT) return fail(Errc::timed_out, path_, words(device_.get()));
    // While the bus still fails it is a protocol error, then there is no such device.
    const bool is_gone = error == EPROTO || means_gone(error) || !is_there(path_);
    return fail(is_gone ? Errc::closed : Errc::io, path_, words(device_.get()));
}

Result<std::size_t> HidPort::read(std::span<std::uint8_t> to, std::uint32_t wait_ms) {
    constexpr auto k_longest = static_cast<std::uint32_t>(std::numeric_limits<int>::max());
    errno = 0;
    const int got =
        hid_read_timeout(device_.get(), to.data(), to.size(), static_cast<int>(std::min(wait_ms, k_longest)));
    if (got >= 0) return static_cast<std::size_t>(got);
    if (errno == EINTR) return std::size_t{0};  // a signal came: whoever waits asks again
    return fail(Errc::closed, path_, words(device_.get()));
}

void HidPort::drain() {
    std::array<std::uint8_t, wire::k_hid_report_bytes> old{};
    for (int i = 0; i < k_reports_kept; ++i)
        if (hid_read_timeout(device_.get(), old.data(), old.size(), 0) <= 0) return;
}

/// hidapi 0.13.1 uses memory that it freed when a node opens and is no hidraw one (and could still, when the
/// device leaves between its opening and its first question). So the node is asked before.
Status ask_node(const std::string& path) {
    const auto refused = [&](Errc code) { return fail(code, path, std::generic_category().message(errno)); };
    const int fd = ::open(path.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0) return refused(why_not_open(path, errno));
    int bytes = 0;
    const bool is_hidraw = ::ioctl(fd, HIDIOCGRDESCSIZE, &bytes) >= 0;
    const int error = errno;
    ::close(fd);
    errno = error;
    if (is_hidraw) return Done{};
    return refused(error == ENODEV ? Errc::not_found : Errc::io);
}

}  // namespace

std::unique_ptr<Port> hid_port_over(hid_device* device, const std::string& path, const Clock& clock) {
    auto port = std::make_unique<HidPort>(Handle(device), path, clock);
    port->drain();
    return port;
}

Result<std::unique_ptr<Port>> open_hid_port(const std::string& path, const Clock& clock) {
    if (auto asked = ask_node(path); !asked) return asked.failure();
    errno = 0;
    Handle device(hid_open_path(path.c_str()));
    const int error = errno;
    if (device == nullptr) return fail(why_not_open(path, error), path, words(nullptr));
    return hid_port_over(device.release(), path, clock);
}

}  // namespace fettle::link
