#pragma once
// A disk under SQLite that fails, is killed or loses its power at a chosen step: a shim over the system's own
// VFS, the default one for as long as it lives. Steps are what changes the disk: writes, cuts, syncs,
// removals, and making a file. They count from 0. Source: SQLite's "The SQLite OS Interface or VFS"
// (sqlite3.h). Thread: one. One at a time.

#include <memory>

namespace fettle::test {

enum class Cut {
    none,          ///< only counts
    fails_once,    ///< this step gives `error`, the next ones work again
    fails_on,      ///< this step and all later ones give `error`
    fails_late,    ///< a removal is made, then gives `error`; other steps work
    kill,          ///< the process ends before the step; the disk has all that was written
    half_kill,     ///< as kill, but of a write the first half is made
    power,         ///< the process ends before the step; the disk has what was synced, nothing else
    power_in_part  ///< as power, but every second write that was not synced is there nevertheless
};

class CutDisk {
public:
    /// error: a result code of SQLite, for the steps that fail. No real sync is made: that would only be
    /// slow.
    explicit CutDisk(Cut cut, int at_step = 0, int error = 0);
    ~CutDisk();
    CutDisk(const CutDisk&) = delete;
    CutDisk& operator=(const CutDisk&) = delete;

    /// The process ends here; the disk has what was synced, names of files included, and nothing else.
    [[noreturn]] void lose_power_now();

    struct State;

private:
    std::unique_ptr<State> state_;
};

}  // namespace fettle::test
