#pragma once
// A bounded queue from one thread to one other. What does not fit is counted, never waited for.

#include <array>
#include <atomic>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <type_traits>

namespace fettle {

/// Thread: one producer calls `push`, one consumer calls `pop`; `lost` and `size` from either.
/// Capacity: a power of two. When it is full the newest item is refused and counted: the consumer sees an
/// unbroken beginning and then a gap whose length `lost` tells.
template <typename T, size_t Capacity>
class Ring {
    static_assert(Capacity != 0 && (Capacity & (Capacity - 1)) == 0, "a power of two");
    static_assert(std::is_trivially_copyable_v<T>, "items are copied while the other thread runs");

public:
    Ring() = default;
    Ring(const Ring&) = delete;
    Ring& operator=(const Ring&) = delete;

    /// False when it was full: then `lost` has grown by one.
    bool push(const T& item) {
        const size_t head = head_.load(std::memory_order_relaxed);
        if (head - tail_.load(std::memory_order_acquire) == Capacity) {
            lost_.fetch_add(1, std::memory_order_relaxed);
            return false;
        }
        items_[head & (Capacity - 1)] = item;
        head_.store(head + 1, std::memory_order_release);
        return true;
    }

    [[nodiscard]] std::optional<T> pop() {
        const size_t tail = tail_.load(std::memory_order_relaxed);
        if (tail == head_.load(std::memory_order_acquire)) return std::nullopt;
        const T item = items_[tail & (Capacity - 1)];
        tail_.store(tail + 1, std::memory_order_release);
        return item;
    }

    /// Items that were refused since the ring was made.
    [[nodiscard]] uint64_t lost() const { return lost_.load(std::memory_order_relaxed); }

    /// Items waiting: exact for the calling side, at most out of date by what the other side just did.
    [[nodiscard]] size_t size() const {
        const size_t tail = tail_.load(std::memory_order_acquire);
        return head_.load(std::memory_order_acquire) - tail;
    }

private:
    // Apart by a cache line, so that the two threads do not slow each other.
    alignas(64) std::atomic<size_t> head_{0};
    alignas(64) std::atomic<size_t> tail_{0};
    alignas(64) std::atomic<uint64_t> lost_{0};
    std::array<T, Capacity> items_{};
};

}  // namespace fettle
