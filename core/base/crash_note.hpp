#pragma once
// A crash leaves a short note beside the log, for the next start to tell the person about.

#include <optional>
#include <string>

#include "core/base/result.hpp"

namespace fettle {

/// From now on SIGSEGV, SIGBUS, SIGFPE, SIGILL and SIGABRT write `folder`/crash-note.txt (mode 0600):
/// version, build, signal, time, the doing that was named last. Then the signal does what it did before. The
/// note has no usages, no text, no names. Thread: call once, from the main thread, before others start.
/// Errors: too_large (a path of more than 4000 bytes), io.
[[nodiscard]] Status install_crash_note(const std::string& folder);

/// What the program does now, for the note. `doing` must live as long as the program: a literal. Thread: any.
void name_crash_doing(const char* doing);

/// The note that an earlier run left, which is removed. Nothing when there is none.
[[nodiscard]] std::optional<std::string> take_crash_note(const std::string& folder);

}  // namespace fettle
