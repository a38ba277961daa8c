// The main() of the programs that run in the guest: prints each case as it begins and as it ends, and can
// start itself as another process that a case needs.

#define DOCTEST_CONFIG_IMPLEMENT
#include <doctest/doctest.h>

#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <cstring>

#include "tests/rig_kernel/rig.hpp"

namespace {

using doctest::TestCaseData;
using std::chrono::steady_clock;

/// Beside doctest's own reporter, which says what failed.
class Narrator final : public doctest::IReporter {
public:
    explicit Narrator(const doctest::ContextOptions&) {}
    void test_case_start(const TestCaseData& data) override {
        begin_ = steady_clock::now();
        std::printf("case: %s ...\n", data.m_name);
        std::fflush(stdout);
        name_ = data.m_name;
    }
    void test_case_end(const doctest::CurrentTestCaseStats& stats) override {
        const auto took = std::chrono::duration_cast<std::chrono::milliseconds>(steady_clock::now() - begin_);
        std::printf("case: %s ... %s (%lld ms)\n", name_, stats.failure_flags == 0 ? "passed" : "FAILED",
                    static_cast<long long>(took.count()));
        std::fflush(stdout);
    }
    void report_query(const doctest::QueryData&) override {}
    void test_run_start() override {}
    void test_run_end(const doctest::TestRunStats&) override {}
    void test_case_reenter(const TestCaseData&) override {}
    void test_case_exception(const doctest::TestCaseException&) override {}
    void subcase_start(const doctest::SubcaseSignature&) override {}
    void subcase_end() override {}
    void log_assert(const doctest::AssertData&) override {}
    void log_message(const doctest::MessageData&) override {}
    void test_case_skipped(const TestCaseData&) override {}

private:
    steady_clock::time_point begin_{};
    const char* name_ = "";
};

}  // namespace

REGISTER_LISTENER("narrator", 1, Narrator);

int main(int argc, char** argv) {
    setvbuf(stdout, nullptr, _IOLBF, 0);
    if (argc > 2 && std::strcmp(argv[1], "--as") == 0)
        return fettle::rig::run_as(argv[2], {argv + 3, argv + argc});
    if (fettle::rig::place_of_port(0).empty()) {
        std::fputs("no vhci controller here: this runs in the guest of boot.sh\n", stderr);
        return 2;
    }
    doctest::Context context(argc, argv);
    context.setOption("no-version", true);
    context.setOption("no-colors", true);
    return context.run();
}
