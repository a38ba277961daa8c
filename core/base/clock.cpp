#include "core/base/clock.hpp"

#include <chrono>

namespace fettle {

int64_t SystemClock::monotonic_us() const {
    using namespace std::chrono;
    return duration_cast<microseconds>(steady_clock::now().time_since_epoch()).count();
}

int64_t SystemClock::calendar_ms() const {
    using namespace std::chrono;
    return duration_cast<milliseconds>(system_clock::now().time_since_epoch()).count();
}

}  // namespace fettle
