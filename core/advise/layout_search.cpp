#include "core/advise/layout_search.hpp"

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <limits>
#include <mutex>
#include <optional>
#include <system_error>
#include <thread>

#include "core/advise/annealing.hpp"
#include "core/advise/grid_cost.hpp"

namespace fettle::advise {

namespace {

constexpr std::uint64_t k_least_usual_swaps = 20'000;
constexpr std::uint64_t k_usual_work = 60'000'000;  // cells walked a run
constexpr int k_most_runs = 10'000;
constexpr auto k_look_every = std::chrono::milliseconds(50);

/// Neighbouring seeds give unlike runs. Source: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014 (the mixing of SplitMix64).
std::uint64_t mixed(std::uint64_t value) {
    value += 0x9E3779B97F4A7C15u;
    value = (value ^ (value >> 30)) * 0xBF58476D1CE4E5B9u;
    value = (value ^ (value >> 27)) * 0x94D049BB133111EBu;
    return value ^ (value >> 31);
}

struct Finished {
    std::vector<int> cells;
    std::uint64_t moves = 0, judged = 0;
};

/// What the caller's thread and the helper share.
class Runs {
public:
    Runs(const LayoutTask& task, const TextCounts& counts, const SearchSettings& settings)
        : task_(task),
          counts_(counts),
          seed_(settings.seed),
          field_(task.start, counts),
          finished_(static_cast<std::size_t>(settings.runs)) {
        for (std::size_t i = 0; i < task.is_fixed.size(); ++i)
            if (!task.is_fixed[i]) plan_.free_cells.push_back(i);
        plan_.swaps =
            settings.swaps_per_run != 0 ? settings.swaps_per_run : usual_swaps(task.start.cells.size());
    }

    /// Takes runs until none is left or somebody stopped. `look`: false stops all.
    void work(const std::function<bool()>& look) {
        while (!is_stopped_) {
            const std::size_t run = next_++;
            if (run >= finished_.size()) return;
            SwapField field = field_;
            Finished result;
            const bool is_whole =
                anneal(field, plan_, mixed(seed_ ^ mixed(run)), result.judged, [&](std::uint64_t judged) {
                    judged_ += judged;
                    if (!look()) is_stopped_ = true;
                    return !is_stopped_;
                });
            if (!is_whole) return;
            result.cells = field.cells();
            result.moves = moves_of(result.cells);
            finished_[run] = std::move(result);
        }
    }

    void stop() { is_stopped_ = true; }
    double done() const {
        const double all = static_cast<double>(plan_.swaps) * static_cast<double>(finished_.size());
        return all > 0 ? std::min(1.0, static_cast<double>(judged_) / all) : 1;
    }

    /// After all threads have ended. The first of equals: the same whoever ran it.
    SearchResult result() const {
        SearchResult result;
        result.layout = task_.start;
        std::uint64_t least = moves_of(task_.start.cells);
        const auto keep_better = [&](const std::vector<int>& cells) {
            if (const std::uint64_t moves = moves_of(cells); moves < least) {
                least = moves;
                result.layout.cells = cells;
            }
        };
        keep_better(alphabet_order(task_).cells);
        Weighed runs;
        const Estimate now = moves_per_character(task_.start, counts_);
        for (const auto& run : finished_) {
            if (!run) {
                result.is_complete = false;
                continue;
            }
            keep_better(run->cells);
            result.judged += run->judged;
            if (now.count > 0) runs.add(static_cast<double>(run->moves) / static_cast<double>(now.count), 1);
        }
        result.runs = runs.estimate();
        result.moves = moves_per_character(result.layout, counts_);
        return result;
    }

private:
    std::uint64_t moves_of(const std::vector<int>& cells) const {
        return total_moves({task_.start.rows, task_.start.columns, cells}, counts_);
    }

    const LayoutTask& task_;
    const TextCounts& counts_;
    const std::uint64_t seed_;
    const SwapField field_;
    AnnealingPlan plan_;
    std::atomic<std::size_t> next_{0};
    std::atomic<std::uint64_t> judged_{0};
    std::atomic<bool> is_stopped_{false};
    std::vector<std::optional<Finished>> finished_;  ///< each written by the thread that took it
};

/// A second thread that works too. None where the system has none to give: then the caller's works alone.
class Helper {
public:
    Helper(Runs& runs, bool is_wanted) {
        if (!is_wanted) return;
        is_busy_ = true;
        try {
            thread_ = std::thread([this, &runs] {
                runs.work([] { return true; });
                const std::lock_guard lock(mutex_);
                is_busy_ = false;
                ended_.notify_all();
            });
        } catch (const std::system_error&) {
            is_busy_ = false;
        }
    }
    Helper(const Helper&) = delete;
    Helper& operator=(const Helper&) = delete;
    ~Helper() {
        if (thread_.joinable()) thread_.join();
    }
    /// True when it has ended.
    bool wait_for(std::chrono::milliseconds time) {
        std::unique_lock lock(mutex_);
        return ended_.wait_for(lock, time, [this] { return !is_busy_; });
    }

private:
    std::mutex mutex_;
    std::condition_variable ended_;
    bool is_busy_ = false;
    std::thread thread_;
};

/// Asks the caller now and then, not at every look.
class Teller {
public:
    Teller(const Runs& runs, const SearchProgress& progress) : runs_(runs), progress_(progress) {}
    bool operator()() {
        if (!progress_) return true;
        const auto now = std::chrono::steady_clock::now();
        if (told_ && now - *told_ < k_look_every) return true;
        told_ = now;
        return progress_(runs_.done());
    }

private:
    const Runs& runs_;
    const SearchProgress& progress_;
    std::optional<std::chrono::steady_clock::time_point> told_;
};

}  // namespace

std::uint64_t usual_swaps(std::size_t cells) {
    return std::max(k_least_usual_swaps, k_usual_work / std::max<std::size_t>(1, cells));
}

Result<SearchResult> fewest_moves(const LayoutTask& task, const TextCounts& counts,
                                  const SearchSettings& settings, const SearchProgress& progress) {
    if (counts.alphabet != task.alphabet)
        return fail(Errc::mismatch, "counts", "counted over another alphabet than the grid's");
    if (settings.runs < 1 || settings.runs > k_most_runs)
        return fail(Errc::out_of_range, "runs", std::to_string(settings.runs) + ", allowed are 1 to 10000");
    if (settings.threads < 1 || settings.threads > 2)
        return fail(Errc::out_of_range, "threads",
                    std::to_string(settings.threads) + ", allowed are 1 and 2");
    Runs runs(task, counts, settings);
    Teller tell(runs, progress);
    {
        Helper helper(runs, settings.threads == 2 && settings.runs > 1);
        runs.work([&] { return tell(); });
        while (!helper.wait_for(k_look_every))
            if (!tell()) runs.stop();
    }
    return runs.result();
}

}  // namespace fettle::advise
