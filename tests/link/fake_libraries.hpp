#pragma once
// hidapi and libserialport as a test wants them: the functions that the ports call, with scripted results.
// Linked into a binary of their own, where they stand before the real ones.

#include <cstdint>
#include <deque>
#include <string>
#include <vector>

namespace fettle::test {

struct Answer {
    int result = 0;
    int error = 0;  ///< errno
    std::vector<std::uint8_t> bytes{};
};

struct FakeLibraries {
    std::deque<Answer> answers;      ///< of hid_write, hid_read_timeout and libserialport's reads and writes
    Answer otherwise{};              ///< when there are none left
    std::deque<Answer> waiting;      ///< of sp_input_waiting; none: 0
    std::vector<std::string> calls;  ///< names, with what matters of their arguments
    std::wstring words = L"words";
    int failing = -1;  ///< which of the calls that open a serial port fails, from 0
    int failing_errno = 0;
    int opening_calls = 0;
    std::int64_t* clock_us = nullptr;  ///< set on by an sp_wait while no answer is left: nothing comes

    Answer next();
    int count(const std::string& call) const;
};
FakeLibraries& libraries();

/// Anything that is not nullptr.
template <typename Handle>
Handle* handle() {
    static char place = 0;
    return reinterpret_cast<Handle*>(&place);
}

}  // namespace fettle::test
