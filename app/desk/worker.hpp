#pragma once
// Files, database, long computations: done on a thread of their own, their results handed over on the
// window's.

#include <cstddef>
#include <functional>
#include <memory>
#include <string>

namespace fettle::app {

/// Asked now and then by a long job; true: stop, nothing changed.
using Cancelled = std::function<bool()>;

class Worker {
public:
    virtual ~Worker() = default;
    /// work runs elsewhere and gives what runs on the window's thread in deliver(). In order, one at a time.
    /// title: what is shown while it runs.
    virtual void post(std::string title, std::function<std::function<void()>(const Cancelled&)> work) = 0;
    /// Runs what has been finished. The window's thread, once a frame.
    virtual void deliver() = 0;
    /// Title of what runs or waits, "" when idle.
    virtual std::string running() const = 0;
    /// The job that runs; those that wait are not touched.
    virtual void cancel() = 0;
};

/// A job that throws is a bug of ours. what: its title and what was thrown. Called in deliver(). Empty: said
/// on the standard error stream.
using JobBug = std::function<void(const std::string& what)>;

/// Works in deliver(), in the calling thread: for tests.
std::unique_ptr<Worker> make_inline_worker(JobBug bug = {});
/// wake: called from its thread when something is finished; must only post an event. Its destructor waits for
/// everything that was posted (a save is not lost), telling long jobs to stop; their results are not
/// delivered.
std::unique_ptr<Worker> make_thread_worker(std::function<void()> wake, JobBug bug = {});

}  // namespace fettle::app
