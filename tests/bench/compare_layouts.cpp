// The layout search against the best of 100 long runs: a 40-key grid, laid out for the English text that
// Debian carries. Run by hand: compare_layouts [swaps of a long run] [long runs]. Exit 1 when the usual
// search was more than 2 % behind, or took 10 s or longer.
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "core/advise/code_bounds.hpp"
#include "core/advise/grid_cost.hpp"
#include "core/advise/layout_search.hpp"
#include "core/advise/running_text.hpp"

namespace {

using namespace fettle::advise;

constexpr std::uint64_t k_long_swaps = 20'000'000;
constexpr int k_long_runs = 100;
constexpr double k_most_behind = 1.02, k_most_seconds = 10;

fettle::profile::Grid forty_keys() {
    fettle::profile::Grid grid;
    for (const char c : std::string("abcdefghijklmnopqrstuvwxyz 0123456789.,-")) {
        if (grid.rows.empty() || grid.rows.back().size() == 8) grid.rows.emplace_back();
        grid.rows.back().push_back(std::string(1, c));
    }
    return grid;
}

struct Timed {
    SearchResult result;
    double seconds = 0;
};

Timed searched(const LayoutTask& task, const TextCounts& counts, const SearchSettings& settings) {
    const auto start = std::chrono::steady_clock::now();
    auto found = fewest_moves(task, counts, settings);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    return {found.value(), took.count()};
}

void print(const char* what, const Timed& timed) {
    std::printf("%-8s %.5f moves a character; %llu runs %.5f +- %.5f; %llu swaps judged in %.2f s\n", what,
                timed.result.moves.mean, static_cast<unsigned long long>(timed.result.runs.count),
                timed.result.runs.mean, timed.result.runs.sd,
                static_cast<unsigned long long>(timed.result.judged), timed.seconds);
}

void print_rows(const LayoutTask& task, const GridLayout& layout) {
    for (std::size_t i = 0; i < layout.cells.size(); ++i) {
        const char32_t c = task.alphabet[static_cast<std::size_t>(layout.cells[i])];
        std::printf("%s%c", i % 8 == 0 ? "\n    " : " ", c == U' ' ? '_' : static_cast<char>(c));
    }
    std::printf("\n");
}

}  // namespace

int main(int argc, char** argv) {
    const std::uint64_t swaps = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : k_long_swaps;
    const int runs = argc > 2 ? std::atoi(argv[2]) : k_long_runs;
    const auto task = layout_task(forty_keys(), {});
    const auto text = read_running_text(text_place("en")->folder);
    if (!task || !text) return 2;
    TextCounts counts = no_counts(task->alphabet);
    for (const std::string& one : text->texts)
        if (!add_text(counts, one)) return 2;
    std::printf("text     %llu pairs; information %.5f bit, after another %.5f bit; %.5f presses at least\n",
                static_cast<unsigned long long>(counts.pairs), letter_information(counts).mean,
                letter_information_after(counts).mean, least_presses_per_character(counts).mean);
    std::printf("alphabet %.5f moves a character\n", moves_per_character(alphabet_order(*task), counts).mean);
    double slowest = 0, worst = 0;
    std::vector<Timed> usual;
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        usual.push_back(searched(*task, counts, {.seed = seed}));
        print("usual", usual.back());
        slowest = std::max(slowest, usual.back().seconds);
        worst = std::max(worst, usual.back().result.moves.mean);
    }
    const Timed best = searched(*task, counts, {.seed = 1000, .runs = runs, .swaps_per_run = swaps});
    print("long", best);
    print_rows(*task, best.result.layout);
    const double behind = worst / best.result.moves.mean;
    std::printf("worst usual / best long: %.5f; slowest usual %.2f s\n", behind, slowest);
    return behind <= k_most_behind && slowest < k_most_seconds ? 0 : 1;
}
