#pragma once
// A program without a process: a command line in, what it printed and gave back out. The state folder is a
// temporary one and the clock stands still, so the simulated device lives from run to run as it does for a
// person, in no time at all.

#include <functional>
#include <string>
#include <vector>

#include "app/program.hpp"
#include "core/base/clock.hpp"
#include "tests/base/folder.hpp"

namespace fettle::app::test {

struct Run {
    int exit = -1;
    std::string out, err;
};

class Rig {
public:
    /// Runs `fettle WORDS...`; `typed` is its standard input. Each line of it takes `typing_ms` of the clock.
    Run run(const std::vector<std::string>& words, const std::string& typed = {}, int typing_ms = 0);
    /// The same; the answer without line breaks, indentation and the space after each colon.
    std::string json(const std::vector<std::string>& words);

    std::string put(const std::string& name, const std::string& content) const;
    std::string content(const std::string& path) const;
    /// A copy of a demo profile that a test may change.
    std::string copy_of(const std::string& profile) const;

    std::function<bool()> has_typed;     ///< as Console has it
    DeviceWorld* world = nullptr;        ///< what is attached; nullptr: nothing
    FakeClock clock{1'767'603'600'000};  // 2026-01-05 09:00 UTC
    fettle::test::Folder folder;
};

/// assets/profiles/NAME.json
std::string demo_profile(const std::string& name);

std::size_t count(const std::string& text, const std::string& part);
bool has(const std::string& text, const std::string& part);
/// `text` with the first `from` made `to`; a test that changes nothing ends there.
std::string with(const std::string& text, const std::string& from, const std::string& to);

}  // namespace fettle::app::test
