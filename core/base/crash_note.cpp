#include "core/base/crash_note.hpp"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <array>
#include <atomic>

#include "core/base/files.hpp"
#include "core/base/version.hpp"

namespace fettle {

namespace {

constexpr const char* k_note_name = "/crash-note.txt";
constexpr std::array k_signals = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT};

// The handler may touch nothing but these: it runs at any instruction.
std::array<char, 4096> g_path{};
std::array<char, 65536> g_stack{};  // the usual one may be what overflowed
std::atomic<const char*> g_doing{"starting"};

// Only async-signal-safe calls from here on (signal-safety(7)): open, write, close, time, raise, strlen.
void put_text(int handle, const char* text) {
    const ssize_t ignored = ::write(handle, text, ::strlen(text));
    static_cast<void>(ignored);  // nothing can be done about it here
}

void put_number(int handle, unsigned long number) {
    std::array<char, 24> digits{};
    size_t at = digits.size() - 1;
    do {
        digits[--at] = static_cast<char>('0' + number % 10);
        number /= 10;
    } while (number != 0);
    put_text(handle, &digits[at]);
}

extern "C" void write_crash_note(int signal_number) {
    const int handle = ::open(g_path.data(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (handle >= 0) {
        put_text(handle, "fettle ");
        put_text(handle, k_version);
        put_text(handle, " build ");
        put_text(handle, k_build);
        put_text(handle, "\nended by signal ");
        put_number(handle, static_cast<unsigned long>(signal_number));
        put_text(handle, "\nseconds since 1970 ");
        put_number(handle, static_cast<unsigned long>(::time(nullptr)));
        put_text(handle, "\nwhile ");
        put_text(handle, g_doing.load());
        put_text(handle, "\n");
        ::close(handle);
    }
    // The handler was installed for one time only: the signal now ends the program as it would have.
    ::raise(signal_number);
}

}  // namespace

Status install_crash_note(const std::string& folder) {
    const std::string path = folder + k_note_name;
    if (path.size() >= g_path.size()) return fail(Errc::too_large, folder, "path of more than 4000 bytes");
    const Status made = make_folder(folder);
    if (!made) return made;
    ::memcpy(g_path.data(), path.c_str(), path.size() + 1);

    stack_t stack{};
    stack.ss_sp = g_stack.data();
    stack.ss_size = g_stack.size();
    if (::sigaltstack(&stack, nullptr) != 0) return file_failure(-errno, "sigaltstack");
    for (const int number : k_signals) {
        struct sigaction action {};
        action.sa_handler = write_crash_note;
        action.sa_flags = static_cast<int>(SA_RESETHAND | SA_ONSTACK | SA_NODEFER);
        ::sigemptyset(&action.sa_mask);
        if (::sigaction(number, &action, nullptr) != 0) return file_failure(-errno, "sigaction");
    }
    return Done{};
}

void name_crash_doing(const char* doing) {
    g_doing.store(doing);
}

std::optional<std::string> take_crash_note(const std::string& folder) {
    const std::string path = folder + k_note_name;
    const auto note = read_file(path, 4096);
    if (!note) return std::nullopt;
    system_files().remove(path);
    return note.value();
}

}  // namespace fettle
