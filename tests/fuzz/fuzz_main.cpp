// One target for libFuzzer: FETTLE_FUZZ_TARGET is its function.

#include "tests/fuzz/targets.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t count) {
    fettle::fuzz::FETTLE_FUZZ_TARGET(fettle::fuzz::Input(bytes, count));
    return 0;
}
