#include "core/base/ring.hpp"

#include <doctest/doctest.h>

#include <deque>
#include <thread>
#include <vector>

namespace fettle {
namespace {

TEST_CASE("ring: 4 places take 4 items in order, the 5th is refused and counted") {
    Ring<int, 4> ring;
    for (int n = 1; n <= 4; ++n) CHECK(ring.push(n));
    CHECK_FALSE(ring.push(5));
    CHECK(ring.lost() == 1);
    CHECK(ring.size() == 4);
    for (int n = 1; n <= 4; ++n) CHECK(ring.pop() == n);
    CHECK_FALSE(ring.pop().has_value());
    CHECK(ring.size() == 0);
    CHECK(ring.push(6));
    CHECK(ring.pop() == 6);
    CHECK(ring.lost() == 1);
}

TEST_CASE("ring: 100,000 pushes and pops in changing bursts equal a plain queue") {
    Ring<uint32_t, 16> ring;
    std::deque<uint32_t> model;
    uint64_t model_lost = 0;
    uint32_t seed = 12345;
    bool is_equal = true;
    for (uint32_t n = 0; n < 100000; ++n) {
        seed = seed * 1664525u + 1013904223u;  // Numerical Recipes' constants, from memory; any would do
        if ((seed >> 24) % 2 == 0) {
            const bool fits = model.size() < 16;
            if (fits) model.push_back(n);
            model_lost += uint64_t{!fits};
            is_equal = is_equal && ring.push(n) == fits;
        } else {
            const auto item = ring.pop();
            is_equal = is_equal && item.has_value() == !model.empty() && (!item || *item == model.front());
            if (!model.empty()) model.pop_front();
        }
        is_equal = is_equal && ring.size() == model.size() && ring.lost() == model_lost;
    }
    CHECK(is_equal);
    CHECK(model_lost > 0);
}

TEST_CASE("ring: of 200,000 items from another thread each is received in order or counted as lost") {
    struct Item {
        uint32_t number;
        uint32_t inverse;  // a torn copy would show
    };
    constexpr uint32_t k_items = 200000;
    Ring<Item, 64> ring;
    std::atomic<bool> is_done{false};
    std::thread producer([&] {
        for (uint32_t n = 0; n < k_items; ++n) ring.push({n, ~n});
        is_done.store(true, std::memory_order_release);
    });
    uint64_t received = 0;
    bool is_ordered = true;
    bool is_whole = true;
    int64_t last = -1;
    const auto take = [&] {
        while (const auto item = ring.pop()) {
            is_whole = is_whole && item->inverse == ~item->number;
            is_ordered = is_ordered && static_cast<int64_t>(item->number) > last;
            last = item->number;
            ++received;
        }
    };
    while (!is_done.load(std::memory_order_acquire)) take();
    producer.join();
    take();
    CHECK(is_ordered);
    CHECK(is_whole);
    CHECK(received + ring.lost() == k_items);
}

}  // namespace
}  // namespace fettle
