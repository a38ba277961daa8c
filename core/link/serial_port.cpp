// Measured with libserialport 0.1.1 (Debian 12) on Linux 6.1: after an unplug its reads say "nothing there",
// sp_blocking_read at the full load of a core until its time is over; sp_input_waiting and writes alone tell.

#include <fcntl.h>
#include <libserialport.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <termios.h>

#include <algorithm>

#include "core/link/ports.hpp"
#include "core/link/system_error.hpp"

namespace fettle::link {

namespace {

constexpr unsigned k_write_ms = 1000;
constexpr int k_baud = 115200;  // nothing over USB; never 1200, which asks some boards for their loader

struct FreePort {
    void operator()(sp_port* port) const { sp_free_port(port); }
};
struct FreeEvents {
    void operator()(sp_event_set* events) const { sp_free_event_set(events); }
};

/// What the system said last, in the library's words.
std::string words() {
    char* said = sp_last_error_message();
    std::string text(said != nullptr ? said : "");
    sp_free_error_message(said);
    if (text.size() > k_words_max) text.resize(k_words_max);
    return text;
}

class SerialPort final : public Port {
public:
    SerialPort(std::string path, const Clock& clock) : path_(std::move(path)), clock_(clock) {}
    ~SerialPort() override;

    Status open();
    Status write(std::span<const std::uint8_t> bytes) override;
    Result<std::size_t> read(std::span<std::uint8_t> to, std::uint32_t wait_ms) override;
    std::uint64_t now_us() const override { return static_cast<std::uint64_t>(clock_.monotonic_us()); }

private:
    Unexpected cannot_open() const;
    Status take_alone();
    Status make_raw();
    Unexpected broke() const;

    std::string path_;
    const Clock& clock_;
    std::unique_ptr<sp_port, FreePort> port_;
    std::unique_ptr<sp_event_set, FreeEvents> events_;
    bool is_open_ = false;
    bool is_exclusive_ = false;
    int lock_ = -1;  ///< our own descriptor of it
};

SerialPort::~SerialPort() {
    if (is_open_) {
        // What the device did not take would hold the closing for 30 s (Linux, closing_wait of a tty).
        sp_flush(port_.get(), SP_BUF_OUTPUT);
        sp_set_dtr(port_.get(), SP_DTR_OFF);
        sp_close(port_.get());
    }
    // A tty that somebody else had open before stays; it must not stay closed to all others.
    if (is_exclusive_) ::ioctl(lock_, TIOCNXCL);
    if (lock_ >= 0) ::close(lock_);
}

Unexpected SerialPort::cannot_open() const {
    const int error = sp_last_error_code();
    std::string said = words();
    return fail(error == EBUSY ? Errc::in_use : why_not_open(path_, error), path_, std::move(said));
}

Status SerialPort::open() {
    sp_port* port = nullptr;
    if (sp_get_port_by_name(path_.c_str(), &port) != SP_OK)
        return fail(why_not_open(path_, 0), path_, "not a serial port");  // the library leaves no reason
    port_.reset(port);
    if (auto alone = take_alone(); !alone) return alone;
    if (sp_open(port, SP_MODE_READ_WRITE) != SP_OK) return cannot_open();
    is_open_ = true;
    // From here on nobody else of this user can open it; before, it would have kept the library out too.
    is_exclusive_ = ::ioctl(lock_, TIOCEXCL) == 0;
    if (!is_exclusive_) return cannot_open();
    if (auto raw = make_raw(); !raw) return raw;
    sp_event_set* events = nullptr;
    if (sp_new_event_set(&events) != SP_OK) return cannot_open();
    events_.reset(events);
    if (sp_add_port_events(events, port, SP_EVENT_RX_READY) != SP_OK) return cannot_open();
    if (sp_set_dtr(port, SP_DTR_ON) != SP_OK) return cannot_open();
    if (sp_flush(port, SP_BUF_BOTH) != SP_OK) return cannot_open();
    return Done{};
}

/// Before the library opens it, which sets it up anew: whoever holds it must not be disturbed. The lock is
/// for programs that lock; the tty's own flag keeps out others, but the administrator's, so it is asked too.
Status SerialPort::take_alone() {
    lock_ = ::open(path_.c_str(), O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (lock_ < 0) return cannot_open();
    int is_exclusive = 0;
    if (::ioctl(lock_, TIOCGEXCL, &is_exclusive) == 0 && is_exclusive != 0)
        return fail(Errc::in_use, path_, "opened exclusively");
    if (::flock(lock_, LOCK_EX | LOCK_NB) == 0) return Done{};
    if (errno == EWOULDBLOCK) return fail(Errc::in_use, path_, "its lock is held");
    return cannot_open();
}

Status SerialPort::make_raw() {
    sp_port* port = port_.get();
    if (sp_set_baudrate(port, k_baud) != SP_OK || sp_set_bits(port, 8) != SP_OK ||
        sp_set_parity(port, SP_PARITY_NONE) != SP_OK || sp_set_stopbits(port, 1) != SP_OK ||
        sp_set_flowcontrol(port, SP_FLOWCONTROL_NONE) != SP_OK)
        return cannot_open();
    termios now{};
    if (::tcgetattr(lock_, &now) != 0) return cannot_open();
    ::cfmakeraw(&now);
    now.c_cflag |= CLOCAL | CREAD | HUPCL;  // DTR falls at the last closing, a killed program's included
    now.c_cflag &= ~static_cast<tcflag_t>(CSTOPB | CRTSCTS);
    now.c_cc[VMIN] = 0;
    now.c_cc[VTIME] = 0;
    if (::tcsetattr(lock_, TCSANOW, &now) != 0) return cannot_open();
    return Done{};
}

/// Of a call on the open port that failed just now.
Unexpected SerialPort::broke() const {
    const int error = sp_last_error_code();
    std::string said = words();
    const bool is_gone = error == EIO || means_gone(error) || !is_there(path_);
    return fail(is_gone ? Errc::closed : Errc::io, path_, std::move(said));
}

/// One system call where the system has room, which is nearly always.
Status SerialPort::write(std::span<const std::uint8_t> bytes) {
    const int at_once = sp_nonblocking_write(port_.get(), bytes.data(), bytes.size());
    if (at_once == static_cast<int>(bytes.size())) return Done{};
    if (at_once < 0) return broke();
    bytes = bytes.subspan(static_cast<std::size_t>(at_once));
    const int put = sp_blocking_write(port_.get(), bytes.data(), bytes.size(), k_write_ms);
    if (put == static_cast<int>(bytes.size())) return Done{};
    if (put < 0) return broke();
    sp_flush(port_.get(), SP_BUF_OUTPUT);
    return fail(Errc::timed_out, path_, "the device takes no bytes");
}

/// Waits first: whoever reads mostly waits for an answer. Only a read that brought nothing is asked why.
Result<std::size_t> SerialPort::read(std::span<std::uint8_t> to, std::uint32_t wait_ms) {
    std::int64_t rest_us = std::int64_t{wait_ms} * 1000;
    const std::int64_t until_us = clock_.monotonic_us() + rest_us;
    for (;;) {
        // Rounded up: 0 would be for ever.
        if (rest_us > 0 && sp_wait(events_.get(), static_cast<unsigned>((rest_us + 999) / 1000)) != SP_OK)
            return broke();
        const int got = sp_nonblocking_read(port_.get(), to.data(), to.size());
        if (got > 0) return static_cast<std::size_t>(got);
        if (got < 0 || sp_input_waiting(port_.get()) < 0) return broke();
        rest_us = until_us - clock_.monotonic_us();
        if (rest_us <= 0) return std::size_t{0};
    }
}

}  // namespace

Result<std::unique_ptr<Port>> open_serial_port(const std::string& path, const Clock& clock) {
    auto port = std::make_unique<SerialPort>(path, clock);
    if (auto open = port->open(); !open) return open.failure();
    return std::unique_ptr<Port>(std::move(port));
}

}  // namespace fettle::link
