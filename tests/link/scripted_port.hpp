#pragma once
// A port whose other end is a script: bytes that arrive at stated times.

#include <algorithm>
#include <deque>
#include <functional>
#include <optional>
#include <vector>

#include "core/link/port.hpp"

namespace fettle::test {

using Bytes = std::vector<std::uint8_t>;

/// One arrival a read, like a report; `is_stream`: a read takes what fits, the rest stays.
class ScriptedPort : public link::Port {
public:
    struct Arrival {
        std::uint64_t at_us = 0;
        Bytes bytes;
    };
    /// What arrives as long as it is asked; nothing: what `arrivals` has.
    using Source = std::function<std::optional<Arrival>(std::uint64_t now_us)>;

    bool is_stream = false;
    std::deque<Arrival> arrivals;
    Source source;
    std::uint32_t longest_wait_ms = 1000000;  ///< a read comes back empty after it, as after a signal
    std::uint64_t read_us = 0;                ///< what a read takes
    std::optional<Error> failure;             ///< what reads and writes say instead
    std::vector<Bytes> written;
    int reads = 0;

    void arrive(Bytes bytes, std::uint64_t at_us = 0) { arrivals.push_back({at_us, std::move(bytes)}); }

    Status write(std::span<const std::uint8_t> bytes) override {
        if (failure) return Unexpected{*failure};
        written.emplace_back(bytes.begin(), bytes.end());
        return Done{};
    }
    Result<std::size_t> read(std::span<std::uint8_t> to, std::uint32_t wait_ms) override {
        ++reads;
        if (failure) return Unexpected{*failure};
        now_us_ += read_us;
        if (arrivals.empty() && source)
            if (auto more = source(now_us_)) arrivals.push_back(std::move(*more));
        const std::uint64_t until_us = now_us_ + std::uint64_t{std::min(wait_ms, longest_wait_ms)} * 1000;
        if (arrivals.empty() || arrivals.front().at_us > until_us) {
            now_us_ = until_us;
            return std::size_t{0};
        }
        Arrival& next = arrivals.front();
        now_us_ = std::max(now_us_, next.at_us);
        const std::size_t count = std::min(next.bytes.size(), to.size());
        std::copy_n(next.bytes.begin(), count, to.begin());
        next.bytes.erase(next.bytes.begin(), next.bytes.begin() + static_cast<std::ptrdiff_t>(count));
        if (next.bytes.empty() || !is_stream) arrivals.pop_front();
        return count;
    }
    std::uint64_t now_us() const override { return now_us_; }

private:
    std::uint64_t now_us_ = 0;
};

}  // namespace fettle::test
