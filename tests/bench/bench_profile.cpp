// The host's work on a profile document, for each profile in assets: reading, checking, compiling.
#include <benchmark/benchmark.h>

#include <filesystem>
#include <iostream>
#include <string>

#include "core/base/files.hpp"
#include "core/profile/check.hpp"
#include "core/profile/document.hpp"
#include "core/profile/image_compile.hpp"
#include "core/profile/layout.hpp"

namespace fettle::profile {
namespace {

constexpr size_t k_limit_bytes = 1 << 20;

void parse_document(benchmark::State& state, const std::string& text) {
    for (auto _ : state) benchmark::DoNotOptimize(parse(text));
    state.SetBytesProcessed(static_cast<int64_t>(state.iterations()) * static_cast<int64_t>(text.size()));
}

void check_profile(benchmark::State& state, const Profile& profile, const StrokeSource& strokes) {
    for (auto _ : state) benchmark::DoNotOptimize(check(profile, &strokes));
}

void compile_profile(benchmark::State& state, const Profile& profile, const StrokeSource& strokes) {
    for (auto _ : state) benchmark::DoNotOptimize(compile(profile, strokes));
}

/// False when a profile of ours could not be read.
bool add(const std::filesystem::path& path) {
    const auto text = read_file(path.string(), k_limit_bytes);
    if (!text) return false;
    const auto profile = parse(text.value());
    if (!profile) return false;
    auto layout = XkbLayout::load(profile.value().keyboard_layout);
    if (!layout) return false;
    const std::string name = path.stem().string();
    // Benchmarks run after this returned, so each keeps what it works on.
    const std::shared_ptr<StrokeSource> strokes = std::move(layout).value();
    benchmark::RegisterBenchmark((name + "/parse").c_str(), [text = text.value()](benchmark::State& state) {
        parse_document(state, text);
    });
    benchmark::RegisterBenchmark(
        (name + "/check").c_str(),
        [p = profile.value(), strokes](benchmark::State& state) { check_profile(state, p, *strokes); });
    benchmark::RegisterBenchmark(
        (name + "/compile").c_str(),
        [p = profile.value(), strokes](benchmark::State& state) { compile_profile(state, p, *strokes); });
    return true;
}

}  // namespace
}  // namespace fettle::profile

int main(int argc, char** argv) {
    for (const auto& entry : std::filesystem::directory_iterator(FETTLE_ROOT "/assets/profiles")) {
        if (entry.path().extension() == ".json" && !fettle::profile::add(entry.path())) {
            std::cerr << entry.path() << " could not be read\n";
            return 1;
        }
    }
    benchmark::Initialize(&argc, argv);
    benchmark::RunSpecifiedBenchmarks();
    return 0;
}
